// Written from shared/ by `npm run contract`. Do not edit.
// Contract 80e119b683f80a65.


export namespace Valve {
  export const Supply: u8 = 0;
  export const Return: u8 = 1;
}

export namespace Order {
  export const None: u8 = 0;
  export const Open: u8 = 1;
  export const Close: u8 = 2;
}

export namespace Belief {
  export const Unknown: u8 = 0;
  export const Closed: u8 = 1;
  export const Open: u8 = 2;
}

export namespace Wish {
  export const Hold: u8 = 0;
  export const Raise: u8 = 1;
  export const Lower: u8 = 2;
}

export namespace Strategy {
  export const Threshold: u8 = 0;
  export const Cascade: u8 = 1;
  export const Predictive: u8 = 2;
}

export namespace BankMode {
  export const Refused: u8 = 0;
  export const Starting: u8 = 1;
  export const Idle: u8 = 2;
  export const Lifted: u8 = 3;
  export const Working: u8 = 4;
  export const LowSupply: u8 = 5;
  export const ShutDown: u8 = 6;
  export const PowerLost: u8 = 7;
}

export namespace RowMode {
  export const Starting: u8 = 0;
  export const Off: u8 = 1;
  export const Holding: u8 = 2;
  export const Working: u8 = 3;
  export const Frozen: u8 = 4;
  export const Venting: u8 = 5;
  export const Lowering: u8 = 6;
}

export namespace DetectorMode {
  export const Off: u8 = 0;
  export const Closed: u8 = 1;
  export const Raising: u8 = 2;
  export const Lowering: u8 = 3;
}

export namespace Stuck {
  export const None: u8 = 0;
  export const Open: u8 = 1;
  export const Closed: u8 = 2;
}

export namespace MissedValve {
  export const None: u8 = 0;
  export const Supply: u8 = 1;
  export const Return: u8 = 2;
}

export namespace ZeroResult {
  export const None: u8 = 0;
  export const Accepted: u8 = 1;
  export const Noisy: u8 = 2;
  export const Implausible: u8 = 3;
}

export namespace Channel {
  export const Load: u8 = 0;
  export const Pressure: u8 = 1;
  export const Acceleration: u8 = 2;
  export const Rail: u8 = 3;
}

/** Checks of an analog channel, as bits. */
export namespace Check {
  /** Signal at ground, or sensor without supply. */
  export const Short: u32 = 1 << 0;
  /** Signal at the sensor supply, or wire broken (input pulled up). */
  export const Open: u32 = 1 << 1;
  /** Signal outside the sensor's range, but neither short nor open. */
  export const Range: u32 = 1 << 2;
  /** ADC counts unchanged for longer than frozenMs while a related signal moved. */
  export const Frozen: u32 = 1 << 3;
  /** Repeated steps faster than the sensor can follow, or an intermittent connection. */
  export const Rate: u32 = 1 << 4;
}

export namespace BankFault {
  /** Rail pressure: signal at ground, or sensor without supply. */
  export const RailShort: u32 = 1 << 0;
  /** Rail pressure: signal at the sensor supply, or wire broken (input pulled up). */
  export const RailOpen: u32 = 1 << 1;
  /** Rail pressure: signal outside the sensor's range, but neither short nor open. */
  export const RailRange: u32 = 1 << 2;
  /** Rail pressure: ADC counts unchanged for longer than frozenMs while a related signal moved. */
  export const RailFrozen: u32 = 1 << 3;
  /** Rail pressure: repeated steps faster than the sensor can follow, or an intermittent connection. */
  export const RailRate: u32 = 1 << 4;
  /** Target load is NaN, negative or above targetMaxN. */
  export const TargetInvalid: u32 = 1 << 5;
  /** Oil temperature is NaN or outside -50 to 150 °C; warm-oil flow is assumed. */
  export const TemperatureInvalid: u32 = 1 << 6;
  /** Ground speed is above the valid range of its message; the lug notch is off. */
  export const SpeedInvalid: u32 = 1 << 7;
  /** Supply voltage below supplyLowMv: no valve is opened, open valves are closed. */
  export const SupplyLow: u32 = 1 << 8;
  /** Supply voltage below supplyCriticalMv: only a reservoir can pay for closing strokes. */
  export const SupplyCritical: u32 = 1 << 9;
  /** The reservoir capacitor stores too little energy for the closing strokes still needed plus one pulse (an opening and a closing stroke). */
  export const ReservoirLow: u32 = 1 << 10;
  /** Rail pressure below railLowKpa: chamber pressure may not rise as requested. */
  export const RailLow: u32 = 1 << 11;
  /** configure() refused a parameter; valves are closed and never opened. */
  export const ParameterRefused: u32 = 1 << 12;
  /** All with reaction substitute. */
  export const ANY_SUBSTITUTE: u32 = 95;
  /** All with reaction hold. */
  export const ANY_HOLD: u32 = 4128;
  /** All with reaction report. */
  export const ANY_REPORT: u32 = 3200;
  /** All with reaction close. */
  export const ANY_CLOSE: u32 = 256;
  /** All with reaction inhibit. */
  export const ANY_INHIBIT: u32 = 512;
  /** Checks of channel rail: from Check to fault bits, and all of them. */
  export const RAIL_SHIFT: u32 = 0;
  export const ANY_RAIL: u32 = 31;
}

