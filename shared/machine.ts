import type { UnitName } from './units.js';

/** A number of a machine or a field, as a person writes it: in its unit, or with another unit of the same kind as text. */
export interface Quantity<Name extends string = string> {
  readonly name: Name;
  readonly unit: UnitName;
  readonly min: number;
  readonly max: number;
  readonly default: number;
  readonly help: string;
  /** Whole numbers only. */
  readonly isInteger?: boolean;
}

/** A part of the machine: one mapping in a machine file. */
export interface Part<Name extends string = string> {
  readonly name: string;
  readonly help: string;
  /** What the word `none` in its place sets: the values of a machine without it. Parts without this cannot be left out. */
  readonly none?: Readonly<Record<string, number>>;
  /** Names in ascending order, also of quantities in other parts; neighbours may be equal. */
  readonly ascending?: readonly (readonly string[])[];
  /** The same, but each must be less than the next. */
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

/** A number without a unit that must be whole, such as a count or a gauge. */
export const integer = <const Name extends string>(
  name: Name,
  min: number,
  max: number,
  byDefault: number,
  help: string,
): Quantity<Name> => ({ name, unit: 'none', min, max, default: byDefault, help, isInteger: true });

/**
 * The machine, part by part. Names are unique over all parts; where the controller has a parameter of the same name, it is
 * told this value. Defaults are engineering estimates of an invented machine, no product's data.
 */
// biome-ignore format: a table reads best with one quantity to a line
export const MACHINE: readonly Part[] = [
  {
    name: 'row',
    help: 'The row unit itself',
    quantities: [
      quantity('massKg', 'kilogram', 5, 1000, 85, 'Mass of the row unit without seed'),
      quantity('seedKg', 'kilogram', 0, 500, 20, 'Seed in its hopper'),
      quantity('frictionN', 'newton', 0, 1000, 40, 'Dry friction of the linkage, as force at the row'),
      quantity('closingN', 'newton', 0, 3000, 220, 'Load that closing wheels and their spring carry'),
      quantity('seedDepthMm', 'millimetre', 10, 150, 50, 'Depth that the opener is set to'),
    ],
  },
  {
    name: 'wheel',
    help: 'Gauge wheels and the ground under them',
    quantities: [
      quantity('contactNPerM', 'newtonPerMetre', 5000, 2000000, 150000, 'Stiffness of tyre and soil'),
      quantity('contactNsPerM', 'newtonSecondPerMetre', 0, 50000, 2800, 'Damping of tyre and soil'),
      quantity('envelopePerM', 'perMetre', 0.3, 10, 2.9, 'Waves shorter than one over this are bridged by the tyre'),
      quantity('lugHeightMm', 'millimetre', 0, 20, 0.8, 'Height of the ripple that the tyre’s lugs make'),
      quantity('lugPitchM', 'metre', 0.02, 1, 0.15, 'Distance between lugs'),
      quantity('equaliserRatio', 'ratio', 0.1, 1, 0.5, 'Share of a stone’s height that reaches the row: two wheels with an equaliser halve it'),
    ],
  },
  {
    name: 'linkage',
    help: 'Parallel linkage; positions are measured from its lower pivot on the frame, to the rear and up, arms level',
    quantities: [
      quantity('armM', 'metre', 0.1, 2, 0.4, 'Length of the arms'),
      quantity('attachM', 'metre', 0.02, 2, 0.3, 'Where the cylinder acts on the arm, from the pivot'),
      quantity('cylinderPivotRearM', 'metre', -1, 1, 0.06, 'Cylinder’s upper pivot, to the rear'),
      quantity('cylinderPivotUpM', 'metre', 0.02, 2, 0.18, 'Cylinder’s upper pivot, up'),
      quantity('travelDownMm', 'millimetre', 10, 600, 180, 'Travel below level to the stop'),
      quantity('travelUpMm', 'millimetre', 10, 600, 180, 'Travel above level to the stop'),
      quantity('stopNPerM', 'newtonPerMetre', 10000, 2000000, 200000, 'Stiffness of the stops'),
    ],
  },
  {
    name: 'actuator',
    help: 'Hydraulic cylinder and its chamber',
    quantities: [
      quantity('capAreaCm2', 'squareCentimetre', 0.5, 50, 4.909, 'Piston area'),
      quantity('chamberOilMl', 'millilitre', 1, 2000, 60, 'Oil in chamber and lines at level travel'),
      quantity('bulkModulusMpa', 'megapascal', 100, 3000, 1200, 'Bulk modulus of oil and hoses'),
      quantity('airRatio', 'ratio', 0, 0.1, 0.005, 'Free air in the oil at atmospheric pressure, as share of volume'),
    ],
  },
  {
    name: 'accumulator',
    help: 'Gas accumulator on the chamber',
    none: { accumulatorMl: 0 },
    quantities: [
      quantity('accumulatorMl', 'millilitre', 10, 5000, 320, 'Gas volume at precharge'),
      quantity('prechargeAbsoluteKpa', 'kilopascal', 150, 20000, 1200, 'Precharge, absolute, at 20 °C'),
      quantity('gasExponent', 'ratio', 1.01, 1.67, 1.4, 'Ratio of the gas’s specific heats'),
      quantity('gasThermalS', 'second', 0.05, 600, 6, 'Time constant with which the gas takes on the ambient temperature'),
    ],
  },
  {
    name: 'liftSpring',
    help: 'Gas spring that carries the row’s weight',
    none: { liftN: 0, liftNPerM: 0 },
    quantities: [
      quantity('liftN', 'newton', 0, 5000, 600, 'Its force at level travel'),
      quantity('liftNPerM', 'newtonPerMetre', 0, 20000, 700, 'More of it for each metre that the row hangs lower'),
    ],
  },
  {
    name: 'rebound',
    help: 'One-way damping of the cylinder’s rod side: free when the row rises, an orifice when it comes down',
    none: { rodAreaCm2: 0 },
    quantities: [
      quantity('reboundOrificeMm', 'millimetre', 0.2, 10, 1.2, 'Diameter of the orifice'),
      quantity('rodAreaCm2', 'squareCentimetre', 0.2, 50, 3, 'Area of the rod side'),
      quantity('reboundUpRatio', 'ratio', 0, 1, 0.05, 'Damping when rising, as share of that when coming down'),
    ],
  },
  {
    name: 'valve',
    help: 'Each of the two latching valves',
    quantities: [
      quantity('valveFlowLpm', 'litrePerMinute', 0.2, 60, 8, 'Flow of the open valve at valveFlowDropKpa, oil at 40 °C'),
      quantity('valveFlowDropKpa', 'kilopascal', 100, 30000, 10000, 'Pressure drop at which valveFlowLpm holds'),
      quantity('passageMm', 'millimetre', 0, 50, 3, 'Length of the narrow passage, in which viscosity counts'),
      quantity('valveLeakMlPerMin', 'millilitrePerMinute', 0, 500, 2, 'Leak of a closed valve at 100 bar'),
      quantity('moveMs', 'millisecond', 0.5, 20, 2, 'Time from one end to the other once it moves'),
      quantity('throwRatio', 'ratio', 0.05, 0.95, 0.35, 'Share of its way after which the magnet takes it to the end by itself'),
      quantity('coilOhm', 'ohm', 0.2, 200, 2.2, 'Resistance of its coil, at 20 °C'),
      quantity('coilMh', 'millihenry', 0.1, 200, 4, 'Inductance of its coil'),
      quantity('pullA', 'ampere', 0.05, 20, 1.31, 'Current at which it begins to move'),
    ],
  },
  {
    name: 'rail',
    help: 'The tractor’s supply and return, shared by all rows',
    strictlyAscending: [
      ['returnKpa', 'railNominalKpa', 'reliefKpa'],
    ],
    quantities: [
      quantity('railNominalKpa', 'kilopascal', 1000, 40000, 15000, 'Pressure that the pump keeps at no flow'),
      quantity('railDroopKpaPerLpm', 'kilopascalPerLitrePerMinute', 0, 1000, 10, 'Less of it for each L/min drawn'),
      quantity('railOilMl', 'millilitre', 50, 20000, 1500, 'Oil in hoses and rail'),
      quantity('pumpLpm', 'litrePerMinute', 1, 500, 90, 'Most that the pump delivers'),
      quantity('reliefKpa', 'kilopascal', 1000, 45000, 21000, 'Relief valve opens'),
      quantity('returnKpa', 'kilopascal', 0, 2000, 200, 'Pressure in the return line at no flow'),
      quantity('returnRiseKpaPerLpm', 'kilopascalPerLitrePerMinute', 0, 100, 1, 'More of it for each L/min returned'),
    ],
  },
  {
    name: 'oil',
    help: 'The oil',
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
    help: 'Sensors and converter',
    strictlyAscending: [
      ['loadAtTenPercentN', 'loadAtNinetyPercentN'],
      ['pressureAtTenPercentKpa', 'pressureAtNinetyPercentKpa'],
      ['railAtTenPercentKpa', 'railAtNinetyPercentKpa'],
    ],
    quantities: [
      quantity('adcFullScaleCounts', 'count', 256, 65535, 4096, 'Converter codes for the full sensor supply'),
      quantity('loadLagHz', 'hertz', 0.2, 200, 5, 'Corner of the fluid coupling with its small accumulator, at 450 N'),
      quantity('loadStiffeningN', 'newton', 100, 100000, 4000, 'The coupling’s gas makes it faster with load: corner as (load + this)²'),
      quantity('loadNoiseN', 'newton', 0, 500, 5, 'Noise of the load reading, standard deviation'),
      quantity('loadGainRatio', 'ratio', 0.5, 1.5, 1, 'Gain of the load sensor'),
      quantity('loadDriftNPerC', 'newtonPerDegree', -50, 50, 0.5, 'Its zero drift with oil temperature, from 20 °C'),
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
      quantity('accelerationFitted', 'none', 1, 1, 1, 'It is there'),
      quantity('accelerationNoiseMps2', 'metrePerSecondSquared', 0, 10, 0.15, 'Noise of its reading, standard deviation'),
      quantity('accelerationAtTenPercentMps2', 'metrePerSecondSquared', -500, 0, -50, 'Acceleration at 10 % of the sensor supply, up positive'),
      quantity('accelerationAtNinetyPercentMps2', 'metrePerSecondSquared', 1, 500, 50, 'Acceleration at 90 % of the sensor supply'),
    ],
  },
  {
    name: 'supply',
    help: 'Battery, alternator and wiring up to the bank',
    quantities: [
      quantity('sourceV', 'volt', 6, 60, 13.2, 'Voltage of battery and alternator'),
      quantity('harnessOhm', 'ohm', 0, 10, 0.08, 'Resistance of source and wires to the bank'),
      quantity('electronicsW', 'watt', 0, 100, 4, 'What the bank’s electronics and sensors draw'),
    ],
  },
  {
    name: 'reservoir',
    help: 'Capacitor that feeds the coils',
    none: { reservoirUf: 0 },
    quantities: [
      quantity('reservoirUf', 'microfarad', 100, 1000000, 47000, 'Its capacitance'),
      quantity('chargeOhm', 'ohm', 0.1, 1000, 2, 'Resistance that it is charged through, by way of a diode'),
    ],
  },
  {
    name: 'frame',
    help: 'The planter’s frame, which carries the rows',
    quantities: [
      quantity('liftMm', 'millimetre', 50, 2000, 400, 'How far it is lifted at a headland'),
      quantity('liftS', 'second', 0.2, 20, 2.5, 'Time to lift or lower it'),
      quantity('frameWaveM', 'metre', 0.5, 100, 3, 'Waves shorter than this are bridged by its wheels'),
    ],
  },
  {
    name: 'spread',
    help: 'How much rows differ, as standard deviation over the rows; drawn from the seed',
    none: { massSpreadRatio: 0, contactSpreadRatio: 0, flowSpreadRatio: 0, loadSpreadN: 0 },
    quantities: [
      quantity('massSpreadRatio', 'ratio', 0, 0.3, 0.03, 'Of the mass'),
      quantity('contactSpreadRatio', 'ratio', 0, 0.3, 0.1, 'Of the contact’s stiffness'),
      quantity('flowSpreadRatio', 'ratio', 0, 0.3, 0.05, 'Of each valve’s flow'),
      quantity('loadSpreadN', 'newton', 0, 200, 10, 'Of the load sensors’ zeros'),
    ],
  },
  {
    name: 'proportional',
    help: 'Proportional pressure valve in place of the pair, with its own control: for comparison only',
    strictlyAscending: [
      ['proportionalMinA', 'proportionalMaxA'],
    ],
    quantities: [
      quantity('spoolHz', 'hertz', 0.5, 200, 12, 'Bandwidth of spool and coil'),
      quantity('spoolDeadKpa', 'kilopascal', 0, 2000, 60, 'Half width of the pressure error within which neither edge is open'),
      quantity('spoolFullKpa', 'kilopascal', 10, 10000, 500, 'Pressure error beyond it at which an edge is fully open'),
      quantity('spoolFlowLpm', 'litrePerMinute', 0.2, 100, 12, 'Flow of a fully open edge at valveFlowDropKpa'),
      quantity('spoolFrictionKpa', 'kilopascal', 0, 2000, 80, 'Half width of the hysteresis that friction makes'),
      quantity('contaminationKpaPerHour', 'kilopascalPerHour', 0, 10000, 20, 'How friction grows as dirt settles'),
      quantity('spoolLeakMlPerMin', 'millilitrePerMinute', 0, 2000, 100, 'Leak over the spool at 100 bar'),
      quantity('proportionalOhm', 'ohm', 0.5, 200, 8, 'Resistance of its coil'),
      quantity('proportionalMinA', 'ampere', 0, 5, 0.2, 'Current at no pressure'),
      quantity('proportionalMaxA', 'ampere', 0.1, 10, 1.1, 'Current at proportionalMaxKpa'),
      quantity('proportionalMaxKpa', 'kilopascal', 1000, 40000, 11000, 'Highest pressure that it sets'),
      quantity('proportionalFilterHz', 'hertz', 0.2, 50, 8, 'Corner of the second-order low-pass on its load signal'),
      quantity('proportionalKpaPerN', 'kilopascalPerNewton', 0, 50, 3, 'Pressure change per load error'),
      quantity('proportionalKpaPerNS', 'kilopascalPerNewtonSecond', 0, 200, 20, 'Pressure rate per load error'),
    ],
  },
];
