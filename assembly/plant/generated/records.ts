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
/** Profile points under the largest gauge wheel. */
export const WINDOW: i32 = 41;

/** Points of a track's soil that are kept. */
export const SOIL_POINTS: i32 = 512;
/** Points by which the soil is known ahead of the height. */
export const SOIL_LEAD: i64 = 254;
/** Time by which a preview is ahead of the row, s. */
export const PREVIEW_S: f64 = 0.4;

/** Distance between profile points, m. */
export const PROFILE_STEP_M: f64 = 0.025;

/** Reference spatial frequency of ISO 8608, cycles/m. */
export const ROAD_REFERENCE_PER_M: f64 = 0.1;

/** Address of a height profile from a file. */
export const PROFILE_AT: usize = 542560;

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
  export const NoiseOnly: f64 = 6;
}

export namespace SoilAheadFault {
  export const None: f64 = 0;
  export const Lost: f64 = 1;
  export const Frozen: f64 = 2;
  export const Garbage: f64 = 3;
  export const OtherRow: f64 = 4;
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
  /** Lift switch: 0 lifted, otherwise lowered; debounced for liftDebounceMs. Unit: none. Offset 16. */
  lowered: u8;
  /** Operator's switch: 0 off, otherwise on. Unit: none. Offset 17. */
  enabled: u8;
  /** Early warning that power is about to be switched off: 0 no, otherwise yes. Unit: none. Offset 18. */
  shutDown: u8;
  /** Unused, 0. Unit: none. Offset 19. */
  spare: u8;
}
export const BANK_INPUT_BYTES: usize = 20;

/** Inputs of a row for one tick. 12 bytes. */
@unmanaged
@final
export class RowInput {
  /** Expected change of the opener's force from now to 0.4 s from now, positive: harder soil comes, and the wheels will carry less; NaN: nothing is known. Ignored unless soilAheadFitted. Unit: newton. Offset 0. */
  soilAheadN: f32;
  /** Gauge-wheel load, ratiometric. Unit: count. Offset 4. */
  loadCounts: u16;
  /** Chamber pressure, ratiometric. Unit: count. Offset 6. */
  pressureCounts: u16;
  /** Row accelerometer, ratiometric; ignored unless accelerationFitted. Unit: count. Offset 8. */
  accelerationCounts: u16;
  /** Row switch: 0 off, otherwise on. Unit: none. Offset 10. */
  enabled: u8;
  /** Unused, 0. Unit: none. Offset 11. */
  spare: u8;
}
export const ROW_INPUT_BYTES: usize = 12;

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
  /** 1 while nothing is owed: every valve is believed to be closed and none is checked for a missed close, no stroke is in progress or waits, and the bank does not vent. Unit: none. Offset 6. */
  powerMayBeCut: u8;
  /** Unused, 0. Unit: none. Offset 7. */
  spare: u8;
}
export const BANK_OUTPUT_BYTES: usize = 8;

/** Outputs of a row. 8 bytes. */
@unmanaged
@final
export class RowOutput {
  /** Row faults that are set. Unit: bits. Offset 0. */
  faults: u32;
  /** Operating mode of the row (frozen: the load is invalid and the set point stays; lowering: the wheels have not touched the ground yet). Unit: none. Offset 4. */
  mode: u8;
  /** Coil order to the supply valve in this tick. Unit: none. Offset 5. */
  supplyOrder: u8;
  /** Coil order to the return valve in this tick. Unit: none. Offset 6. */
  returnOrder: u8;
  /** Unused, 0. Unit: none. Offset 7. */
  spare: u8;
}
export const ROW_OUTPUT_BYTES: usize = 8;

/** Settings of a run. 80 bytes. */
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
  /** Segments of the field; 0: it is the same everywhere. Unit: none. Offset 56. */
  segments: f64;
  /** Stones at a place. Unit: none. Offset 64. */
  placedStones: f64;
  /** Steps of the ground. Unit: none. Offset 72. */
  groundSteps: f64;
}
export const SETUP_BYTES: usize = 80;

