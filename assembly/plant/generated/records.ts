// Written from shared/ by `npm run contract`. Do not edit.


/** Standard atmosphere, Pa (ISO 2533:1975). */
export const ATMOSPHERE_PA: f64 = 101325;
/** 0 °C, K. */
export const ZERO_C_K: f64 = 273.15;
/** Standard gravity, m/s² (ISO 80000-3). */
export const GRAVITY_MPS2: f64 = 9.80665;

/** Points of a track that the interpolation uses. */
export const RING: i32 = 5;
/** First-order sections of the waviness filter. */
export const SECTIONS: i32 = 6;

/** Distance between profile points, m. */
export const PROFILE_STEP_M: f64 = 0.025;

/** Reference spatial frequency of ISO 8608, cycles/m. */
export const ROAD_REFERENCE_PER_M: f64 = 0.1;

/** Address of a height profile from a file. */
export const PROFILE_AT: usize = 42240;

export namespace Actuation {
  export const Latching: f64 = 0;
  export const Proportional: f64 = 1;
  export const Perfect: f64 = 2;
}

export namespace SensorFault {
  export const None: f64 = 0;
  export const Open: f64 = 1;
  export const Short: f64 = 2;
  export const Frozen: f64 = 3;
  export const Jumping: f64 = 4;
  export const Garbage: f64 = 5;
}

/** Inputs of a bank for one tick, without those of its rows. 20 bytes. */
@unmanaged
@final
export class BankInput {
  /** Target load of every row. Unit: newton. Offset 0. */
  targetLoadN: f32;
  /** Oil temperature. Unit: degreeCelsius. Offset 4. */
  oilTemperatureC: f32;
  /** Rail pressure, ratiometric. Unit: count. Offset 8. */
  railCounts: u16;
  /** Supply voltage at the bank. Unit: millivolt. Offset 10. */
  supplyMv: u16;
  /** Voltage of the reservoir capacitor that feeds the coils. Unit: millivolt. Offset 12. */
  reservoirMv: u16;
  /** Ground speed as on an ISO 11783 bus: 1 mm/s per bit; values above 64255 are not a speed. Unit: millimetrePerSecond. Offset 14. */
  groundSpeedMmPerS: u16;
  /** Lift switch: 0 lifted, otherwise lowered. Unit: none. Offset 16. */
  lowered: u8;
  /** Operator's switch: 0 off, otherwise on. Unit: none. Offset 17. */
  enabled: u8;
  /** Early warning that power is about to be switched off: 0 no, otherwise yes. Unit: none. Offset 18. */
  shutDown: u8;
  /** Unused, 0. Unit: none. Offset 19. */
  spare: u8;
}
export const BANK_INPUT_BYTES: usize = 20;

/** Inputs of a row for one tick. 8 bytes. */
@unmanaged
@final
export class RowInput {
  /** Gauge-wheel load, ratiometric. Unit: count. Offset 0. */
  loadCounts: u16;
  /** Chamber pressure, ratiometric. Unit: count. Offset 2. */
  pressureCounts: u16;
  /** Row accelerometer, ratiometric; ignored unless accelerationFitted. Unit: count. Offset 4. */
  accelerationCounts: u16;
  /** Row switch: 0 off, otherwise on. Unit: none. Offset 6. */
  enabled: u8;
  /** Unused, 0. Unit: none. Offset 7. */
  spare: u8;
}
export const ROW_INPUT_BYTES: usize = 8;

/** Outputs of a bank. 8 bytes. */
@unmanaged
@final
export class BankOutput {
  /** Bank faults that are set. Unit: bits. Offset 0. */
  faults: u32;
  /** Operating mode of the bank (refused: configure() refused a parameter). Unit: none. Offset 4. */
  mode: u8;
  /** 1 while every valve of the bank is believed to be closed, also between pulses while venting. Unit: none. Offset 5. */
  allClosed: u8;
  /** Unused, 0. Unit: none. Offset 6. */
  spare: u16;
}
export const BANK_OUTPUT_BYTES: usize = 8;

/** Outputs of a row. 8 bytes. */
@unmanaged
@final
export class RowOutput {
  /** Row faults that are set. Unit: bits. Offset 0. */
  faults: u32;
  /** Operating mode of the row (frozen: the load is invalid and the set point stays). Unit: none. Offset 4. */
  mode: u8;
  /** Coil order to the supply valve in this tick. Unit: none. Offset 5. */
  supplyOrder: u8;
  /** Coil order to the return valve in this tick. Unit: none. Offset 6. */
  returnOrder: u8;
  /** Unused, 0. Unit: none. Offset 7. */
  spare: u8;
}
export const ROW_OUTPUT_BYTES: usize = 8;

/** Settings of a run. 56 bytes. */
@unmanaged
@final
export class Setup {
  /** Rows, 1 to 48. Unit: none. Offset 0. */
  rows: f64;
  /** Controller ticks per second. Unit: hertz. Offset 8. */
  tickHz: f64;
  /** Seed of all random numbers, an integer below 2³². Unit: none. Offset 16. */
  seed: f64;
  /** Actuator that controls the chamber pressure. Unit: none. Offset 24. */
  actuation: f64;
  /** Chamber pressure at the start. Unit: kilopascal. Offset 32. */
  startKpa: f64;
  /** Tracks of a height profile from a file: 0 none, 1 one for all rows, else one per row. Unit: none. Offset 40. */
  profileTracks: f64;
  /** Points of each track. Unit: none. Offset 48. */
  profilePoints: f64;
}
export const SETUP_BYTES: usize = 56;

