import type { UnitName } from './units.js';

/** A number of a machine or a field. Files give it in its unit, or as text with another unit of the same dimension. */
export interface Quantity<Name extends string = string> {
  readonly name: Name;
  readonly unit: UnitName;
  readonly min: number;
  readonly max: number;
  readonly default: number;
  readonly help: string;
  /** Integers only. */
  readonly isInteger?: boolean;
}

/** A part of the machine: one mapping in a machine file. */
export interface Part<Name extends string = string> {
  readonly name: string;
  readonly help: string;
  /** Values of a machine without this part, which its file states as `none`. A part without this field is required. */
  readonly none?: Readonly<Record<string, number>>;
  /** Names whose values must ascend; neighbours may be equal. Quantities of other parts may be among them. */
  readonly ascending?: readonly (readonly string[])[];
  /** Likewise, but each must be less than the next. */
  readonly strictlyAscending?: readonly (readonly string[])[];
  readonly quantities: readonly Quantity<Name>[];
}

export const quantity = <const Name extends string>(
  name: Name,
  unit: UnitName,
  min: number,
  max: number,
  byDefault: number,
  help: string,
): Quantity<Name> => ({ name, unit, min, max, default: byDefault, help });

/** A number without a unit that must be an integer, such as a count or a wire gauge. */
export const integer = <const Name extends string>(
  name: Name,
  min: number,
  max: number,
  byDefault: number,
  help: string,
): Quantity<Name> => ({ name, unit: 'none', min, max, default: byDefault, help, isInteger: true });

/**
 * The machine, part by part. Names are unique over all parts. If the controller has a parameter of the same name, it gets the
 * value. Defaults are engineering estimates for an invented machine, not data of any product. They include the imperfections of a
 * typical machine; `vectors/machines/ideal.yaml` is the same machine without them.
 */