/** The machine, as in its file. 976 bytes. */
@unmanaged
@final
export class Machine {
  /** Mass of the row unit without seed. Unit: kilogram. Offset 0. */
  massKg: f64;
  /** Mass of the seed in its hopper. Unit: kilogram. Offset 8. */
  seedKg: f64;
  /** Dry friction of the linkage, as a force at the row. Unit: newton. Offset 16. */
  frictionN: f64;
  /** Seed that a row uses while it plants; its hopper gets lighter until it is empty; the default is for maize (our choice). Unit: kilogramPerKilometre. Offset 24. */
  seedUseKgPerKm: f64;
  /** Load on the closing wheels. Unit: newton. Offset 32. */
  closingN: f64;
  /** Height of the row above the ground at which the closing wheels touch it. Unit: millimetre. Offset 40. */
  closingReachMm: f64;
  /** Sinking over which their load then builds up. Unit: millimetre. Offset 48. */
  closingSoftMm: f64;
  /** Set depth of the opener, which touches the ground that high before the gauge wheels. Unit: millimetre. Offset 56. */
  seedDepthMm: f64;
  /** Contact stiffness of tyre and soil. Unit: newtonPerMetre. Offset 64. */
  contactNPerM: f64;
  /** Contact damping of tyre and soil. Unit: newtonSecondPerMetre. Offset 72. */
  contactNsPerM: f64;
  /** Spatial cut-off frequency of tyre enveloping; the tyre smooths shorter waves. Unit: perMetre. Offset 80. */
  envelopePerM: f64;
  /** Radius of the circle that rolls over ground and stones (default our choice); 0: contact at a point. Unit: millimetre. Offset 88. */
  wheelRadiusMm: f64;
  /** Height of the ripple caused by the tyre lugs. Unit: millimetre. Offset 96. */
  lugHeightMm: f64;
  /** Distance between tyre lugs. Unit: metre. Offset 104. */
  lugPitchM: f64;
  /** Fraction of the height of a stone that reaches the row; two wheels with an equaliser halve it. Unit: ratio. Offset 112. */
  equaliserRatio: f64;
  /** Length of the arms. Unit: metre. Offset 120. */
  armM: f64;
  /** Distance along the arm from its pivot to the attachment of the cylinder. Unit: metre. Offset 128. */
  attachM: f64;
  /** Position of the upper pivot of the cylinder, rearward. Unit: metre. Offset 136. */
  cylinderPivotRearM: f64;
  /** Position of the upper pivot of the cylinder, upward. Unit: metre. Offset 144. */
  cylinderPivotUpM: f64;
  /** Travel from level down to the stop. Unit: millimetre. Offset 152. */
  travelDownMm: f64;
  /** Travel from level up to the stop. Unit: millimetre. Offset 160. */
  travelUpMm: f64;
  /** Stiffness of the stops. Unit: newtonPerMetre. Offset 168. */
  stopNPerM: f64;
  /** Piston area. Unit: squareCentimetre. Offset 176. */
  capAreaCm2: f64;
  /** Oil volume in chamber and lines at level travel. Unit: millilitre. Offset 184. */
  chamberOilMl: f64;
  /** Bulk modulus of oil and hoses. Unit: megapascal. Offset 192. */
  bulkModulusMpa: f64;
  /** Free air in the oil at atmospheric pressure, as a fraction of the volume. Unit: ratio. Offset 200. */
  airRatio: f64;
  /** Gas volume at precharge. Unit: millilitre. Offset 208. */
  accumulatorMl: f64;
  /** Precharge pressure, absolute, at 20 °C. Unit: kilopascal. Offset 216. */
  prechargeAbsoluteKpa: f64;
  /** Ratio of specific heats of the gas. Unit: ratio. Offset 224. */
  gasExponent: f64;
  /** Time constant of heat exchange between gas and wall. Unit: second. Offset 232. */
  gasThermalS: f64;
  /** Gas that leaks out per hour, as a fraction of what is left; the default is for a worn seal (our choice). Unit: perHour. Offset 240. */
  gasLeakRatioPerH: f64;
  /** Force at level travel. Unit: newton. Offset 248. */
  liftN: f64;
  /** Spring rate: increase of the force as the row goes down. Unit: newtonPerMetre. Offset 256. */
  liftNPerM: f64;
  /** Diameter of the orifice. Unit: millimetre. Offset 264. */
  reboundOrificeMm: f64;
  /** Area of the rod side. Unit: squareCentimetre. Offset 272. */
  rodAreaCm2: f64;
  /** Damping when rising, as a fraction of that when falling. Unit: ratio. Offset 280. */
  reboundUpRatio: f64;
  /** Flow of the open valve at valveFlowDropKpa, oil at 40 °C. Unit: litrePerMinute. Offset 288. */
  valveFlowLpm: f64;
  /** Pressure drop at which valveFlowLpm is specified. Unit: kilopascal. Offset 296. */
  valveFlowDropKpa: f64;
  /** Flow of the return valve relative to that of the supply valve, at the same pressure drop (default our choice). Unit: ratio. Offset 304. */
  returnFlowRatio: f64;
  /** Change of the flow with oil temperature, relative to 40 °C, beyond that by viscosity (default our choice). Unit: perDegree. Offset 312. */
  flowRatioPerC: f64;
  /** Length of the narrow passage in the valve, which causes the viscous pressure drop. Unit: millimetre. Offset 320. */
  passageMm: f64;
  /** Leak of a closed valve at 100 bar. Unit: millilitrePerMinute. Offset 328. */
  valveLeakMlPerMin: f64;
  /** Travel time of the armature. Unit: millisecond. Offset 336. */
  moveMs: f64;
  /** Fraction of the travel beyond which the magnet completes the stroke. Unit: ratio. Offset 344. */
  throwRatio: f64;
  /** Coil resistance at 20 °C. Unit: ohm. Offset 352. */
  coilOhm: f64;
  /** Coil inductance. Unit: millihenry. Offset 360. */
  coilMh: f64;
  /** Coil current at which the armature starts to move. Unit: ampere. Offset 368. */
  pullA: f64;
  /** Pump pressure at zero flow. Unit: kilopascal. Offset 376. */
  railNominalKpa: f64;
  /** Drop of the rail pressure with flow. Unit: kilopascalPerLitrePerMinute. Offset 384. */
  railDroopKpaPerLpm: f64;
  /** Oil volume in hoses and rail. Unit: millilitre. Offset 392. */
  railOilMl: f64;
  /** Maximum flow of the pump. Unit: litrePerMinute. Offset 400. */
  pumpLpm: f64;
  /** Opening pressure of the relief valve. Unit: kilopascal. Offset 408. */
  reliefKpa: f64;
  /** Return line pressure at zero flow. Unit: kilopascal. Offset 416. */
  returnKpa: f64;
  /** Rise of the return line pressure with flow. Unit: kilopascalPerLitrePerMinute. Offset 424. */
  returnRiseKpaPerLpm: f64;
  /** Density. Unit: kilogramPerCubicMetre. Offset 432. */
  oilKgPerM3: f64;
  /** Kinematic viscosity at 40 °C. Unit: squareMillimetrePerSecond. Offset 440. */
  viscosityAt40: f64;
  /** Kinematic viscosity at 100 °C. Unit: squareMillimetrePerSecond. Offset 448. */
  viscosityAt100: f64;
  /** ADC counts at the full sensor supply. Unit: count. Offset 456. */
  adcFullScaleCounts: f64;
  /** Corner frequency of the fluid coupling of the load sensor, with its accumulator, at 450 N. Unit: hertz. Offset 464. */
  loadLagHz: f64;
  /** Stiffening of the coupling with load: its corner frequency is proportional to (load + loadStiffeningN)². Unit: newton. Offset 472. */
  loadStiffeningN: f64;
  /** Noise of the load reading, standard deviation. Unit: newton. Offset 480. */
  loadNoiseN: f64;
  /** Gain of the load sensor. Unit: ratio. Offset 488. */
  loadGainRatio: f64;
  /** Drift of the gain of the load sensor since the start (default our choice). Unit: perMinute. Offset 496. */
  loadGainDriftRatioPerMin: f64;
  /** Offset of the load readings of all rows at the start; the default is that of sensors zeroed at the last lift. Unit: newton. Offset 504. */
  loadOffsetN: f64;
  /** Drift of the load readings since the start (default our choice). Unit: newtonPerMinute. Offset 512. */
  loadDriftNPerMin: f64;
  /** Zero drift of the load sensor with oil temperature, relative to 20 °C. Unit: newtonPerDegree. Offset 520. */
  loadDriftNPerC: f64;
  /** Load at 10 % of the sensor supply. Unit: newton. Offset 528. */
  loadAtTenPercentN: f64;
  /** Load at 90 % of the sensor supply. Unit: newton. Offset 536. */
  loadAtNinetyPercentN: f64;
  /** Noise of the pressure readings, standard deviation. Unit: kilopascal. Offset 544. */
  pressureNoiseKpa: f64;
  /** Chamber pressure at 10 % of the sensor supply. Unit: kilopascal. Offset 552. */
  pressureAtTenPercentKpa: f64;
  /** Chamber pressure at 90 % of the sensor supply. Unit: kilopascal. Offset 560. */
  pressureAtNinetyPercentKpa: f64;
  /** Rail pressure at 10 % of the sensor supply. Unit: kilopascal. Offset 568. */
  railAtTenPercentKpa: f64;
  /** Rail pressure at 90 % of the sensor supply. Unit: kilopascal. Offset 576. */
  railAtNinetyPercentKpa: f64;
  /** Accelerometer fitted. Unit: none. Offset 584. */
  accelerationFitted: f64;
  /** Noise density of the reading, whose band ends at half of the tick rate: the default is 0.09 m/s² at 1 kHz, the upper end of data sheets of MEMS parts (100 to 400 µg/√Hz, from memory). Unit: metrePerSecondSquaredPerRootHertz. Offset 592. */
  accelerationNoiseMps2PerRootHz: f64;
  /** Offset of the reading; the default is what a calibration leaves of the 20 to 80 mg in data sheets of MEMS parts (from memory). Unit: metrePerSecondSquared. Offset 600. */
  accelerationBiasMps2: f64;
  /** Scale of the reading; the default is a sensitivity tolerance in data sheets of MEMS parts (from memory). Unit: ratio. Offset 608. */
  accelerationScaleRatio: f64;
  /** Tilt of the axis of the sensor, forward positive: it reads the component along its axis (default our choice). Unit: degree. Offset 616. */
  accelerationTiltDeg: f64;
  /** Fraction of gravity in the reading: 0 it was removed, 1 the sensor reads +9.81 m/s² at rest on level ground, less when tilted or on a slope; the default is how MEMS parts measure. Unit: ratio. Offset 624. */
  accelerationGravityRatio: f64;
  /** Position of the sensor on the arm: 1 at the row (default, on its shank; our choice), 0 at the frame; in between it reads that fraction of the acceleration of the row and the rest of that of the frame. Unit: ratio. Offset 632. */
  accelerationMountRatio: f64;
  /** Acceleration at 10 % of the sensor supply, up positive. Unit: metrePerSecondSquared. Offset 640. */
  accelerationAtTenPercentMps2: f64;
  /** Acceleration at 90 % of the sensor supply. Unit: metrePerSecondSquared. Offset 648. */
  accelerationAtNinetyPercentMps2: f64;
  /** The controller gets the soil ahead: 0 no, 1 yes. Unit: none. Offset 656. */
  soilAheadFitted: f64;
  /** Change of the opener force in the map, as a fraction of the true one; negative: inverted. Unit: ratio. Offset 664. */
  soilAheadGainRatio: f64;
  /** Error of the map from cell to cell, standard deviation; typical 50 (our choice). Unit: newton. Offset 672. */
  soilAheadNoiseN: f64;
  /** Length of the cells of that error; between their centres it is linear. Unit: metre. Offset 680. */
  soilAheadCellM: f64;
  /** Shift of the map along the path; positive: what it shows comes too late; typical 0.3 (our choice). Unit: metre. Offset 688. */
  soilAheadOffsetM: f64;
  /** Fraction of the soil patches for which the map has another force, drawn at random; typical 0.1 (our choice). Unit: ratio. Offset 696. */
  soilAheadWrongRatio: f64;
  /** Voltage of battery and alternator. Unit: volt. Offset 704. */
  sourceV: f64;
  /** Resistance of source and wires up to the bank. Unit: ohm. Offset 712. */
  harnessOhm: f64;
  /** Power of the electronics and sensors of the bank. Unit: watt. Offset 720. */
  electronicsW: f64;
  /** Capacitance. Unit: microfarad. Offset 728. */
  reservoirUf: f64;
  /** Charging resistor, in series with a diode. Unit: ohm. Offset 736. */
  chargeOhm: f64;
  /** Lift height at a headland. Unit: millimetre. Offset 744. */
  liftMm: f64;
  /** Time for the frame to lift. Unit: second. Offset 752. */
  liftS: f64;
  /** Time for the frame to lower, which its weight helps (default our choice); the controller gets the longer one of the two. Unit: second. Offset 760. */
  lowerS: f64;
  /** Wavelength below which the frame wheels smooth the ground (default our choice). Unit: metre. Offset 768. */
  frameWaveM: f64;
  /** Natural frequency of the frame on its wheels (default our choice); 0: a rigid frame on the waves that all rows share. Unit: hertz. Offset 776. */
  bounceHz: f64;
  /** Damping ratio of the frame on its wheels; 0.1 to 0.25 on tyres, which are its only dampers (our choice). Unit: ratio. Offset 784. */
  bounceDampingRatio: f64;
  /** Rows on a wing of the frame, which bounces and rolls as one bar; the last wing has the remaining rows. Unit: none. Offset 792. */
  wingRows: f64;
  /** Relative standard deviation of the mass. Unit: ratio. Offset 800. */
  massSpreadRatio: f64;
  /** Relative standard deviation of the contact stiffness. Unit: ratio. Offset 808. */
  contactSpreadRatio: f64;
  /** Relative standard deviation of the valve flows. Unit: ratio. Offset 816. */
  flowSpreadRatio: f64;
  /** Standard deviation of the load sensor zeros. Unit: newton. Offset 824. */
  loadSpreadN: f64;
  /** Relative standard deviation of the gas in the accumulators (default our choice). Unit: ratio. Offset 832. */
  gasSpreadRatio: f64;
  /** Relative standard deviation of the gains of the load sensors (default our choice). Unit: ratio. Offset 840. */
  loadGainSpreadRatio: f64;
  /** Standard deviation of the offsets of the accelerometers; source of the default as for accelerationBiasMps2. Unit: metrePerSecondSquared. Offset 848. */
  accelerationBiasSpreadMps2: f64;
  /** Standard deviation of the lift height: lowered rows touch the ground one after the other (default our choice). Unit: millimetre. Offset 856. */
  liftSpreadMm: f64;
  /** Bandwidth of coil and spool. Unit: hertz. Offset 864. */
  spoolHz: f64;
  /** Half width of the spool deadband, as a pressure error. Unit: kilopascal. Offset 872. */
  spoolDeadKpa: f64;
  /** Pressure error beyond the deadband at which a metering edge is fully open. Unit: kilopascal. Offset 880. */
  spoolFullKpa: f64;
  /** Flow of a fully open metering edge at valveFlowDropKpa. Unit: litrePerMinute. Offset 888. */
  spoolFlowLpm: f64;
  /** Half width of the friction hysteresis. Unit: kilopascal. Offset 896. */
  spoolFrictionKpa: f64;
  /** Growth of that half width by contamination. Unit: kilopascalPerHour. Offset 904. */
  contaminationKpaPerHour: f64;
  /** Leak across the spool at 100 bar. Unit: millilitrePerMinute. Offset 912. */
  spoolLeakMlPerMin: f64;
  /** Coil resistance. Unit: ohm. Offset 920. */
  proportionalOhm: f64;
  /** Coil current at zero pressure. Unit: ampere. Offset 928. */
  proportionalMinA: f64;
  /** Coil current at proportionalMaxKpa. Unit: ampere. Offset 936. */
  proportionalMaxA: f64;
  /** Maximum set pressure. Unit: kilopascal. Offset 944. */
  proportionalMaxKpa: f64;
  /** Corner frequency of the second-order low-pass on the load. Unit: hertz. Offset 952. */
  proportionalFilterHz: f64;
  /** Proportional gain: pressure per load error. Unit: kilopascalPerNewton. Offset 960. */
  proportionalKpaPerN: f64;
  /** Integral gain: pressure rate per load error. Unit: kilopascalPerNewtonSecond. Offset 968. */
  proportionalKpaPerNS: f64;
}
export const MACHINE_BYTES: usize = 976;