/** The machine, as in its file. 744 bytes. */
@unmanaged
@final
export class Machine {
  /** Mass of the row unit without seed. Unit: kilogram. Offset 0. */
  massKg: f64;
  /** Mass of the seed in its hopper. Unit: kilogram. Offset 8. */
  seedKg: f64;
  /** Dry friction of the linkage, as a force at the row. Unit: newton. Offset 16. */
  frictionN: f64;
  /** Load on the closing wheels. Unit: newton. Offset 24. */
  closingN: f64;
  /** Set depth of the opener. Unit: millimetre. Offset 32. */
  seedDepthMm: f64;
  /** Contact stiffness of tyre and soil. Unit: newtonPerMetre. Offset 40. */
  contactNPerM: f64;
  /** Contact damping of tyre and soil. Unit: newtonSecondPerMetre. Offset 48. */
  contactNsPerM: f64;
  /** Spatial cut-off frequency of tyre enveloping; the tyre smooths shorter waves. Unit: perMetre. Offset 56. */
  envelopePerM: f64;
  /** Height of the ripple caused by the tyre lugs. Unit: millimetre. Offset 64. */
  lugHeightMm: f64;
  /** Distance between tyre lugs. Unit: metre. Offset 72. */
  lugPitchM: f64;
  /** Fraction of the height of a stone that reaches the row; two wheels with an equaliser halve it. Unit: ratio. Offset 80. */
  equaliserRatio: f64;
  /** Length of the arms. Unit: metre. Offset 88. */
  armM: f64;
  /** Distance along the arm from its pivot to the attachment of the cylinder. Unit: metre. Offset 96. */
  attachM: f64;
  /** Position of the upper pivot of the cylinder, rearward. Unit: metre. Offset 104. */
  cylinderPivotRearM: f64;
  /** Position of the upper pivot of the cylinder, upward. Unit: metre. Offset 112. */
  cylinderPivotUpM: f64;
  /** Travel from level down to the stop. Unit: millimetre. Offset 120. */
  travelDownMm: f64;
  /** Travel from level up to the stop. Unit: millimetre. Offset 128. */
  travelUpMm: f64;
  /** Stiffness of the stops. Unit: newtonPerMetre. Offset 136. */
  stopNPerM: f64;
  /** Piston area. Unit: squareCentimetre. Offset 144. */
  capAreaCm2: f64;
  /** Oil volume in chamber and lines at level travel. Unit: millilitre. Offset 152. */
  chamberOilMl: f64;
  /** Bulk modulus of oil and hoses. Unit: megapascal. Offset 160. */
  bulkModulusMpa: f64;
  /** Free air in the oil at atmospheric pressure, as a fraction of the volume. Unit: ratio. Offset 168. */
  airRatio: f64;
  /** Gas volume at precharge. Unit: millilitre. Offset 176. */
  accumulatorMl: f64;
  /** Precharge pressure, absolute, at 20 °C. Unit: kilopascal. Offset 184. */
  prechargeAbsoluteKpa: f64;
  /** Ratio of specific heats of the gas. Unit: ratio. Offset 192. */
  gasExponent: f64;
  /** Time constant of heat exchange between gas and wall. Unit: second. Offset 200. */
  gasThermalS: f64;
  /** Force at level travel. Unit: newton. Offset 208. */
  liftN: f64;
  /** Spring rate: increase of the force as the row goes down. Unit: newtonPerMetre. Offset 216. */
  liftNPerM: f64;
  /** Diameter of the orifice. Unit: millimetre. Offset 224. */
  reboundOrificeMm: f64;
  /** Area of the rod side. Unit: squareCentimetre. Offset 232. */
  rodAreaCm2: f64;
  /** Damping when rising, as a fraction of that when falling. Unit: ratio. Offset 240. */
  reboundUpRatio: f64;
  /** Flow of the open valve at valveFlowDropKpa, oil at 40 °C. Unit: litrePerMinute. Offset 248. */
  valveFlowLpm: f64;
  /** Pressure drop at which valveFlowLpm is specified. Unit: kilopascal. Offset 256. */
  valveFlowDropKpa: f64;
  /** Length of the narrow passage in the valve, which causes the viscous pressure drop. Unit: millimetre. Offset 264. */
  passageMm: f64;
  /** Leak of a closed valve at 100 bar. Unit: millilitrePerMinute. Offset 272. */
  valveLeakMlPerMin: f64;
  /** Travel time of the armature. Unit: millisecond. Offset 280. */
  moveMs: f64;
  /** Fraction of the travel beyond which the magnet completes the stroke. Unit: ratio. Offset 288. */
  throwRatio: f64;
  /** Coil resistance at 20 °C. Unit: ohm. Offset 296. */
  coilOhm: f64;
  /** Coil inductance. Unit: millihenry. Offset 304. */
  coilMh: f64;
  /** Coil current at which the armature starts to move. Unit: ampere. Offset 312. */
  pullA: f64;
  /** Pump pressure at zero flow. Unit: kilopascal. Offset 320. */
  railNominalKpa: f64;
  /** Drop of the rail pressure with flow. Unit: kilopascalPerLitrePerMinute. Offset 328. */
  railDroopKpaPerLpm: f64;
  /** Oil volume in hoses and rail. Unit: millilitre. Offset 336. */
  railOilMl: f64;
  /** Maximum flow of the pump. Unit: litrePerMinute. Offset 344. */
  pumpLpm: f64;
  /** Opening pressure of the relief valve. Unit: kilopascal. Offset 352. */
  reliefKpa: f64;
  /** Return line pressure at zero flow. Unit: kilopascal. Offset 360. */
  returnKpa: f64;
  /** Rise of the return line pressure with flow. Unit: kilopascalPerLitrePerMinute. Offset 368. */
  returnRiseKpaPerLpm: f64;
  /** Density. Unit: kilogramPerCubicMetre. Offset 376. */
  oilKgPerM3: f64;
  /** Kinematic viscosity at 40 °C. Unit: squareMillimetrePerSecond. Offset 384. */
  viscosityAt40: f64;
  /** Kinematic viscosity at 100 °C. Unit: squareMillimetrePerSecond. Offset 392. */
  viscosityAt100: f64;
  /** ADC counts at the full sensor supply. Unit: count. Offset 400. */
  adcFullScaleCounts: f64;
  /** Corner frequency of the fluid coupling of the load sensor, with its accumulator, at 450 N. Unit: hertz. Offset 408. */
  loadLagHz: f64;
  /** Stiffening of the coupling with load: its corner frequency is proportional to (load + loadStiffeningN)². Unit: newton. Offset 416. */
  loadStiffeningN: f64;
  /** Noise of the load reading, standard deviation. Unit: newton. Offset 424. */
  loadNoiseN: f64;
  /** Gain of the load sensor. Unit: ratio. Offset 432. */
  loadGainRatio: f64;
  /** Zero drift of the load sensor with oil temperature, relative to 20 °C. Unit: newtonPerDegree. Offset 440. */
  loadDriftNPerC: f64;
  /** Load at 10 % of the sensor supply. Unit: newton. Offset 448. */
  loadAtTenPercentN: f64;
  /** Load at 90 % of the sensor supply. Unit: newton. Offset 456. */
  loadAtNinetyPercentN: f64;
  /** Noise of the pressure readings, standard deviation. Unit: kilopascal. Offset 464. */
  pressureNoiseKpa: f64;
  /** Chamber pressure at 10 % of the sensor supply. Unit: kilopascal. Offset 472. */
  pressureAtTenPercentKpa: f64;
  /** Chamber pressure at 90 % of the sensor supply. Unit: kilopascal. Offset 480. */
  pressureAtNinetyPercentKpa: f64;
  /** Rail pressure at 10 % of the sensor supply. Unit: kilopascal. Offset 488. */
  railAtTenPercentKpa: f64;
  /** Rail pressure at 90 % of the sensor supply. Unit: kilopascal. Offset 496. */
  railAtNinetyPercentKpa: f64;
  /** Accelerometer fitted. Unit: none. Offset 504. */
  accelerationFitted: f64;
  /** Noise of the acceleration reading, standard deviation. Unit: metrePerSecondSquared. Offset 512. */
  accelerationNoiseMps2: f64;
  /** Acceleration at 10 % of the sensor supply, up positive. Unit: metrePerSecondSquared. Offset 520. */
  accelerationAtTenPercentMps2: f64;
  /** Acceleration at 90 % of the sensor supply. Unit: metrePerSecondSquared. Offset 528. */
  accelerationAtNinetyPercentMps2: f64;
  /** Voltage of battery and alternator. Unit: volt. Offset 536. */
  sourceV: f64;
  /** Resistance of source and wires up to the bank. Unit: ohm. Offset 544. */
  harnessOhm: f64;
  /** Power of the electronics and sensors of the bank. Unit: watt. Offset 552. */
  electronicsW: f64;
  /** Capacitance. Unit: microfarad. Offset 560. */
  reservoirUf: f64;
  /** Charging resistor, in series with a diode. Unit: ohm. Offset 568. */
  chargeOhm: f64;
  /** Lift height at a headland. Unit: millimetre. Offset 576. */
  liftMm: f64;
  /** Time for the frame to lift or to lower. Unit: second. Offset 584. */
  liftS: f64;
  /** Wavelength below which the frame wheels smooth the ground. Unit: metre. Offset 592. */
  frameWaveM: f64;
  /** Relative standard deviation of the mass. Unit: ratio. Offset 600. */
  massSpreadRatio: f64;
  /** Relative standard deviation of the contact stiffness. Unit: ratio. Offset 608. */
  contactSpreadRatio: f64;
  /** Relative standard deviation of the valve flows. Unit: ratio. Offset 616. */
  flowSpreadRatio: f64;
  /** Standard deviation of the load sensor zeros. Unit: newton. Offset 624. */
  loadSpreadN: f64;
  /** Bandwidth of coil and spool. Unit: hertz. Offset 632. */
  spoolHz: f64;
  /** Half width of the spool deadband, as a pressure error. Unit: kilopascal. Offset 640. */
  spoolDeadKpa: f64;
  /** Pressure error beyond the deadband at which a metering edge is fully open. Unit: kilopascal. Offset 648. */
  spoolFullKpa: f64;
  /** Flow of a fully open metering edge at valveFlowDropKpa. Unit: litrePerMinute. Offset 656. */
  spoolFlowLpm: f64;
  /** Half width of the friction hysteresis. Unit: kilopascal. Offset 664. */
  spoolFrictionKpa: f64;
  /** Growth of that half width by contamination. Unit: kilopascalPerHour. Offset 672. */
  contaminationKpaPerHour: f64;
  /** Leak across the spool at 100 bar. Unit: millilitrePerMinute. Offset 680. */
  spoolLeakMlPerMin: f64;
  /** Coil resistance. Unit: ohm. Offset 688. */
  proportionalOhm: f64;
  /** Coil current at zero pressure. Unit: ampere. Offset 696. */
  proportionalMinA: f64;
  /** Coil current at proportionalMaxKpa. Unit: ampere. Offset 704. */
  proportionalMaxA: f64;
  /** Maximum set pressure. Unit: kilopascal. Offset 712. */
  proportionalMaxKpa: f64;
  /** Corner frequency of the second-order low-pass on the load. Unit: hertz. Offset 720. */
  proportionalFilterHz: f64;
  /** Proportional gain: pressure per load error. Unit: kilopascalPerNewton. Offset 728. */
  proportionalKpaPerN: f64;
  /** Integral gain: pressure rate per load error. Unit: kilopascalPerNewtonSecond. Offset 736. */
  proportionalKpaPerNS: f64;
}
export const MACHINE_BYTES: usize = 744;