// biome-ignore format: a table reads best with one quantity to a line
export const MACHINE: readonly Part[] = [
  {
    name: 'row',
    help: 'The row unit',
    ascending: [
      ['closingSoftMm', 'closingReachMm'],
    ],
    quantities: [
      quantity('massKg', 'kilogram', 5, 1000, 85, 'Mass of the row unit without seed'),
      quantity('seedKg', 'kilogram', 0, 500, 20, 'Mass of the seed in its hopper'),
      quantity('frictionN', 'newton', 0, 1000, 40, 'Dry friction of the linkage, as a force at the row'),
      // 1.8 kg/km: 80,000 seeds/ha of 300 g per 1000 in rows 0.762 m apart are 24 kg/ha, and a row has 0.0762 ha/km (our choice).
      quantity('seedUseKgPerKm', 'kilogramPerKilometre', 0, 100, 1.8, 'Seed that a row uses while it plants; its hopper gets lighter until it is empty; the default is for maize (our choice)'),
      quantity('closingN', 'newton', 0, 3000, 220, 'Load on the closing wheels'),
      quantity('closingReachMm', 'millimetre', 1, 300, 60, 'Height of the row above the ground at which the closing wheels touch it'),
      quantity('closingSoftMm', 'millimetre', 1, 300, 40, 'Sinking over which their load then builds up'),
      quantity('seedDepthMm', 'millimetre', 10, 150, 50, 'Set depth of the opener, which touches the ground that high before the gauge wheels'),
    ],
  },
  {
    name: 'wheel',
    help: 'Gauge wheels and the ground under them',
    quantities: [
      quantity('contactNPerM', 'newtonPerMetre', 5000, 2000000, 150000, 'Contact stiffness of tyre and soil'),
      quantity('contactNsPerM', 'newtonSecondPerMetre', 0, 50000, 2800, 'Contact damping of tyre and soil'),
      quantity('envelopePerM', 'perMetre', 0.3, 10, 2.9, 'Spatial cut-off frequency of tyre enveloping; the tyre smooths shorter waves'),
      quantity('wheelRadiusMm', 'millimetre', 0, 500, 200, 'Radius of the circle that rolls over ground and stones (default our choice); 0: contact at a point'),
      quantity('lugHeightMm', 'millimetre', 0, 20, 0.8, 'Height of the ripple caused by the tyre lugs'),
      quantity('lugPitchM', 'metre', 0.02, 1, 0.15, 'Distance between tyre lugs'),
      quantity('equaliserRatio', 'ratio', 0.1, 1, 0.5, 'Fraction of the height of a stone that reaches the row; two wheels with an equaliser halve it'),
    ],
  },
  {
    name: 'linkage',
    help: 'Parallel linkage; positions are relative to its lower pivot on the frame, to the rear and up, with level arms',
    quantities: [
      quantity('armM', 'metre', 0.1, 2, 0.4, 'Length of the arms'),
      quantity('attachM', 'metre', 0.02, 2, 0.3, 'Distance along the arm from its pivot to the attachment of the cylinder'),
      quantity('cylinderPivotRearM', 'metre', -1, 1, 0.06, 'Position of the upper pivot of the cylinder, rearward'),
      quantity('cylinderPivotUpM', 'metre', 0.02, 2, 0.18, 'Position of the upper pivot of the cylinder, upward'),
      quantity('travelDownMm', 'millimetre', 10, 600, 180, 'Travel from level down to the stop'),
      quantity('travelUpMm', 'millimetre', 10, 600, 180, 'Travel from level up to the stop'),
      quantity('stopNPerM', 'newtonPerMetre', 10000, 2000000, 200000, 'Stiffness of the stops'),
    ],
  },
  {
    name: 'actuator',
    help: 'Hydraulic cylinder and its chamber',
    quantities: [
      quantity('capAreaCm2', 'squareCentimetre', 0.5, 50, 4.909, 'Piston area'),
      quantity('chamberOilMl', 'millilitre', 1, 2000, 60, 'Oil volume in chamber and lines at level travel'),
      quantity('bulkModulusMpa', 'megapascal', 100, 3000, 1200, 'Bulk modulus of oil and hoses'),
      quantity('airRatio', 'ratio', 0, 0.1, 0.005, 'Free air in the oil at atmospheric pressure, as a fraction of the volume'),
    ],
  },
  {
    name: 'accumulator',
    help: 'Gas accumulator on the chamber',
    none: { accumulatorMl: 0 },
    quantities: [
      quantity('accumulatorMl', 'millilitre', 10, 5000, 320, 'Gas volume at precharge'),
      quantity('prechargeAbsoluteKpa', 'kilopascal', 150, 20000, 1200, 'Precharge pressure, absolute, at 20 °C'),
      quantity('gasExponent', 'ratio', 1.01, 1.67, 1.4, 'Ratio of specific heats of the gas'),
      quantity('gasThermalS', 'second', 0.05, 600, 6, 'Time constant of heat exchange between gas and wall'),
      quantity('gasLeakRatioPerH', 'perHour', 0, 10, 0.001, 'Gas that leaks out per hour, as a fraction of what is left; the default is for a worn seal (our choice)'),
    ],
  },
  {
    name: 'liftSpring',
    help: 'Gas spring that carries the weight of the row',
    none: { liftN: 0, liftNPerM: 0 },
    quantities: [
      quantity('liftN', 'newton', 0, 5000, 600, 'Force at level travel'),
      quantity('liftNPerM', 'newtonPerMetre', 0, 20000, 700, 'Spring rate: increase of the force as the row goes down'),
    ],
  },
  {
    name: 'rebound',
    help: 'One-way damping on the rod side of the cylinder: free when the row rises, an orifice when it falls',
    none: { rodAreaCm2: 0 },
    quantities: [
      quantity('reboundOrificeMm', 'millimetre', 0.2, 10, 1.2, 'Diameter of the orifice'),
      quantity('rodAreaCm2', 'squareCentimetre', 0.2, 50, 3, 'Area of the rod side'),
      quantity('reboundUpRatio', 'ratio', 0, 1, 0.05, 'Damping when rising, as a fraction of that when falling'),
    ],
  },
  {
    name: 'valve',
    help: 'The two latching valves of a row, which are identical but for returnFlowRatio',
    quantities: [
      quantity('valveFlowLpm', 'litrePerMinute', 0.2, 60, 8, 'Flow of the open valve at valveFlowDropKpa, oil at 40 °C'),
      quantity('valveFlowDropKpa', 'kilopascal', 100, 30000, 10000, 'Pressure drop at which valveFlowLpm is specified'),
      quantity('returnFlowRatio', 'ratio', 0.2, 5, 0.85, 'Flow of the return valve relative to that of the supply valve, at the same pressure drop (default our choice)'),
      quantity('flowRatioPerC', 'perDegree', -0.01, 0.01, 0.001, 'Change of the flow with oil temperature, relative to 40 °C, beyond that by viscosity (default our choice)'),
      quantity('passageMm', 'millimetre', 0, 50, 3, 'Length of the narrow passage in the valve, which causes the viscous pressure drop'),
      quantity('valveLeakMlPerMin', 'millilitrePerMinute', 0, 500, 2, 'Leak of a closed valve at 100 bar'),
      quantity('moveMs', 'millisecond', 0.5, 20, 2, 'Travel time of the armature'),
      quantity('throwRatio', 'ratio', 0.05, 0.95, 0.35, 'Fraction of the travel beyond which the magnet completes the stroke'),
      quantity('coilOhm', 'ohm', 0.2, 200, 2.2, 'Coil resistance at 20 °C'),
      quantity('coilMh', 'millihenry', 0.1, 200, 4, 'Coil inductance'),
      quantity('pullA', 'ampere', 0.05, 20, 1.31, 'Coil current at which the armature starts to move'),
    ],
  },
  {
    name: 'rail',
    help: 'Supply and return of the tractor, shared by all rows',
    strictlyAscending: [
      ['returnKpa', 'railNominalKpa', 'reliefKpa'],
    ],
    quantities: [
      quantity('railNominalKpa', 'kilopascal', 1000, 40000, 15000, 'Pump pressure at zero flow'),
      quantity('railDroopKpaPerLpm', 'kilopascalPerLitrePerMinute', 0, 1000, 10, 'Drop of the rail pressure with flow'),
      quantity('railOilMl', 'millilitre', 50, 20000, 1500, 'Oil volume in hoses and rail'),
      quantity('pumpLpm', 'litrePerMinute', 1, 500, 90, 'Maximum flow of the pump'),
      quantity('reliefKpa', 'kilopascal', 1000, 45000, 21000, 'Opening pressure of the relief valve'),
      quantity('returnKpa', 'kilopascal', 0, 2000, 200, 'Return line pressure at zero flow'),
      quantity('returnRiseKpaPerLpm', 'kilopascalPerLitrePerMinute', 0, 100, 1, 'Rise of the return line pressure with flow'),
    ],
  },
  {
    name: 'oil',
    help: 'Hydraulic oil',
    strictlyAscending: [
      ['viscosityAt100', 'viscosityAt40'],
    ],
    quantities: [
      quantity('oilKgPerM3', 'kilogramPerCubicMetre', 700, 1100, 870, 'Density'),
      quantity('viscosityAt40', 'squareMillimetrePerSecond', 5, 1000, 46, 'Kinematic viscosity at 40 °C'),
      quantity('viscosityAt100', 'squareMillimetrePerSecond', 1.5, 100, 6.8, 'Kinematic viscosity at 100 °C'),
    ],
  },
  {
    name: 'sensors',
    help: 'Sensors and ADC',
    strictlyAscending: [
      ['loadAtTenPercentN', 'loadAtNinetyPercentN'],
      ['pressureAtTenPercentKpa', 'pressureAtNinetyPercentKpa'],
      ['railAtTenPercentKpa', 'railAtNinetyPercentKpa'],
    ],
    quantities: [
      quantity('adcFullScaleCounts', 'count', 256, 65535, 4096, 'ADC counts at the full sensor supply'),
      quantity('loadLagHz', 'hertz', 0.2, 200, 5, 'Corner frequency of the fluid coupling of the load sensor, with its accumulator, at 450 N'),
      quantity('loadStiffeningN', 'newton', 100, 100000, 4000, 'Stiffening of the coupling with load: its corner frequency is proportional to (load + loadStiffeningN)²'),
      quantity('loadNoiseN', 'newton', 0, 500, 5, 'Noise of the load reading, standard deviation'),
      quantity('loadGainRatio', 'ratio', 0.5, 1.5, 1, 'Gain of the load sensor'),
      quantity('loadGainDriftRatioPerMin', 'perMinute', -0.1, 0.1, 0.001, 'Drift of the gain of the load sensor since the start (default our choice)'),
      quantity('loadOffsetN', 'newton', -5000, 5000, 0, 'Offset of the load readings of all rows at the start; the default is that of sensors zeroed at the last lift'),
      quantity('loadDriftNPerMin', 'newtonPerMinute', -500, 500, 2, 'Drift of the load readings since the start (default our choice)'),
      quantity('loadDriftNPerC', 'newtonPerDegree', -50, 50, 0.5, 'Zero drift of the load sensor with oil temperature, relative to 20 °C'),
      quantity('loadAtTenPercentN', 'newton', -5000, 5000, -500, 'Load at 10 % of the sensor supply'),
      quantity('loadAtNinetyPercentN', 'newton', 100, 20000, 4500, 'Load at 90 % of the sensor supply'),
      quantity('pressureNoiseKpa', 'kilopascal', 0, 500, 15, 'Noise of the pressure readings, standard deviation'),
      quantity('pressureAtTenPercentKpa', 'kilopascal', -100, 5000, 0, 'Chamber pressure at 10 % of the sensor supply'),
      quantity('pressureAtNinetyPercentKpa', 'kilopascal', 1000, 60000, 25000, 'Chamber pressure at 90 % of the sensor supply'),
      quantity('railAtTenPercentKpa', 'kilopascal', -100, 5000, 0, 'Rail pressure at 10 % of the sensor supply'),
      quantity('railAtNinetyPercentKpa', 'kilopascal', 1000, 60000, 25000, 'Rail pressure at 90 % of the sensor supply'),
    ],
  },
  {
    name: 'accelerometer',
    help: 'Accelerometer on the row',
    none: { accelerationFitted: 0 },
    quantities: [
      quantity('accelerationFitted', 'none', 1, 1, 1, 'Accelerometer fitted'),
      quantity('accelerationNoiseMps2PerRootHz', 'metrePerSecondSquaredPerRootHertz', 0, 1, 0.004, 'Noise density of the reading, whose band ends at half of the tick rate: the default is 0.09 m/s² at 1 kHz, the upper end of data sheets of MEMS parts (100 to 400 µg/√Hz, from memory)'),
      quantity('accelerationBiasMps2', 'metrePerSecondSquared', -20, 20, 0.1, 'Offset of the reading; the default is what a calibration leaves of the 20 to 80 mg in data sheets of MEMS parts (from memory)'),
      quantity('accelerationScaleRatio', 'ratio', 0.5, 1.5, 1.02, 'Scale of the reading; the default is a sensitivity tolerance in data sheets of MEMS parts (from memory)'),
      quantity('accelerationTiltDeg', 'degree', -90, 90, 3, 'Tilt of the axis of the sensor, forward positive: it reads the component along its axis (default our choice)'),
      quantity('accelerationGravityRatio', 'ratio', 0, 1, 1, 'Fraction of gravity in the reading: 0 it was removed, 1 the sensor reads +9.81 m/s² at rest on level ground, less when tilted or on a slope; the default is how MEMS parts measure'),
      quantity('accelerationMountRatio', 'ratio', 0, 1, 1, 'Position of the sensor on the arm: 1 at the row (default, on its shank; our choice), 0 at the frame; in between it reads that fraction of the acceleration of the row and the rest of that of the frame'),
      quantity('accelerationAtTenPercentMps2', 'metrePerSecondSquared', -500, 0, -50, 'Acceleration at 10 % of the sensor supply, up positive'),
      quantity('accelerationAtNinetyPercentMps2', 'metrePerSecondSquared', 1, 500, 50, 'Acceleration at 90 % of the sensor supply'),
    ],
  },
  {
    name: 'preview',
    help: 'Map or leading sensor that tells each row what soil comes',
    none: { soilAheadFitted: 0 },
    quantities: [
      integer('soilAheadFitted', 0, 1, 0, 'The controller gets the soil ahead: 0 no, 1 yes'),
      quantity('soilAheadGainRatio', 'ratio', -3, 3, 1, 'Change of the opener force in the map, as a fraction of the true one; negative: inverted'),
      quantity('soilAheadNoiseN', 'newton', 0, 1000, 0, 'Error of the map from cell to cell, standard deviation; typical 50 (our choice)'),
      quantity('soilAheadCellM', 'metre', 0.1, 10, 0.5, 'Length of the cells of that error; between their centres it is linear'),
      quantity('soilAheadOffsetM', 'metre', -1.5, 1.5, 0, 'Shift of the map along the path; positive: what it shows comes too late; typical 0.3 (our choice)'),
      quantity('soilAheadWrongRatio', 'ratio', 0, 1, 0, 'Fraction of the soil patches for which the map has another force, drawn at random; typical 0.1 (our choice)'),
    ],
  },
  {
    name: 'supply',
    help: 'Battery, alternator and wiring up to the bank',
    quantities: [
      quantity('sourceV', 'volt', 6, 60, 13.2, 'Voltage of battery and alternator'),
      quantity('harnessOhm', 'ohm', 0, 10, 0.08, 'Resistance of source and wires up to the bank'),
      quantity('electronicsW', 'watt', 0, 100, 4, 'Power of the electronics and sensors of the bank'),
    ],
  },
  {
    name: 'reservoir',
    help: 'Reservoir capacitor that feeds the coils',
    none: { reservoirUf: 0 },
    quantities: [
      quantity('reservoirUf', 'microfarad', 100, 1000000, 47000, 'Capacitance'),
      quantity('chargeOhm', 'ohm', 0.1, 1000, 2, 'Charging resistor, in series with a diode'),
    ],
  },
  {
    name: 'frame',
    help: 'The frame of the planter',
    quantities: [
      quantity('liftMm', 'millimetre', 50, 2000, 400, 'Lift height at a headland'),
      quantity('liftS', 'second', 0.2, 20, 2.5, 'Time for the frame to lift'),
      quantity('lowerS', 'second', 0.2, 20, 2, 'Time for the frame to lower, which its weight helps (default our choice); the controller gets the longer one of the two'),
      quantity('frameWaveM', 'metre', 0.5, 100, 1, 'Wavelength below which the frame wheels smooth the ground (default our choice)'),
      quantity('bounceHz', 'hertz', 0, 20, 1.8, 'Natural frequency of the frame on its wheels (default our choice); 0: a rigid frame on the waves that all rows share'),
      quantity('bounceDampingRatio', 'ratio', 0.01, 2, 0.25, 'Damping ratio of the frame on its wheels; 0.1 to 0.25 on tyres, which are its only dampers (our choice)'),
      integer('wingRows', 2, 48, 8, 'Rows on a wing of the frame, which bounces and rolls as one bar; the last wing has the remaining rows'),
    ],
  },
  {
    name: 'spread',
    help: 'Differences between rows, drawn from the seed',
    none: { massSpreadRatio: 0, contactSpreadRatio: 0, flowSpreadRatio: 0, loadSpreadN: 0, gasSpreadRatio: 0, loadGainSpreadRatio: 0, accelerationBiasSpreadMps2: 0, liftSpreadMm: 0 },
    quantities: [
      quantity('massSpreadRatio', 'ratio', 0, 0.3, 0.03, 'Relative standard deviation of the mass'),
      quantity('contactSpreadRatio', 'ratio', 0, 0.3, 0.1, 'Relative standard deviation of the contact stiffness'),
      quantity('flowSpreadRatio', 'ratio', 0, 0.3, 0.05, 'Relative standard deviation of the valve flows'),
      quantity('loadSpreadN', 'newton', 0, 200, 10, 'Standard deviation of the load sensor zeros'),
      quantity('gasSpreadRatio', 'ratio', 0, 0.3, 0.05, 'Relative standard deviation of the gas in the accumulators (default our choice)'),
      quantity('loadGainSpreadRatio', 'ratio', 0, 0.3, 0.02, 'Relative standard deviation of the gains of the load sensors (default our choice)'),
      quantity('accelerationBiasSpreadMps2', 'metrePerSecondSquared', 0, 5, 0.1, 'Standard deviation of the offsets of the accelerometers; source of the default as for accelerationBiasMps2'),
      quantity('liftSpreadMm', 'millimetre', 0, 100, 20, 'Standard deviation of the lift height: lowered rows touch the ground one after the other (default our choice)'),
    ],
  },
  {
    name: 'proportional',
    help: 'Proportional pressure valve with its own controller, instead of the valve pair; for comparison only',
    strictlyAscending: [
      ['proportionalMinA', 'proportionalMaxA'],
    ],
    quantities: [
      quantity('spoolHz', 'hertz', 0.5, 200, 12, 'Bandwidth of coil and spool'),
      quantity('spoolDeadKpa', 'kilopascal', 0, 2000, 60, 'Half width of the spool deadband, as a pressure error'),
      quantity('spoolFullKpa', 'kilopascal', 10, 10000, 500, 'Pressure error beyond the deadband at which a metering edge is fully open'),
      quantity('spoolFlowLpm', 'litrePerMinute', 0.2, 100, 12, 'Flow of a fully open metering edge at valveFlowDropKpa'),
      quantity('spoolFrictionKpa', 'kilopascal', 0, 2000, 80, 'Half width of the friction hysteresis'),
      quantity('contaminationKpaPerHour', 'kilopascalPerHour', 0, 10000, 20, 'Growth of that half width by contamination'),
      quantity('spoolLeakMlPerMin', 'millilitrePerMinute', 0, 2000, 100, 'Leak across the spool at 100 bar'),
      quantity('proportionalOhm', 'ohm', 0.5, 200, 8, 'Coil resistance'),
      quantity('proportionalMinA', 'ampere', 0, 5, 0.2, 'Coil current at zero pressure'),
      quantity('proportionalMaxA', 'ampere', 0.1, 10, 1.1, 'Coil current at proportionalMaxKpa'),
      quantity('proportionalMaxKpa', 'kilopascal', 1000, 40000, 11000, 'Maximum set pressure'),
      quantity('proportionalFilterHz', 'hertz', 0.2, 50, 44, 'Corner frequency of the second-order low-pass on the load'),
      quantity('proportionalKpaPerN', 'kilopascalPerNewton', 0, 50, 2.5, 'Proportional gain: pressure per load error'),
      quantity('proportionalKpaPerNS', 'kilopascalPerNewtonSecond', 0, 200, 47, 'Integral gain: pressure rate per load error'),
    ],
  },
];