export namespace RowFault {
  /** Gauge-wheel load: signal at ground, or sensor without supply. */
  export const LoadShort: u32 = 1 << 0;
  /** Gauge-wheel load: signal at the sensor supply, or wire broken (input pulled up). */
  export const LoadOpen: u32 = 1 << 1;
  /** Gauge-wheel load: signal outside the sensor's range, but neither short nor open. */
  export const LoadRange: u32 = 1 << 2;
  /** Gauge-wheel load: ADC counts unchanged for longer than frozenMs while a related signal moved. */
  export const LoadFrozen: u32 = 1 << 3;
  /** Gauge-wheel load: repeated steps faster than the sensor can follow, or an intermittent connection. */
  export const LoadRate: u32 = 1 << 4;
  /** Chamber pressure: signal at ground, or sensor without supply. */
  export const PressureShort: u32 = 1 << 5;
  /** Chamber pressure: signal at the sensor supply, or wire broken (input pulled up). */
  export const PressureOpen: u32 = 1 << 6;
  /** Chamber pressure: signal outside the sensor's range, but neither short nor open. */
  export const PressureRange: u32 = 1 << 7;
  /** Chamber pressure: ADC counts unchanged for longer than frozenMs while a related signal moved. */
  export const PressureFrozen: u32 = 1 << 8;
  /** Chamber pressure: repeated steps faster than the sensor can follow, or an intermittent connection. */
  export const PressureRate: u32 = 1 << 9;
  /** Row accelerometer: signal at ground, or sensor without supply. */
  export const AccelerationShort: u32 = 1 << 10;
  /** Row accelerometer: signal at the sensor supply, or wire broken (input pulled up). */
  export const AccelerationOpen: u32 = 1 << 11;
  /** Row accelerometer: signal outside the sensor's range, but neither short nor open. */
  export const AccelerationRange: u32 = 1 << 12;
  /** Row accelerometer: ADC counts unchanged for longer than frozenMs while a related signal moved. */
  export const AccelerationFrozen: u32 = 1 << 13;
  /** Row accelerometer: repeated steps faster than the sensor can follow, or an intermittent connection. */
  export const AccelerationRate: u32 = 1 << 14;
  /** Every re-zero of the lift so far was refused, the last one because the load varied too much; the last zero is kept. */
  export const ZeroNoisy: u32 = 1 << 15;
  /** Every re-zero of the lift so far was refused, the last one because it was more than zeroStepN from the last zero, or beyond zeroLimitN; the last zero is kept. */
  export const ZeroImplausible: u32 = 1 << 16;
  /** A stroke did not move the supply valve: a missed closing stroke has been repeated; the pulse of a missed opening stroke has been ended. */
  export const SupplyMissed: u32 = 1 << 17;
  /** A stroke did not move the return valve: a missed closing stroke has been repeated; the pulse of a missed opening stroke has been ended. */
  export const ReturnMissed: u32 = 1 << 18;
  /** The supply valve missed strokeTries consecutive strokes. Open: it gets a closing stroke every retryS, and the fault clears once the pressure proves that one has closed it. Closed: it gets a trial pulse now and then. */
  export const SupplyStuck: u32 = 1 << 19;
  /** The return valve missed strokeTries consecutive strokes. Open: it gets a closing stroke every retryS, and the fault clears once the pressure proves that one has closed it. Closed: it gets a trial pulse now and then. */
  export const ReturnStuck: u32 = 1 << 20;
  /** More than leakMlPerMin flows into or out of the chamber with both valves closed. */
  export const Leak: u32 = 1 << 21;
  /** The load sensor reads more than pressure and weight can produce, or too much while the wheels are off the ground; an accepted zero clears it. */
  export const LoadHigh: u32 = 1 << 22;
  /** The load sensor has read below zero; an accepted zero clears it. */
  export const LoadLow: u32 = 1 << 23;
  /** The accelerometer contradicts the pressure: the row is controlled as one without. */
  export const AccelerationImplausible: u32 = 1 << 24;
  /** The load does not follow the forces that accelerometer and pressure agree on. */
  export const LoadImplausible: u32 = 1 << 25;
  /** The accumulator has lost more than a third of its gas: the pressure follows the motion of the row too closely. */
  export const PrechargeLow: u32 = 1 << 26;
  /** The expected change of the soil is NaN or beyond soilAheadMaxN: the row is controlled without it. */
  export const SoilAheadInvalid: u32 = 1 << 27;
  /** The load does not follow the expected changes of the soil: the row is controlled without them. */
  export const SoilAheadWrong: u32 = 1 << 28;
  /** All with reaction freeze. */
  export const ANY_FREEZE: u32 = 33554463;
  /** All with reaction hold. */
  export const ANY_HOLD: u32 = 1573856;
  /** All with reaction report. */
  export const ANY_REPORT: u32 = 422050816;
  /** All with reaction adapt. */
  export const ANY_ADAPT: u32 = 79691776;
  /** Checks of channel load: from Check to fault bits, and all of them. */
  export const LOAD_SHIFT: u32 = 0;
  export const ANY_LOAD: u32 = 31;
  /** Checks of channel pressure: from Check to fault bits, and all of them. */
  export const PRESSURE_SHIFT: u32 = 5;
  export const ANY_PRESSURE: u32 = 992;
  /** Checks of channel acceleration: from Check to fault bits, and all of them. */
  export const ACCELERATION_SHIFT: u32 = 10;
  export const ANY_ACCELERATION: u32 = 31744;
}