/** The field. 104 bytes. */
@unmanaged
@final
export class Field {
  /** Roughness Gd(n0) at n0 = 0.1 cycles/m; `class: A` to `class: H` sets it instead. Unit: cubicCentimetre. Offset 0. */
  roughnessCm3: f64;
  /** Exponent of the decrease of roughness with spatial frequency. Unit: none. Offset 8. */
  waviness: f64;
  /** Waves longer than this are common to all rows; shorter ones differ from row to row. Unit: metre. Offset 16. */
  commonWaveM: f64;
  /** Mean distance from the end of a stone to the start of the next in a row; 0: no stones. Unit: metre. Offset 24. */
  stoneEveryM: f64;
  /** Height of a stone. Unit: millimetre. Offset 32. */
  stoneHeightMm: f64;
  /** Length of a stone, shaped as a half sine. Unit: millimetre. Offset 40. */
  stoneLengthMm: f64;
  /** Opener force in the softest soil, at the set depth. Unit: newton. Offset 48. */
  soilMinN: f64;
  /** Opener force in the hardest soil, at the set depth. Unit: newton. Offset 56. */
  soilMaxN: f64;
  /** Shortest soil patch. Unit: metre. Offset 64. */
  patchMinM: f64;
  /** Longest soil patch. Unit: metre. Offset 72. */
  patchMaxM: f64;
  /** Variation of the soil force within a patch, standard deviation. Unit: ratio. Offset 80. */
  soilNoiseRatio: f64;
  /** Correlation length of the soil force within a patch. Unit: metre. Offset 88. */
  soilNoiseM: f64;
  /** Correlation of the soil between neighbouring rows. Unit: ratio. Offset 96. */
  rowCorrelation: f64;
}
export const FIELD_BYTES: usize = 104;