/** The field. 144 bytes. */
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
  /** Length over which the soil force changes at the edge of a patch: to 63 % of the change; the default is the middle of 0.1 to 0.3 (our choice). Unit: metre. Offset 80. */
  soilEdgeM: f64;
  /** Variation of the soil force within a patch, standard deviation. Unit: ratio. Offset 88. */
  soilNoiseRatio: f64;
  /** Correlation length of the soil force within a patch. Unit: metre. Offset 96. */
  soilNoiseM: f64;
  /** Correlation of the soil between neighbouring rows. Unit: ratio. Offset 104. */
  rowCorrelation: f64;
  /** Water in the soil, by dry mass, at which soilMinN, soilMaxN and the contact stiffness of the machine hold (default our choice). Unit: percent. Offset 112. */
  moisturePercent: f64;
  /** Hardness is proportional to moisture to the power of minus this. Penetration resistance falls as a power of the water content (Busscher, Bauer, Camp, Sojka 1997, Soil and Tillage Research 43:205-217, compare such equations; default our choice). Unit: ratio. Offset 120. */
  moisturePower: f64;
  /** Fraction of the yielding of tyre and soil that is due to the soil, at hardness 1 (default our choice). Unit: ratio. Offset 128. */
  soilYieldRatio: f64;
  /** Length over which one segment turns into the next, centred on their border; at most the length of the shorter one (default our choice); 0: at once. Unit: metre. Offset 136. */
  segmentBlendM: f64;
}
export const FIELD_BYTES: usize = 144;