/** Drive of the machine in this tick. 112 bytes. */
@unmanaged
@final
export class Drive {
  /** Ground speed at the end of the tick. Unit: metrePerSecond. Offset 0. */
  speedMps: f64;
  /** Target load set by the operator. Unit: newton. Offset 8. */
  targetLoadN: f64;
  /** 0 lifted, 1 lowered. Unit: none. Offset 16. */
  lowered: f64;
  /** 0 off, 1 on. Unit: none. Offset 24. */
  enabled: f64;
  /** 1 when power is about to be switched off. Unit: none. Offset 32. */
  shutDown: f64;
  /** Oil temperature. Unit: degreeCelsius. Offset 40. */
  oilC: f64;
  /** Air temperature. Unit: degreeCelsius. Offset 48. */
  airC: f64;
  /** Source voltage. Unit: volt. Offset 56. */
  sourceV: f64;
  /** Pump pressure as a fraction of nominal. Unit: ratio. Offset 64. */
  railRatio: f64;
  /** Slope along the rows, uphill positive. Unit: percent. Offset 72. */
  gradePercent: f64;
  /** Slope across the rows. Unit: percent. Offset 80. */
  sideSlopePercent: f64;
  /** 1 while target, oil temperature and speed are invalid. Unit: none. Offset 88. */
  busLost: f64;
  /** 1 while the speed is invalid. Unit: none. Offset 96. */
  speedLost: f64;
  /** Fault of the rail pressure sensor. Unit: none. Offset 104. */
  railSensor: f64;
}
export const DRIVE_BYTES: usize = 112;

/** Faults injected into a row. 152 bytes. */
@unmanaged
@final
export class InjectedFaults {
  /** 1 while the row switch is off. Unit: none. Offset 0. */
  off: f64;
  /** Probability that a stroke does not move its valve. Unit: ratio. Offset 8. */
  missRatio: f64;
  /** Number of opening strokes of the supply valve still to be missed; the plant counts down. Unit: none. Offset 16. */
  missSupplyOpens: f64;
  /** Closing strokes of the supply valve still to be missed. Unit: none. Offset 24. */
  missSupplyCloses: f64;
  /** Opening strokes of the return valve still to be missed. Unit: none. Offset 32. */
  missReturnOpens: f64;
  /** Closing strokes of the return valve still to be missed. Unit: none. Offset 40. */
  missReturnCloses: f64;
  /** 1 while the supply valve is stuck. Unit: none. Offset 48. */
  supplyStuck: f64;
  /** 1 while the return valve is stuck. Unit: none. Offset 56. */
  returnStuck: f64;
  /** Additional leak of the supply valve at 100 bar. Unit: millilitrePerMinute. Offset 64. */
  supplyLeakMlPerMin: f64;
  /** Additional leak of the return valve at 100 bar. Unit: millilitrePerMinute. Offset 72. */
  returnLeakMlPerMin: f64;
  /** Remaining flow of both valves, as a fraction. Unit: ratio. Offset 80. */
  flowRatio: f64;
  /** Fault of the load sensor. Unit: none. Offset 88. */
  loadSensor: f64;
  /** Fault of the pressure sensor. Unit: none. Offset 96. */
  pressureSensor: f64;
  /** Fault of the accelerometer. Unit: none. Offset 104. */
  accelerationSensor: f64;
  /** Added to the load reading. Unit: newton. Offset 112. */
  loadOffsetN: f64;
  /** Amplitude of a 2 Hz swing of the load reading, as if the lifted row were swinging. Unit: newton. Offset 120. */
  loadSwingN: f64;
  /** Added to the pressure reading. Unit: kilopascal. Offset 128. */
  pressureOffsetKpa: f64;
  /** Moves the supply valve: 1 open, 2 closed; the plant clears it. Unit: none. Offset 136. */
  placeSupply: f64;
  /** Moves the return valve: 1 open, 2 closed; the plant clears it. Unit: none. Offset 144. */
  placeReturn: f64;
}
export const INJECTED_FAULTS_BYTES: usize = 152;

/** True state of the bank after the tick. 44 bytes. */
@unmanaged
@final
export class BankTruth {
  /** Distance driven. Unit: metre. Offset 0. */
  distanceM: f32;
  /** Ground speed. Unit: metrePerSecond. Offset 4. */
  speedMps: f32;
  /** Height of the frame above the mean ground. Unit: millimetre. Offset 8. */
  frameMm: f32;
  /** Set depth of the openers. Unit: millimetre. Offset 12. */
  setDepthMm: f32;
  /** Rail pressure. Unit: kilopascal. Offset 16. */
  railTrueKpa: f32;
  /** Pressure in the return line. Unit: kilopascal. Offset 20. */
  returnTrueKpa: f32;
  /** Flow from the rail into the rows. Unit: litrePerMinute. Offset 24. */
  supplyLpm: f32;
  /** Voltage at the bank. Unit: volt. Offset 28. */
  bankV: f32;
  /** Voltage at the coils. Unit: volt. Offset 32. */
  coilV: f32;
  /** Current of all coils. Unit: ampere. Offset 36. */
  coilsA: f32;
  /** Energy drawn from the rail since the start. Unit: joule. Offset 40. */
  hydraulicJ: f32;
}
export const BANK_TRUTH_BYTES: usize = 44;

/** True state of a row after the tick. 76 bytes. */
@unmanaged
@final
export class RowTruth {
  /** Gauge-wheel load. Unit: newton. Offset 0. */
  wheelN: f32;
  /** Force of the soil on the opener. Unit: newton. Offset 4. */
  openerN: f32;
  /** The same at the set depth and in steady motion: what the soil is like. Unit: newton. Offset 8. */
  soilN: f32;
  /** Down force at the row: cylinder minus lift spring and damping. Unit: newton. Offset 12. */
  downN: f32;
  /** Height of the ground under the wheels above the mean ground. Unit: millimetre. Offset 16. */
  groundMm: f32;
  /** Depth of the opener below the surface; negative above it. Unit: millimetre. Offset 20. */
  depthMm: f32;
  /** Height of the row above level travel. Unit: millimetre. Offset 24. */
  travelMm: f32;
  /** Acceleration of the row, up positive. Unit: metrePerSecondSquared. Offset 28. */
  rowMps2: f32;
  /** Chamber pressure. Unit: kilopascal. Offset 32. */
  chamberKpa: f32;
  /** Gas temperature. Unit: degreeCelsius. Offset 36. */
  gasC: f32;
  /** Opening of the supply valve. Unit: ratio. Offset 40. */
  supplyOpening: f32;
  /** Opening of the return valve. Unit: ratio. Offset 44. */
  returnOpening: f32;
  /** Oil taken from the rail since the start. Unit: millilitre. Offset 48. */
  oilMl: f32;
  /** Oil returned since the start. Unit: millilitre. Offset 52. */
  returnedMl: f32;
  /** Energy drawn by the coils of the row since the start. Unit: joule. Offset 56. */
  coilJ: f32;
  /** Part of coilJ that is lost as heat in the windings. Unit: joule. Offset 60. */
  coilLossJ: f32;
  /** Heat of the rebound damping since the start. Unit: joule. Offset 64. */
  reboundJ: f32;
  /** Strokes since the start that did not move their valve. Unit: none. Offset 68. */
  missedStrokes: f32;
  /** Stones that the row has reached since the start. Unit: none. Offset 72. */
  stonesMet: f32;
}
export const ROW_TRUTH_BYTES: usize = 76;

/** Values that start() computes, in SI units unless stated. 192 bytes. */
@unmanaged
@final
export class Derived {
  /** Integration step, at most half a millisecond. Unit: second. Offset 0. */
  stepS: f64;
  /** Integration steps per tick. Unit: none. Offset 8. */
  steps: f64;
  /** Down force per cylinder force at level travel. Unit: ratio. Offset 16. */
  ratio0: f64;
  /** Slope of ratio0 over travel, 1/m. Unit: none. Offset 24. */
  ratio1: f64;
  /** Curvature of ratio0 over travel, 1/m². Unit: none. Offset 32. */
  ratio2: f64;
  /** Piston area, m². Unit: none. Offset 40. */
  areaM2: f64;
  /** Chamber oil over bulk modulus, m³/Pa. Unit: none. Offset 48. */
  oilM3PerPa: f64;
  /** Free air as volume times pressure, m³·Pa. Unit: none. Offset 56. */
  airM3Pa: f64;
  /** Gas as pressure times volume over temperature, J/K. Unit: none. Offset 64. */
  gasJPerK: f64;
  /** Accumulator volume, m³. Unit: none. Offset 72. */
  gasM3: f64;
  /** Rebound force over speed squared, N·s²/m². Unit: none. Offset 80. */
  rebound: f64;
  /** Viscous term of a valve, Pa·s/m³ per m²/s. Unit: none. Offset 88. */
  viscousTerm: f64;
  /** Orifice term of the proportional valve, Pa·s²/m⁶. Unit: none. Offset 96. */
  spoolOrificeTerm: f64;
  /** Orifice term of the nominal valve, Pa·s²/m⁶. Unit: none. Offset 104. */
  orificeTerm: f64;
  /** Intercept of the viscosity line (ASTM D341). Unit: none. Offset 112. */
  viscosityA: f64;
  /** Slope of the viscosity line (ASTM D341). Unit: none. Offset 120. */
  viscosityB: f64;
  /** Angle of the lug ripple per distance, rad/m. Unit: none. Offset 128. */
  lugRadPerM: f64;
  /** Profile generator: decay per point. Unit: ratio. Offset 136. */
  ouDecay: f64;
  /** Profile generator: standard deviation. Unit: metre. Offset 144. */
  ouSpreadM: f64;
  /** Profile generator: noise added per point. Unit: metre. Offset 152. */
  ouStepM: f64;
  /** Coefficient of the split into common and row-specific waves. Unit: ratio. Offset 160. */
  splitRatio: f64;
  /** Soil noise: decay per point. Unit: ratio. Offset 168. */
  soilDecay: f64;
  /** Sections of the waviness filter in use. Unit: none. Offset 176. */
  sections: f64;
  /** Smoothing of patch edges: decay per point. Unit: ratio. Offset 184. */
  patchDecay: f64;
}
export const DERIVED_BYTES: usize = 192;