/** Segments of the field along the pass, in their order. The first starts before the pass, the last has no end. 56 bytes. */
@unmanaged
@final
export class Segment {
  /** Start, in the middle of the blend from the one before. Unit: metre. Offset 0. */
  startM: f64;
  /** Length of that blend. Unit: metre. Offset 8. */
  blendM: f64;
  /** Roughness Gd(n0). Unit: cubicCentimetre. Offset 16. */
  roughnessCm3: f64;
  /** Opener force as a fraction of that of the field. Unit: ratio. Offset 24. */
  hardnessRatio: f64;
  /** Contact stiffness as a fraction of that of the machine. Unit: ratio. Offset 32. */
  stiffnessRatio: f64;
  /** Contact damping as a fraction of that of the machine. Unit: ratio. Offset 40. */
  dampingRatio: f64;
  /** Mean distance from the end of a stone to the start of the next; 0: no stones. Unit: metre. Offset 48. */
  stoneEveryM: f64;
}
export const SEGMENT_BYTES: usize = 56;

/** Stones at places along the pass, in the order of their starts. 40 bytes. */
@unmanaged
@final
export class PlacedStone {
  /** Start. Unit: metre. Offset 0. */
  atM: f64;
  /** Height. Unit: metre. Offset 8. */
  heightM: f64;
  /** Length. Unit: metre. Offset 16. */
  lengthM: f64;
  /** Rows that it may be in, a bit for each; the first is bit 0. Unit: none. Offset 24. */
  rowBits: f64;
  /** Probability that it is in one of them. Unit: ratio. Offset 32. */
  rowShareRatio: f64;
}
export const PLACED_STONE_BYTES: usize = 40;

/** Steps of the ground in all rows. 24 bytes. */
@unmanaged
@final
export class GroundStep {
  /** Start. Unit: metre. Offset 0. */
  atM: f64;
  /** Change of the height. Unit: metre. Offset 8. */
  heightM: f64;
  /** Length of the slope. Unit: metre. Offset 16. */
  overM: f64;
}
export const GROUND_STEP_BYTES: usize = 24;

/** Drive of the machine in this tick. 120 bytes. */
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
  /** Time for which a bouncing lift switch keeps a random position; 0: it does not bounce. Unit: millisecond. Offset 112. */
  liftSwitchBounceMs: f64;
}
export const DRIVE_BYTES: usize = 120;

/** Faults injected into a row. 248 bytes. */
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
  /** Flow of the supply valve, as a fraction of its normal one. Unit: ratio. Offset 88. */
  supplyFlowRatio: f64;
  /** Flow of the return valve, as a fraction of its normal one. Unit: ratio. Offset 96. */
  returnFlowRatio: f64;
  /** Fraction of the gas of the row at which a loss of gas ends. Unit: ratio. Offset 104. */
  gasLeftRatio: f64;
  /** Time in which a full accumulator loses that gas. Unit: second. Offset 112. */
  gasLossS: f64;
  /** Fault of the load sensor. Unit: none. Offset 120. */
  loadSensor: f64;
  /** Fault of the pressure sensor. Unit: none. Offset 128. */
  pressureSensor: f64;
  /** Fault of the accelerometer. Unit: none. Offset 136. */
  accelerationSensor: f64;
  /** Added to the load reading. Unit: newton. Offset 144. */
  loadOffsetN: f64;
  /** Additional drift of the load reading. Unit: newtonPerMinute. Offset 152. */
  loadDriftNPerMin: f64;
  /** Gain of the load sensor, as a fraction of its normal one. Unit: ratio. Offset 160. */
  loadGainRatio: f64;
  /** Amplitude of a 2 Hz swing of the load reading, as if the lifted row were swinging. Unit: newton. Offset 168. */
  loadSwingN: f64;
  /** Added to the pressure reading. Unit: kilopascal. Offset 176. */
  pressureOffsetKpa: f64;
  /** Added to the acceleration reading. Unit: metrePerSecondSquared. Offset 184. */
  accelerationBiasMps2: f64;
  /** Scale of the accelerometer, as a fraction of its normal one. Unit: ratio. Offset 192. */
  accelerationScaleRatio: f64;
  /** Added to the tilt of the accelerometer. Unit: degree. Offset 200. */
  accelerationTiltDeg: f64;
  /** Fault of the soil ahead. Unit: none. Offset 208. */
  soilAhead: f64;
  /** Gain of the soil ahead, as a fraction of its normal one. Unit: ratio. Offset 216. */
  soilAheadGainRatio: f64;
  /** Time by which the soil ahead is late. Unit: second. Offset 224. */
  soilAheadDelayS: f64;
  /** Moves the supply valve: 1 open, 2 closed; the plant clears it. Unit: none. Offset 232. */
  placeSupply: f64;
  /** Moves the return valve: 1 open, 2 closed; the plant clears it. Unit: none. Offset 240. */
  placeReturn: f64;
}
export const INJECTED_FAULTS_BYTES: usize = 248;

/** True state of the bank after the tick. 44 bytes. */
@unmanaged
@final
export class BankTruth {
  /** Distance driven. Unit: metre. Offset 0. */
  distanceM: f32;
  /** Ground speed. Unit: metrePerSecond. Offset 4. */
  speedMps: f32;
  /** Set depth of the openers. Unit: millimetre. Offset 8. */
  setDepthMm: f32;
  /** Height of the frame above the mean ground, mean of the rows. Unit: millimetre. Offset 12. */
  frameMm: f32;
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

/** True state of a row after the tick. 80 bytes. */
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
  /** Height of the frame at the row above the mean ground. Unit: millimetre. Offset 28. */
  rowFrameMm: f32;
  /** Acceleration of the row, up positive. Unit: metrePerSecondSquared. Offset 32. */
  rowMps2: f32;
  /** Chamber pressure. Unit: kilopascal. Offset 36. */
  chamberKpa: f32;
  /** Gas temperature. Unit: degreeCelsius. Offset 40. */
  gasC: f32;
  /** Opening of the supply valve. Unit: ratio. Offset 44. */
  supplyOpening: f32;
  /** Opening of the return valve. Unit: ratio. Offset 48. */
  returnOpening: f32;
  /** Oil taken from the rail since the start. Unit: millilitre. Offset 52. */
  oilMl: f32;
  /** Oil returned since the start. Unit: millilitre. Offset 56. */
  returnedMl: f32;
  /** Energy drawn by the coils of the row since the start. Unit: joule. Offset 60. */
  coilJ: f32;
  /** Part of coilJ that is lost as heat in the windings. Unit: joule. Offset 64. */
  coilLossJ: f32;
  /** Heat of the rebound damping since the start. Unit: joule. Offset 68. */
  reboundJ: f32;
  /** Strokes since the start that did not move their valve. Unit: none. Offset 72. */
  missedStrokes: f32;
  /** Stones that the row has reached since the start. Unit: none. Offset 76. */
  stonesMet: f32;
}
export const ROW_TRUTH_BYTES: usize = 80;

/** Values that start() computes, in SI units unless stated. 208 bytes. */
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
  /** Nominal gas as pressure times volume over temperature, J/K. Unit: none. Offset 64. */
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
  /** Profile generator: noise added per point, without segments. Unit: metre. Offset 152. */
  ouStepM: f64;
  /** The same at a roughness of 1 cm³. Unit: metre. Offset 160. */
  ouUnitStepM: f64;
  /** Coefficient of the split into common and row-specific waves. Unit: ratio. Offset 168. */
  splitRatio: f64;
  /** Soil noise: decay per point. Unit: ratio. Offset 176. */
  soilDecay: f64;
  /** Sections of the waviness filter in use. Unit: none. Offset 184. */
  sections: f64;
  /** Smoothing of patch edges: decay per point. Unit: ratio. Offset 192. */
  patchDecay: f64;
  /** Profile points under a gauge wheel to either side of its centre. Unit: none. Offset 200. */
  wheelReach: f64;
}
export const DERIVED_BYTES: usize = 208;

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

/** State that all rows share. 184 bytes. */
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
  /** Distance driven with the frame down. Unit: metre. Offset 40. */
  plantedM: f64;
  /** Placed stones that have ended before the last point that was drawn, up to the first that has not. Unit: none. Offset 48. */
  placedDone: f64;
  /** Placed stones that the rows have reached. Unit: none. Offset 56. */
  placedMet: f64;
  /** Fraction of the lifting time: 0 down, 1 up. Unit: ratio. Offset 64. */
  liftRatio: f64;
  /** Rate of liftRatio in this step, 1/s. Unit: none. Offset 72. */
  liftPerS: f64;
  /** Rail pressure, absolute, Pa. Unit: none. Offset 80. */
  railPa: f64;
  /** Return pressure, absolute, Pa. Unit: none. Offset 88. */
  returnPa: f64;
  /** Flow out of the rail, m³/s. Unit: none. Offset 96. */
  supplyM3PerS: f64;
  /** Flow into the return line, m³/s. Unit: none. Offset 104. */
  returnM3PerS: f64;
  /** Kinematic viscosity, m²/s. Unit: none. Offset 112. */
  viscosityM2PerS: f64;
  /** Oil temperature of that viscosity. Unit: degreeCelsius. Offset 120. */
  viscosityAtC: f64;
  /** Gravity normal to the slope. Unit: metrePerSecondSquared. Offset 128. */
  gravityMps2: f64;
  /** Voltage at the bank. Unit: volt. Offset 136. */
  bankV: f64;
  /** Voltage at the coils. Unit: volt. Offset 144. */
  coilV: f64;
  /** Mean current of all coils in the last step. Unit: ampere. Offset 152. */
  coilsA: f64;
  /** Current of all coils at its end. Unit: ampere. Offset 160. */
  coilsEndA: f64;
  /** Energy drawn from the rail. Unit: joule. Offset 168. */
  hydraulicJ: f64;
  /** Constant counts of a frozen rail sensor. Unit: count. Offset 176. */
  frozenRailCounts: f64;
}
export const PLANT_STATE_BYTES: usize = 184;

/** Values that all rows share at a stage of the Runge–Kutta step; the fine stages are for a row whose step is divided. 216 bytes. */
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
  /** Contact stiffness as a fraction of that of the machine. Unit: ratio. Offset 96. */
  stiffnessRatio: f64;
  /** Contact damping as a fraction of that of the machine. Unit: ratio. Offset 104. */
  dampingRatio: f64;
  /** Sine of the lug angle. Unit: ratio. Offset 112. */
  lugSine: f64;
  /** Cosine of the lug angle. Unit: ratio. Offset 120. */
  lugCosine: f64;
  /** Height of a rigid frame when lowered. Unit: metre. Offset 128. */
  frameM: f64;
  /** Its vertical speed. Unit: metrePerSecond. Offset 136. */
  frameMps: f64;
  /** Lift of the frame. Unit: metre. Offset 144. */
  liftM: f64;
  /** Rate of change of liftM. Unit: metrePerSecond. Offset 152. */
  liftMps: f64;
  /** Weight of the height of a support at the start of the step. Unit: ratio. Offset 160. */
  startHeight: f64;
  /** Weight of its speed at the start. Unit: second. Offset 168. */
  startSpeed: f64;
  /** Weight of its height at the end. Unit: ratio. Offset 176. */
  endHeight: f64;
  /** Weight of its speed at the end. Unit: second. Offset 184. */
  endSpeed: f64;
  /** Weight of the change of height in the speed, 1/s. Unit: none. Offset 192. */
  heightSlope: f64;
  /** Weight of the speed at the start in the speed. Unit: ratio. Offset 200. */
  startSpeedSlope: f64;
  /** Weight of the speed at the end in the speed. Unit: ratio. Offset 208. */
  endSpeedSlope: f64;
}
export const STAGE_BYTES: usize = 216;