/** Coefficients of a second-order low-pass (bilinear, unity gain at zero frequency). 24 bytes. */
@unmanaged
@final
export class LowPass {
  /** Numerator: b0, 2·b0, b0. Unit: none. Offset 0. */
  b0: f64;
  /** Denominator. Unit: none. Offset 8. */
  a1: f64;
  /** Denominator. Unit: none. Offset 16. */
  a2: f64;
}
export const LOW_PASS_BYTES: usize = 24;

/** A first-order section of the filter for a waviness other than 2. 24 bytes. */
@unmanaged
@final
export class Section {
  /** Numerator. Unit: none. Offset 0. */
  b0: f64;
  /** Numerator. Unit: none. Offset 8. */
  b1: f64;
  /** Denominator. Unit: none. Offset 16. */
  a1: f64;
}
export const SECTION_BYTES: usize = 24;

/** State that all rows share. 152 bytes. */
@unmanaged
@final
export class PlantState {
  /** Ticks so far. Unit: tick. Offset 0. */
  tick: f64;
  /** Distance driven. Unit: metre. Offset 8. */
  distanceM: f64;
  /** Ground speed. Unit: metrePerSecond. Offset 16. */
  speedMps: f64;
  /** Acceleration in this tick. Unit: metrePerSecondSquared. Offset 24. */
  accelerationMps2: f64;
  /** Last profile point at or before the distance. Unit: none. Offset 32. */
  point: f64;
  /** Fraction of the lifting time: 0 down, 1 up. Unit: ratio. Offset 40. */
  liftRatio: f64;
  /** Rate of liftRatio in this step, 1/s. Unit: none. Offset 48. */
  liftPerS: f64;
  /** Rail pressure, absolute, Pa. Unit: none. Offset 56. */
  railPa: f64;
  /** Return pressure, absolute, Pa. Unit: none. Offset 64. */
  returnPa: f64;
  /** Flow out of the rail, m³/s. Unit: none. Offset 72. */
  supplyM3PerS: f64;
  /** Flow into the return line, m³/s. Unit: none. Offset 80. */
  returnM3PerS: f64;
  /** Kinematic viscosity, m²/s. Unit: none. Offset 88. */
  viscosityM2PerS: f64;
  /** Oil temperature of that viscosity. Unit: degreeCelsius. Offset 96. */
  viscosityAtC: f64;
  /** Gravity normal to the slope. Unit: metrePerSecondSquared. Offset 104. */
  gravityMps2: f64;
  /** Voltage at the bank. Unit: volt. Offset 112. */
  bankV: f64;
  /** Voltage at the coils. Unit: volt. Offset 120. */
  coilV: f64;
  /** Current of all coils. Unit: ampere. Offset 128. */
  coilsA: f64;
  /** Energy drawn from the rail. Unit: joule. Offset 136. */
  hydraulicJ: f64;
  /** Constant counts of a frozen rail sensor. Unit: count. Offset 144. */
  frozenRailCounts: f64;
}
export const PLANT_STATE_BYTES: usize = 152;

/** Values that all rows share at a stage of the Runge–Kutta step; the fine stages are for a row whose step is divided. 128 bytes. */
@unmanaged
@final
export class Stage {
  /** Weight of a profile point in the height, point 0. Unit: none. Offset 0. */
  weight0: f64;
  /** Weight of a profile point in the height, point 1. Unit: none. Offset 8. */
  weight1: f64;
  /** Weight of a profile point in the height, point 2. Unit: none. Offset 16. */
  weight2: f64;
  /** Weight of a profile point in the height, point 3. Unit: none. Offset 24. */
  weight3: f64;
  /** Weight of a profile point in the height, point 4. Unit: none. Offset 32. */
  weight4: f64;
  /** Weight of a profile point in the slope, 1/m, point 0. Unit: none. Offset 40. */
  slope0: f64;
  /** Weight of a profile point in the slope, 1/m, point 1. Unit: none. Offset 48. */
  slope1: f64;
  /** Weight of a profile point in the slope, 1/m, point 2. Unit: none. Offset 56. */
  slope2: f64;
  /** Weight of a profile point in the slope, 1/m, point 3. Unit: none. Offset 64. */
  slope3: f64;
  /** Weight of a profile point in the slope, 1/m, point 4. Unit: none. Offset 72. */
  slope4: f64;
  /** Distance driven. Unit: metre. Offset 80. */
  distanceM: f64;
  /** Ground speed. Unit: metrePerSecond. Offset 88. */
  speedMps: f64;
  /** Sine of the lug angle. Unit: ratio. Offset 96. */
  lugSine: f64;
  /** Cosine of the lug angle. Unit: ratio. Offset 104. */
  lugCosine: f64;
  /** Height of the frame. Unit: metre. Offset 112. */
  frameM: f64;
  /** Vertical speed of the frame. Unit: metrePerSecond. Offset 120. */
  frameMps: f64;
}
export const STAGE_BYTES: usize = 128;