/** Generator of the height and soil of one track. 200 bytes. */
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
  /** Soil noise. Unit: ratio. Offset 64. */
  soilNoise: f64;
  /** Soil force with smoothed patch edges. Unit: newton. Offset 72. */
  soilN: f64;
  /** Number of the soil patch. Unit: none. Offset 80. */
  patch: f64;
  /** End of the patch, mean of all rows. Unit: metre. Offset 88. */
  patchBaseM: f64;
  /** End of the patch in this row. Unit: metre. Offset 96. */
  patchEndM: f64;
  /** Opener force of the patch. Unit: newton. Offset 104. */
  patchN: f64;
  /** The same on the map. Unit: newton. Offset 112. */
  mapPatchN: f64;
  /** 1 while the map has another force than the patch. Unit: none. Offset 120. */
  mapWrong: f64;
  /** The same with smoothed patch edges. Unit: newton. Offset 128. */
  mapN: f64;
  /** Start of the present or next stone. Unit: metre. Offset 136. */
  stoneM: f64;
  /** Number of that stone. Unit: none. Offset 144. */
  stone: f64;
  /** Placed stones that the row has met. Unit: none. Offset 152. */
  placedMet: f64;
  /** Opener force, point 0. Unit: newton. Offset 160. */
  soil0: f64;
  /** Opener force, point 1. Unit: newton. Offset 168. */
  soil1: f64;
  /** Opener force, point 2. Unit: newton. Offset 176. */
  soil2: f64;
  /** Opener force, point 3. Unit: newton. Offset 184. */
  soil3: f64;
  /** Opener force, point 4. Unit: newton. Offset 192. */
  soil4: f64;
}
export const TRACK_BYTES: usize = 200;

/** Ground and stones around the centre of a gauge wheel, newest point last. 656 bytes. */
@unmanaged
@final
export class Window {
  /** Ground after the tyre, point 0. Unit: metre. Offset 0. */
  ground0: f64;
  /** Ground after the tyre, point 1. Unit: metre. Offset 8. */
  ground1: f64;
  /** Ground after the tyre, point 2. Unit: metre. Offset 16. */
  ground2: f64;
  /** Ground after the tyre, point 3. Unit: metre. Offset 24. */
  ground3: f64;
  /** Ground after the tyre, point 4. Unit: metre. Offset 32. */
  ground4: f64;
  /** Ground after the tyre, point 5. Unit: metre. Offset 40. */
  ground5: f64;
  /** Ground after the tyre, point 6. Unit: metre. Offset 48. */
  ground6: f64;
  /** Ground after the tyre, point 7. Unit: metre. Offset 56. */
  ground7: f64;
  /** Ground after the tyre, point 8. Unit: metre. Offset 64. */
  ground8: f64;
  /** Ground after the tyre, point 9. Unit: metre. Offset 72. */
  ground9: f64;
  /** Ground after the tyre, point 10. Unit: metre. Offset 80. */
  ground10: f64;
  /** Ground after the tyre, point 11. Unit: metre. Offset 88. */
  ground11: f64;
  /** Ground after the tyre, point 12. Unit: metre. Offset 96. */
  ground12: f64;
  /** Ground after the tyre, point 13. Unit: metre. Offset 104. */
  ground13: f64;
  /** Ground after the tyre, point 14. Unit: metre. Offset 112. */
  ground14: f64;
  /** Ground after the tyre, point 15. Unit: metre. Offset 120. */
  ground15: f64;
  /** Ground after the tyre, point 16. Unit: metre. Offset 128. */
  ground16: f64;
  /** Ground after the tyre, point 17. Unit: metre. Offset 136. */
  ground17: f64;
  /** Ground after the tyre, point 18. Unit: metre. Offset 144. */
  ground18: f64;
  /** Ground after the tyre, point 19. Unit: metre. Offset 152. */
  ground19: f64;
  /** Ground after the tyre, point 20. Unit: metre. Offset 160. */
  ground20: f64;
  /** Ground after the tyre, point 21. Unit: metre. Offset 168. */
  ground21: f64;
  /** Ground after the tyre, point 22. Unit: metre. Offset 176. */
  ground22: f64;
  /** Ground after the tyre, point 23. Unit: metre. Offset 184. */
  ground23: f64;
  /** Ground after the tyre, point 24. Unit: metre. Offset 192. */
  ground24: f64;
  /** Ground after the tyre, point 25. Unit: metre. Offset 200. */
  ground25: f64;
  /** Ground after the tyre, point 26. Unit: metre. Offset 208. */
  ground26: f64;
  /** Ground after the tyre, point 27. Unit: metre. Offset 216. */
  ground27: f64;
  /** Ground after the tyre, point 28. Unit: metre. Offset 224. */
  ground28: f64;
  /** Ground after the tyre, point 29. Unit: metre. Offset 232. */
  ground29: f64;
  /** Ground after the tyre, point 30. Unit: metre. Offset 240. */
  ground30: f64;
  /** Ground after the tyre, point 31. Unit: metre. Offset 248. */
  ground31: f64;
  /** Ground after the tyre, point 32. Unit: metre. Offset 256. */
  ground32: f64;
  /** Ground after the tyre, point 33. Unit: metre. Offset 264. */
  ground33: f64;
  /** Ground after the tyre, point 34. Unit: metre. Offset 272. */
  ground34: f64;
  /** Ground after the tyre, point 35. Unit: metre. Offset 280. */
  ground35: f64;
  /** Ground after the tyre, point 36. Unit: metre. Offset 288. */
  ground36: f64;
  /** Ground after the tyre, point 37. Unit: metre. Offset 296. */
  ground37: f64;
  /** Ground after the tyre, point 38. Unit: metre. Offset 304. */
  ground38: f64;
  /** Ground after the tyre, point 39. Unit: metre. Offset 312. */
  ground39: f64;
  /** Ground after the tyre, point 40. Unit: metre. Offset 320. */
  ground40: f64;
  /** Stone, point 0. Unit: metre. Offset 328. */
  stone0: f64;
  /** Stone, point 1. Unit: metre. Offset 336. */
  stone1: f64;
  /** Stone, point 2. Unit: metre. Offset 344. */
  stone2: f64;
  /** Stone, point 3. Unit: metre. Offset 352. */
  stone3: f64;
  /** Stone, point 4. Unit: metre. Offset 360. */
  stone4: f64;
  /** Stone, point 5. Unit: metre. Offset 368. */
  stone5: f64;
  /** Stone, point 6. Unit: metre. Offset 376. */
  stone6: f64;
  /** Stone, point 7. Unit: metre. Offset 384. */
  stone7: f64;
  /** Stone, point 8. Unit: metre. Offset 392. */
  stone8: f64;
  /** Stone, point 9. Unit: metre. Offset 400. */
  stone9: f64;
  /** Stone, point 10. Unit: metre. Offset 408. */
  stone10: f64;
  /** Stone, point 11. Unit: metre. Offset 416. */
  stone11: f64;
  /** Stone, point 12. Unit: metre. Offset 424. */
  stone12: f64;
  /** Stone, point 13. Unit: metre. Offset 432. */
  stone13: f64;
  /** Stone, point 14. Unit: metre. Offset 440. */
  stone14: f64;
  /** Stone, point 15. Unit: metre. Offset 448. */
  stone15: f64;
  /** Stone, point 16. Unit: metre. Offset 456. */
  stone16: f64;
  /** Stone, point 17. Unit: metre. Offset 464. */
  stone17: f64;
  /** Stone, point 18. Unit: metre. Offset 472. */
  stone18: f64;
  /** Stone, point 19. Unit: metre. Offset 480. */
  stone19: f64;
  /** Stone, point 20. Unit: metre. Offset 488. */
  stone20: f64;
  /** Stone, point 21. Unit: metre. Offset 496. */
  stone21: f64;
  /** Stone, point 22. Unit: metre. Offset 504. */
  stone22: f64;
  /** Stone, point 23. Unit: metre. Offset 512. */
  stone23: f64;
  /** Stone, point 24. Unit: metre. Offset 520. */
  stone24: f64;
  /** Stone, point 25. Unit: metre. Offset 528. */
  stone25: f64;
  /** Stone, point 26. Unit: metre. Offset 536. */
  stone26: f64;
  /** Stone, point 27. Unit: metre. Offset 544. */
  stone27: f64;
  /** Stone, point 28. Unit: metre. Offset 552. */
  stone28: f64;
  /** Stone, point 29. Unit: metre. Offset 560. */
  stone29: f64;
  /** Stone, point 30. Unit: metre. Offset 568. */
  stone30: f64;
  /** Stone, point 31. Unit: metre. Offset 576. */
  stone31: f64;
  /** Stone, point 32. Unit: metre. Offset 584. */
  stone32: f64;
  /** Stone, point 33. Unit: metre. Offset 592. */
  stone33: f64;
  /** Stone, point 34. Unit: metre. Offset 600. */
  stone34: f64;
  /** Stone, point 35. Unit: metre. Offset 608. */
  stone35: f64;
  /** Stone, point 36. Unit: metre. Offset 616. */
  stone36: f64;
  /** Stone, point 37. Unit: metre. Offset 624. */
  stone37: f64;
  /** Stone, point 38. Unit: metre. Offset 632. */
  stone38: f64;
  /** Stone, point 39. Unit: metre. Offset 640. */
  stone39: f64;
  /** Stone, point 40. Unit: metre. Offset 648. */
  stone40: f64;
}
export const WINDOW_BYTES: usize = 656;

/** Height that wheels follow; that of track 0 carries a rigid frame. 56 bytes. */
@unmanaged
@final
export class Path {
  /** Low-pass. Unit: metre. Offset 0. */
  low1: f64;
  /** Low-pass. Unit: metre. Offset 8. */
  low2: f64;
  /** Height, point 0. Unit: metre. Offset 16. */
  height0: f64;
  /** Height, point 1. Unit: metre. Offset 24. */
  height1: f64;
  /** Height, point 2. Unit: metre. Offset 32. */
  height2: f64;
  /** Height, point 3. Unit: metre. Offset 40. */
  height3: f64;
  /** Height, point 4. Unit: metre. Offset 48. */
  height4: f64;
}
export const PATH_BYTES: usize = 56;

/** A support of a wing of the frame, at the start and at the end of the step. 32 bytes. */
@unmanaged
@final
export class Support {
  /** Height at the start. Unit: metre. Offset 0. */
  startM: f64;
  /** Vertical speed at the start. Unit: metrePerSecond. Offset 8. */
  startMps: f64;
  /** Height at the end. Unit: metre. Offset 16. */
  endM: f64;
  /** Vertical speed at the end. Unit: metrePerSecond. Offset 24. */
  endMps: f64;
}
export const SUPPORT_BYTES: usize = 32;

/** Soil of a track at a profile point. The points of a track are a ring: a point is at the place that is its number modulo the points kept. 16 bytes. */
@unmanaged
@final
export class SoilPoint {
  /** Opener force at the set depth. Unit: newton. Offset 0. */
  soilN: f64;
  /** The same on the map. Unit: newton. Offset 8. */
  mapN: f64;
}
export const SOIL_POINT_BYTES: usize = 16;

/** Properties in which a row differs from the others. 112 bytes. */
@unmanaged
@final
export class RowProperties {
  /** Moving mass with the present seed. Unit: kilogram. Offset 0. */
  massKg: f64;
  /** Mass as a fraction of nominal. Unit: ratio. Offset 8. */
  massRatio: f64;
  /** Lift as a fraction of that of the frame. Unit: ratio. Offset 16. */
  liftRatio: f64;
  /** First support of the wing. Unit: none. Offset 24. */
  support: f64;
  /** Place on the wing: 0 at its first support, 1 at its second. Unit: ratio. Offset 32. */
  supportShare: f64;
  /** Contact stiffness. Unit: newtonPerMetre. Offset 40. */
  contactNPerM: f64;
  /** Flow of the supply valve as a fraction of nominal. Unit: ratio. Offset 48. */
  supplyFlow: f64;
  /** Flow of the return valve as a fraction of nominal. Unit: ratio. Offset 56. */
  returnFlow: f64;
  /** Gas of the accumulator when none is lost, as pressure times volume over temperature, J/K. Unit: none. Offset 64. */
  gasJPerK: f64;
  /** Gain of the load sensor as a fraction of that of all. Unit: ratio. Offset 72. */
  loadGain: f64;
  /** Zero offset of the load sensor. Unit: newton. Offset 80. */
  loadZeroN: f64;
  /** Offset of the accelerometer. Unit: metrePerSecondSquared. Offset 88. */
  accelerationBiasMps2: f64;
  /** Sine of the lug phase. Unit: ratio. Offset 96. */
  lugSine: f64;
  /** Cosine of the lug phase. Unit: ratio. Offset 104. */
  lugCosine: f64;
}
export const ROW_PROPERTIES_BYTES: usize = 112;