/** Generator of the height and soil of one track. 224 bytes. */
@unmanaged
@final
export class Track {
  /** Profile generator. Unit: metre. Offset 0. */
  ouM: f64;
  /** Waviness filter. Unit: metre. Offset 8. */
  section0: f64;
  /** Waviness filter. Unit: metre. Offset 16. */
  section1: f64;
  /** Waviness filter. Unit: metre. Offset 24. */
  section2: f64;
  /** Waviness filter. Unit: metre. Offset 32. */
  section3: f64;
  /** Waviness filter. Unit: metre. Offset 40. */
  section4: f64;
  /** Waviness filter. Unit: metre. Offset 48. */
  section5: f64;
  /** State of the split into common and row-specific waves. Unit: metre. Offset 56. */
  splitM: f64;
  /** Low-pass. Unit: metre. Offset 64. */
  low1: f64;
  /** Low-pass. Unit: metre. Offset 72. */
  low2: f64;
  /** Soil noise. Unit: ratio. Offset 80. */
  soilNoise: f64;
  /** Soil force with smoothed patch edges. Unit: newton. Offset 88. */
  soilN: f64;
  /** Number of the soil patch. Unit: none. Offset 96. */
  patch: f64;
  /** End of the patch, mean of all rows. Unit: metre. Offset 104. */
  patchBaseM: f64;
  /** End of the patch in this row. Unit: metre. Offset 112. */
  patchEndM: f64;
  /** Opener force of the patch. Unit: newton. Offset 120. */
  patchN: f64;
  /** Start of the present or next stone. Unit: metre. Offset 128. */
  stoneM: f64;
  /** Number of that stone. Unit: none. Offset 136. */
  stone: f64;
  /** Height, point 0. Unit: metre. Offset 144. */
  height0: f64;
  /** Height, point 1. Unit: metre. Offset 152. */
  height1: f64;
  /** Height, point 2. Unit: metre. Offset 160. */
  height2: f64;
  /** Height, point 3. Unit: metre. Offset 168. */
  height3: f64;
  /** Height, point 4. Unit: metre. Offset 176. */
  height4: f64;
  /** Opener force, point 0. Unit: newton. Offset 184. */
  soil0: f64;
  /** Opener force, point 1. Unit: newton. Offset 192. */
  soil1: f64;
  /** Opener force, point 2. Unit: newton. Offset 200. */
  soil2: f64;
  /** Opener force, point 3. Unit: newton. Offset 208. */
  soil3: f64;
  /** Opener force, point 4. Unit: newton. Offset 216. */
  soil4: f64;
}
export const TRACK_BYTES: usize = 224;

/** Properties in which a row differs from the others. 56 bytes. */
@unmanaged
@final
export class RowProperties {
  /** Moving mass. Unit: kilogram. Offset 0. */
  massKg: f64;
  /** Contact stiffness. Unit: newtonPerMetre. Offset 8. */
  contactNPerM: f64;
  /** Flow of the supply valve as a fraction of nominal. Unit: ratio. Offset 16. */
  supplyFlow: f64;
  /** Flow of the return valve as a fraction of nominal. Unit: ratio. Offset 24. */
  returnFlow: f64;
  /** Zero offset of the load sensor. Unit: newton. Offset 32. */
  loadZeroN: f64;
  /** Sine of the lug phase. Unit: ratio. Offset 40. */
  lugSine: f64;
  /** Cosine of the lug phase. Unit: ratio. Offset 48. */
  lugCosine: f64;
}
export const ROW_PROPERTIES_BYTES: usize = 56;

/** State of a row. Height, speed, gas temperature, sensed load and stored oil are integrated; the pressure follows from the oil. `startState` is the state at the start of a step, `trial` that of a stage. 176 bytes. */
@unmanaged
@final
export class RowState {
  /** Height of the row. Unit: metre. Offset 0. */
  heightM: f64;
  /** Vertical speed of the row, up positive. Unit: metrePerSecond. Offset 8. */
  speedMps: f64;
  /** Chamber pressure, absolute, Pa. Unit: none. Offset 16. */
  chamberPa: f64;
  /** Gas temperature, K. Unit: none. Offset 24. */
  gasK: f64;
  /** Load behind the fluid coupling. Unit: newton. Offset 32. */
  sensedN: f64;
  /** Oil stored in the chamber by its pressure, m³. Unit: none. Offset 40. */
  storedM3: f64;
  /** Acceleration of the row at the end of the tick. Unit: metrePerSecondSquared. Offset 48. */
  accelerationMps2: f64;
  /** Oil taken from the rail, m³. Unit: none. Offset 56. */
  oilM3: f64;
  /** Oil returned, m³. Unit: none. Offset 64. */
  returnedM3: f64;
  /** Heat of the rebound damping. Unit: joule. Offset 72. */
  reboundJ: f64;
  /** Energy drawn by the coils of the row. Unit: joule. Offset 80. */
  coilJ: f64;
  /** Part of coilJ that is lost as heat in the windings. Unit: joule. Offset 88. */
  coilLossJ: f64;
  /** Strokes that did not move their valve. Unit: none. Offset 96. */
  missed: f64;
  /** Load filter of the proportional valve. Unit: newton. Offset 104. */
  filtered1: f64;
  /** Load filter of the proportional valve. Unit: newton. Offset 112. */
  filtered2: f64;
  /** Integral term of the controller of the proportional valve, Pa. Unit: none. Offset 120. */
  integralPa: f64;
  /** Commanded pressure, Pa. Unit: none. Offset 128. */
  commandPa: f64;
  /** Commanded pressure after the lag of coil and spool, Pa absolute. Unit: none. Offset 136. */
  laggedPa: f64;
  /** Set pressure after friction, Pa absolute. Unit: none. Offset 144. */
  spoolPa: f64;
  /** Constant counts of a frozen load sensor. Unit: count. Offset 152. */
  frozenLoadCounts: f64;
  /** Constant counts of a frozen pressure sensor. Unit: count. Offset 160. */
  frozenPressureCounts: f64;
  /** Constant counts of a frozen accelerometer. Unit: count. Offset 168. */
  frozenAccelerationCounts: f64;
}
export const ROW_STATE_BYTES: usize = 176;

/** A latching valve. 56 bytes. */
@unmanaged
@final
export class Valve {
  /** Opening. Unit: ratio. Offset 0. */
  opening: f64;
  /** Opening at the start of the step. Unit: ratio. Offset 8. */
  before: f64;
  /** Last end position: 0 closed, 1 open. Unit: none. Offset 16. */
  latched: f64;
  /** Present order: 0 none, 1 open, 2 close. Unit: none. Offset 24. */
  order: f64;
  /** Coil current. Unit: ampere. Offset 32. */
  coilA: f64;
  /** 1 while the present stroke does not move the valve. Unit: none. Offset 40. */
  missing: f64;
  /** Number of strokes. Unit: none. Offset 48. */
  strokes: f64;
}
export const VALVE_BYTES: usize = 56;

/** Rates of change of a row, and the forces and flows behind them. 200 bytes. */
@unmanaged
@final
export class Rates {
  /** Rate of the height. Unit: metrePerSecond. Offset 0. */
  heightMps: f64;
  /** Rate of the speed. Unit: metrePerSecondSquared. Offset 8. */
  speedMps2: f64;
  /** Rate of the chamber pressure, Pa/s. Unit: none. Offset 16. */
  chamberPaPerS: f64;
  /** Rate of the gas temperature, K/s. Unit: none. Offset 24. */
  gasKPerS: f64;
  /** Rate of the sensed load, N/s. Unit: none. Offset 32. */
  sensedNPerS: f64;
  /** Rate of the stored oil, m³/s. Unit: none. Offset 40. */
  storedM3PerS: f64;
  /** Flow from the rail, m³/s. Unit: none. Offset 48. */
  supplyM3PerS: f64;
  /** Flow to the return line, m³/s. Unit: none. Offset 56. */
  returnM3PerS: f64;
  /** Flow that bypasses the chamber, from rail to return line, m³/s. Unit: none. Offset 64. */
  bypassM3PerS: f64;
  /** Heat of the rebound damping. Unit: watt. Offset 72. */
  reboundW: f64;
  /** Gauge-wheel load. Unit: newton. Offset 80. */
  wheelN: f64;
  /** Force of the soil on the opener. Unit: newton. Offset 88. */
  openerN: f64;
  /** Load of the closing wheels. Unit: newton. Offset 96. */
  closingN: f64;
  /** Down force at the row. Unit: newton. Offset 104. */
  downN: f64;
  /** Down force of the cylinder alone. Unit: newton. Offset 112. */
  cylinderN: f64;
  /** Force of the lift spring. Unit: newton. Offset 120. */
  springN: f64;
  /** Force of the rebound damping. Unit: newton. Offset 128. */
  reboundN: f64;
  /** Friction, up positive. Unit: newton. Offset 136. */
  frictionN: f64;
  /** Force of the stops, up positive. Unit: newton. Offset 144. */
  stopN: f64;
  /** Height of the ground under the wheels. Unit: metre. Offset 152. */
  groundM: f64;
  /** Rate of change of groundM. Unit: metrePerSecond. Offset 160. */
  groundMps: f64;
  /** Height of the frame. Unit: metre. Offset 168. */
  frameM: f64;
  /** Vertical speed of the frame. Unit: metrePerSecond. Offset 176. */
  frameMps: f64;
  /** Opener force at the set depth. Unit: newton. Offset 184. */
  soilN: f64;
  /** Ground speed. Unit: metrePerSecond. Offset 192. */
  groundSpeedMps: f64;
}
export const RATES_BYTES: usize = 200;

export function bankInput(): BankInput {
  return changetype<BankInput>(64);
}

export function rowInput(index: i32): RowInput {
  return changetype<RowInput>(<usize>84 + <usize>index * 8);
}

export function bankOutput(): BankOutput {
  return changetype<BankOutput>(468);
}

export function rowOutput(index: i32): RowOutput {
  return changetype<RowOutput>(<usize>476 + <usize>index * 8);
}

export function setup(): Setup {
  return changetype<Setup>(864);
}

export function machine(): Machine {
  return changetype<Machine>(920);
}

export function field(): Field {
  return changetype<Field>(1664);
}

export function drive(): Drive {
  return changetype<Drive>(1768);
}

export function injectedFaults(index: i32): InjectedFaults {
  return changetype<InjectedFaults>(<usize>1880 + <usize>index * 152);
}

export function bankTruth(): BankTruth {
  return changetype<BankTruth>(9176);
}

export function rowTruth(index: i32): RowTruth {
  return changetype<RowTruth>(<usize>9220 + <usize>index * 76);
}

export function derived(): Derived {
  return changetype<Derived>(12872);
}

export function envelope(): LowPass {
  return changetype<LowPass>(13064);
}

export function frameFilter(): LowPass {
  return changetype<LowPass>(13088);
}

export function slowFilter(): LowPass {
  return changetype<LowPass>(13112);
}

export function section(index: i32): Section {
  return changetype<Section>(<usize>13136 + <usize>index * 24);
}

export function plant(): PlantState {
  return changetype<PlantState>(13280);
}

export function stageStart(): Stage {
  return changetype<Stage>(13432);
}

export function stageMiddle(): Stage {
  return changetype<Stage>(13560);
}

export function stageEnd(): Stage {
  return changetype<Stage>(13688);
}

export function fineStart(): Stage {
  return changetype<Stage>(13816);
}

export function fineMiddle(): Stage {
  return changetype<Stage>(13944);
}

export function fineEnd(): Stage {
  return changetype<Stage>(14072);
}

export function track(index: i32): Track {
  return changetype<Track>(<usize>14200 + <usize>index * 224);
}

export function rowProperties(index: i32): RowProperties {
  return changetype<RowProperties>(<usize>25176 + <usize>index * 56);
}

export function rowState(index: i32): RowState {
  return changetype<RowState>(<usize>27864 + <usize>index * 176);
}

export function startState(): RowState {
  return changetype<RowState>(36312);
}

export function trial(): RowState {
  return changetype<RowState>(36488);
}

export function valve(index: i32): Valve {
  return changetype<Valve>(<usize>36664 + <usize>index * 56);
}

export function rates(): Rates {
  return changetype<Rates>(42040);
}