/** State of a row. Height, speed, gas temperature, sensed load and stored oil are integrated; the pressure follows from the oil. `startState` is the state at the start of a step, `trial` that of a stage. 216 bytes. */
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
  /** Gas that is left, as pressure times volume over temperature, J/K. Unit: none. Offset 48. */
  gasJPerK: f64;
  /** Acceleration of the row at the end of the tick. Unit: metrePerSecondSquared. Offset 56. */
  accelerationMps2: f64;
  /** Vertical speed of the frame at the end of the tick. Unit: metrePerSecond. Offset 64. */
  frameMps: f64;
  /** Vertical acceleration of the frame, mean of the tick. Unit: metrePerSecondSquared. Offset 72. */
  frameMps2: f64;
  /** Drift of the load reading so far. Unit: newton. Offset 80. */
  loadDriftN: f64;
  /** Oil taken from the rail, m³. Unit: none. Offset 88. */
  oilM3: f64;
  /** Oil returned, m³. Unit: none. Offset 96. */
  returnedM3: f64;
  /** Heat of the rebound damping. Unit: joule. Offset 104. */
  reboundJ: f64;
  /** Energy drawn by the coils of the row. Unit: joule. Offset 112. */
  coilJ: f64;
  /** Part of coilJ that is lost as heat in the windings. Unit: joule. Offset 120. */
  coilLossJ: f64;
  /** Strokes that did not move their valve. Unit: none. Offset 128. */
  missed: f64;
  /** Load filter of the proportional valve. Unit: newton. Offset 136. */
  filtered1: f64;
  /** Load filter of the proportional valve. Unit: newton. Offset 144. */
  filtered2: f64;
  /** Integral term of the controller of the proportional valve, Pa. Unit: none. Offset 152. */
  integralPa: f64;
  /** Commanded pressure, Pa. Unit: none. Offset 160. */
  commandPa: f64;
  /** Commanded pressure after the lag of coil and spool, Pa absolute. Unit: none. Offset 168. */
  laggedPa: f64;
  /** Set pressure after friction, Pa absolute. Unit: none. Offset 176. */
  spoolPa: f64;
  /** Constant counts of a frozen load sensor. Unit: count. Offset 184. */
  frozenLoadCounts: f64;
  /** Constant counts of a frozen pressure sensor. Unit: count. Offset 192. */
  frozenPressureCounts: f64;
  /** Constant counts of a frozen accelerometer. Unit: count. Offset 200. */
  frozenAccelerationCounts: f64;
  /** Constant value of a frozen soil ahead. Unit: newton. Offset 208. */
  frozenSoilAheadN: f64;
}
export const ROW_STATE_BYTES: usize = 216;

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

/** Rates of change of a row, and the forces and flows behind them. 216 bytes. */
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
  /** Contact stiffness as a fraction of that of the machine. Unit: ratio. Offset 200. */
  stiffnessRatio: f64;
  /** Contact damping as a fraction of that of the machine. Unit: ratio. Offset 208. */
  dampingRatio: f64;
}
export const RATES_BYTES: usize = 216;

export function bankInput(): BankInput {
  return changetype<BankInput>(64);
}

export function rowInput(index: i32): RowInput {
  return changetype<RowInput>(<usize>84 + <usize>index * 12);
}

export function bankOutput(): BankOutput {
  return changetype<BankOutput>(660);
}

export function rowOutput(index: i32): RowOutput {
  return changetype<RowOutput>(<usize>668 + <usize>index * 8);
}

export function setup(): Setup {
  return changetype<Setup>(1056);
}

export function machine(): Machine {
  return changetype<Machine>(1136);
}

export function field(): Field {
  return changetype<Field>(2112);
}

export function segment(index: i32): Segment {
  return changetype<Segment>(<usize>2256 + <usize>index * 56);
}

export function placedStone(index: i32): PlacedStone {
  return changetype<PlacedStone>(<usize>7856 + <usize>index * 40);
}

export function groundStep(index: i32): GroundStep {
  return changetype<GroundStep>(<usize>47856 + <usize>index * 24);
}

export function drive(): Drive {
  return changetype<Drive>(52656);
}

export function injectedFaults(index: i32): InjectedFaults {
  return changetype<InjectedFaults>(<usize>52776 + <usize>index * 248);
}

export function bankTruth(): BankTruth {
  return changetype<BankTruth>(64680);
}

export function rowTruth(index: i32): RowTruth {
  return changetype<RowTruth>(<usize>64724 + <usize>index * 80);
}

export function derived(): Derived {
  return changetype<Derived>(68568);
}

export function envelope(): LowPass {
  return changetype<LowPass>(68776);
}

export function frameFilter(): LowPass {
  return changetype<LowPass>(68800);
}

export function slowFilter(): LowPass {
  return changetype<LowPass>(68824);
}

export function section(index: i32): Section {
  return changetype<Section>(<usize>68848 + <usize>index * 24);
}

export function plant(): PlantState {
  return changetype<PlantState>(68992);
}

export function stageStart(): Stage {
  return changetype<Stage>(69176);
}

export function stageMiddle(): Stage {
  return changetype<Stage>(69392);
}

export function stageEnd(): Stage {
  return changetype<Stage>(69608);
}

export function fineStart(): Stage {
  return changetype<Stage>(69824);
}

export function fineMiddle(): Stage {
  return changetype<Stage>(70040);
}

export function fineEnd(): Stage {
  return changetype<Stage>(70256);
}

export function track(index: i32): Track {
  return changetype<Track>(<usize>70472 + <usize>index * 200);
}

export function window(index: i32): Window {
  return changetype<Window>(<usize>80272 + <usize>index * 656);
}

export function wheelPath(index: i32): Path {
  return changetype<Path>(<usize>112416 + <usize>index * 56);
}

export function supportPath(index: i32): Path {
  return changetype<Path>(<usize>115160 + <usize>index * 56);
}

export function support(index: i32): Support {
  return changetype<Support>(<usize>117848 + <usize>index * 32);
}

export function soilPoint(index: i32): SoilPoint {
  return changetype<SoilPoint>(<usize>119384 + <usize>index * 16);
}

export function rowProperties(index: i32): RowProperties {
  return changetype<RowProperties>(<usize>520792 + <usize>index * 112);
}

export function rowState(index: i32): RowState {
  return changetype<RowState>(<usize>526168 + <usize>index * 216);
}

export function startState(): RowState {
  return changetype<RowState>(536536);
}

export function trial(): RowState {
  return changetype<RowState>(536752);
}

export function valve(index: i32): Valve {
  return changetype<Valve>(<usize>536968 + <usize>index * 56);
}

export function rates(): Rates {
  return changetype<Rates>(542344);
}
