import { FIELD } from './field.js';
import { ROWS_MAX } from './limits.js';
import { MACHINE } from './machine.js';
import type { FieldType } from './records.js';
import type { UnitName } from './units.js';

/**
 * Every record of the plant: what it is set up with, what drives it, what goes wrong, what it tells, and its state.
 * Besides these its memory holds the controller's inputs and outputs, as the contract lays them out.
 */
export type PlantEach = 'bank' | 'row' | 'valve' | 'track' | 'section';

export interface PlantField {
  readonly name: string;
  readonly type: FieldType;
  readonly unit: UnitName;
  readonly help: string;
  readonly values?: keyof typeof PLANT_ENUMS;
}

/** setting: written before begin(). drive: written before a tick. truth: read after it, and recorded. The rest is the plant's own. */
export type PlantKind = 'setting' | 'drive' | 'truth' | 'own';

export interface PlantTable {
  readonly name: string;
  readonly kind: PlantKind;
  readonly at: Readonly<Record<string, PlantEach>>;
  readonly help: string;
  readonly fields: readonly PlantField[];
}

export const PLANT_ENUMS = {
  Actuation: ['latching', 'proportional', 'perfect'],
  SensorFault: ['none', 'open', 'short', 'frozen', 'jumping', 'garbage'],
} as const;

/** Rows, and before them the track that all have in common. */
export const TRACKS_MAX = ROWS_MAX + 1;
/** Points of a height profile that interpolation looks at. */
export const RING = 5;

/** First-order sections that make a waviness other than 2. */
export const SECTIONS = 6;

const f64 = (name: string, unit: UnitName, help: string, values?: keyof typeof PLANT_ENUMS): PlantField =>
  values === undefined ? { name, type: 'f64', unit, help } : { name, type: 'f64', unit, help, values };
const f32 = (name: string, unit: UnitName, help: string): PlantField => ({ name, type: 'f32', unit, help });
const ring = (name: string, unit: UnitName, help: string): PlantField[] =>
  Array.from({ length: RING }, (_, index) => f64(`${name}${index}`, unit, `${help}, point ${index}`));

export const PLANT_RECORDS: readonly PlantTable[] = [
  {
    name: 'Setup',
    kind: 'setting',
    at: { setup: 'bank' },
    help: 'What a run is begun with',
    fields: [
      f64('rows', 'none', 'Rows, 1 to 48'),
      f64('tickHz', 'hertz', 'Controller ticks per second'),
      f64('seed', 'none', 'Seed of everything random, a whole number below 2³²'),
      f64('actuation', 'none', 'What moves the oil', 'Actuation'),
      f64('startKpa', 'kilopascal', 'Chamber pressure at the start'),
      f64('profileTracks', 'none', 'Tracks of a height profile from a file: 0 none, 1 for all rows, or one a row'),
      f64('profilePoints', 'none', 'Points of each of them'),
    ],
  },
  {
    name: 'Machine',
    kind: 'setting',
    at: { machine: 'bank' },
    help: 'The machine, as in its file',
    fields: MACHINE.flatMap(({ quantities }) => quantities.map(({ name, unit, help }) => f64(name, unit, help))),
  },
  {
    name: 'Field',
    kind: 'setting',
    at: { field: 'bank' },
    help: 'The field',
    fields: FIELD.map(({ name, unit, help }) => f64(name, unit, help)),
  },
  {
    name: 'Drive',
    kind: 'drive',
    at: { drive: 'bank' },
    help: 'How the machine is driven in this tick',
    fields: [
      f64('speedMps', 'metrePerSecond', 'Ground speed at the tick’s end'),
      f64('targetLoadN', 'newton', 'Load that the operator asks for'),
      f64('lowered', 'none', '0 lifted, 1 lowered'),
      f64('enabled', 'none', '0 off, 1 on'),
      f64('shutDown', 'none', '1 when power is about to go'),
      f64('oilC', 'degreeCelsius', 'Oil temperature'),
      f64('airC', 'degreeCelsius', 'Air temperature'),
      f64('sourceV', 'volt', 'Voltage of the source'),
      f64('railRatio', 'ratio', 'Share of its pressure that the pump keeps'),
      f64('gradePercent', 'percent', 'Slope along the rows'),
      f64('sideSlopePercent', 'percent', 'Slope across the rows'),
      f64('busLost', 'none', '1 while target, temperature and speed are no values'),
      f64('speedLost', 'none', '1 while speed is no value'),
      f64('railSensor', 'none', 'What is wrong with the rail’s sensor', 'SensorFault'),
    ],
  },
  {
    name: 'Trouble',
    kind: 'drive',
    at: { trouble: 'row' },
    help: 'What is wrong with a row',
    fields: [
      f64('off', 'none', '1 while its row switch is off'),
      f64('missRatio', 'ratio', 'Share of strokes that do not move the valve'),
      f64('missSupplyOpens', 'none', 'So many next opening strokes of the supply valve do not move it; the plant counts down'),
      f64('missSupplyCloses', 'none', 'The same for its closing strokes'),
      f64('missReturnOpens', 'none', 'The same for the return valve’s opening strokes'),
      f64('missReturnCloses', 'none', 'The same for its closing strokes'),
      f64('supplyStuck', 'none', '1 while the supply valve does not move'),
      f64('returnStuck', 'none', '1 while the return valve does not move'),
      f64('supplyLeakMlPerMin', 'millilitrePerMinute', 'More leak of the supply valve, at 100 bar'),
      f64('returnLeakMlPerMin', 'millilitrePerMinute', 'More leak of the return valve, at 100 bar'),
      f64('flowRatio', 'ratio', 'Share of the flow that its valves still pass'),
      f64('loadSensor', 'none', 'What is wrong with the load sensor', 'SensorFault'),
      f64('pressureSensor', 'none', 'What is wrong with the pressure sensor', 'SensorFault'),
      f64('accelerationSensor', 'none', 'What is wrong with the accelerometer', 'SensorFault'),
      f64('loadOffsetN', 'newton', 'Added to the load reading'),
      f64('loadSwingN', 'newton', 'Swing of the load reading at 2 Hz, as when a lifted row sways'),
      f64('pressureOffsetKpa', 'kilopascal', 'Added to the pressure reading'),
      f64('placeSupply', 'none', 'Puts the supply valve: 1 open, 2 closed; the plant clears it'),
      f64('placeReturn', 'none', 'Puts the return valve likewise'),
    ],
  },
  {
    name: 'BankTruth',
    kind: 'truth',
    at: { bankTruth: 'bank' },
    help: 'What is really so in the bank, after the tick',
    fields: [
      f32('distanceM', 'metre', 'Way driven'),
      f32('speedMps', 'metrePerSecond', 'Ground speed'),
      f32('frameMm', 'millimetre', 'Height of the frame over the mean ground'),
      f32('railTrueKpa', 'kilopascal', 'Rail pressure'),
      f32('returnTrueKpa', 'kilopascal', 'Pressure in the return line'),
      f32('supplyLpm', 'litrePerMinute', 'Flow from the rail into the rows'),
      f32('bankV', 'volt', 'Voltage at the bank'),
      f32('coilV', 'volt', 'Voltage that feeds the coils'),
      f32('coilsA', 'ampere', 'Current of all coils'),
      f32('hydraulicJ', 'joule', 'Energy drawn from the rail since the start'),
    ],
  },
  {
    name: 'RowTruth',
    kind: 'truth',
    at: { rowTruth: 'row' },
    help: 'What is really so in a row, after the tick',
    fields: [
      f32('wheelN', 'newton', 'Load that the gauge wheels carry'),
      f32('openerN', 'newton', 'Force that the soil bears against the opener'),
      f32('downN', 'newton', 'Down force at the row, cylinder less lift spring and damping'),
      f32('groundMm', 'millimetre', 'Ground under the wheels over the mean ground'),
      f32('travelMm', 'millimetre', 'Height of the row over level travel'),
      f32('rowMps2', 'metrePerSecondSquared', 'Acceleration of the row, up positive'),
      f32('chamberKpa', 'kilopascal', 'Chamber pressure'),
      f32('gasC', 'degreeCelsius', 'Gas temperature'),
      f32('supplyOpening', 'ratio', 'How far the supply valve is open'),
      f32('returnOpening', 'ratio', 'How far the return valve is open'),
      f32('oilMl', 'millilitre', 'Oil taken from the rail since the start'),
      f32('returnedMl', 'millilitre', 'Oil given to the return line since the start'),
      f32('coilJ', 'joule', 'Energy that its coils drew since the start'),
      f32('coilLossJ', 'joule', 'Part of it that warmed their windings'),
      f32('reboundJ', 'joule', 'Heat of its rebound damping since the start'),
      f32('missedStrokes', 'none', 'Strokes since the start that did not move their valve'),
    ],
  },
  {
    name: 'Derived',
    kind: 'own',
    at: { derived: 'bank' },
    help: 'What begin() works out, SI units unless said',
    fields: [
      f64('stepS', 'second', 'Longest integration step: half a millisecond or less'),
      f64('steps', 'none', 'Integration steps a tick'),
      f64('ratio0', 'ratio', 'Down force per cylinder force at level travel'),
      f64('ratio1', 'none', 'Its slope over travel, 1/m'),
      f64('ratio2', 'none', 'Its curvature over travel, 1/m²'),
      f64('areaM2', 'none', 'Piston area, m²'),
      f64('oilM3PerPa', 'none', 'Chamber oil over bulk modulus, m³/Pa'),
      f64('airM3Pa', 'none', 'Free air as volume times pressure, m³·Pa'),
      f64('gasJPerK', 'none', 'Gas as pressure times volume over temperature, J/K'),
      f64('gasM3', 'none', 'Accumulator’s volume, m³'),
      f64('rebound', 'none', 'Rebound force per square of speed, N·s²/m²'),
      f64('bellow', 'none', 'Passage’s viscous term, Pa·s/m³ per m²/s'),
      f64('spoolThroat', 'none', 'Orifice’s term of the proportional valve, Pa·s²/m⁶'),
      f64('throat', 'none', 'Orifice’s term of the nominal valve, Pa·s²/m⁶'),
      f64('viscosityA', 'none', 'Intercept of the viscosity line (ASTM D341)'),
      f64('viscosityB', 'none', 'Slope of the viscosity line (ASTM D341)'),
      f64('lugRadPerM', 'none', 'Lug ripple’s angle over way, rad/m'),
      f64('ouDecay', 'ratio', 'Profile generator: what is left after one point'),
      f64('ouSpreadM', 'metre', 'Profile generator: standard deviation'),
      f64('ouKickM', 'metre', 'Profile generator: what each point adds'),
      f64('split', 'ratio', 'Coefficient of the split into common and own waves'),
      f64('soilDecay', 'ratio', 'Soil noise: what is left after one point'),
      f64('sections', 'none', 'Sections of the waviness filter in use'),
      f64('patchDecay', 'ratio', 'Rounding of a soil patch’s edge: what is left after one point'),
    ],
  },
  {
    name: 'LowPass',
    kind: 'own',
    at: { envelope: 'bank', frameFilter: 'bank', slowFilter: 'bank' },
    help: 'Coefficients of a second-order low-pass (bilinear, unity gain at rest)',
    fields: [f64('b0', 'none', 'Numerator: b0, 2·b0, b0'), f64('a1', 'none', 'Denominator'), f64('a2', 'none', 'Denominator')],
  },
  {
    name: 'Section',
    kind: 'own',
    at: { section: 'section' },
    help: 'One first-order section of the filter that makes a waviness other than 2',
    fields: [f64('b0', 'none', 'Numerator'), f64('b1', 'none', 'Numerator'), f64('a1', 'none', 'Denominator')],
  },
  {
    name: 'PlantState',
    kind: 'own',
    at: { plant: 'bank' },
    help: 'State of what rows share',
    fields: [
      f64('tick', 'tick', 'Ticks so far'),
      f64('wayM', 'metre', 'Way driven'),
      f64('speedMps', 'metrePerSecond', 'Ground speed'),
      f64('accelerationMps2', 'metrePerSecondSquared', 'Change of speed in this tick'),
      f64('point', 'none', 'Point of the profile at or before the way'),
      f64('liftRatio', 'ratio', 'How far lifted: 0 down, 1 up'),
      f64('liftPerS', 'none', 'Change of it in this step, 1/s'),
      f64('railPa', 'none', 'Rail pressure, absolute, Pa'),
      f64('returnPa', 'none', 'Return pressure, absolute, Pa'),
      f64('supplyM3PerS', 'none', 'Flow out of the rail, m³/s'),
      f64('returnM3PerS', 'none', 'Flow into the return line, m³/s'),
      f64('viscosityM2PerS', 'none', 'Kinematic viscosity, m²/s'),
      f64('viscosityAtC', 'degreeCelsius', 'Temperature that it holds for'),
      f64('gravityMps2', 'metrePerSecondSquared', 'Gravity across the slope'),
      f64('bankV', 'volt', 'Voltage at the bank'),
      f64('coilV', 'volt', 'Voltage that feeds the coils'),
      f64('coilsA', 'ampere', 'Current of all coils'),
      f64('hydraulicJ', 'joule', 'Energy drawn from the rail'),
      f64('frozenRailCounts', 'count', 'Code of a frozen rail sensor'),
    ],
  },
  {
    name: 'Moment',
    kind: 'own',
    at: { momentBegin: 'bank', momentMiddle: 'bank', momentEnd: 'bank', fineBegin: 'bank', fineMiddle: 'bank', fineEnd: 'bank' },
    help: 'What all rows share at a moment of the step under way; the fine ones are for a row whose step is divided',
    fields: [
      ...ring('weight', 'none', 'Weight of a profile’s point in the height'),
      ...ring('slope', 'none', 'Weight of a profile’s point in the slope, 1/m'),
      f64('wayM', 'metre', 'Way driven'),
      f64('speedMps', 'metrePerSecond', 'Ground speed'),
      f64('lugSine', 'ratio', 'Sine of the lugs’ angle'),
      f64('lugCosine', 'ratio', 'Cosine of the lugs’ angle'),
      f64('frameM', 'metre', 'Height of the frame'),
      f64('frameMps', 'metrePerSecond', 'Its speed'),
    ],
  },
  {
    name: 'Track',
    kind: 'own',
    at: { track: 'track' },
    help: 'Generator of one track’s height and soil',
    fields: [
      f64('ouM', 'metre', 'Profile generator'),
      ...Array.from({ length: SECTIONS }, (_, index) => f64(`section${index}`, 'metre', 'Waviness filter')),
      f64('splitM', 'metre', 'Split into common and own waves'),
      f64('low1', 'metre', 'Low-pass'),
      f64('low2', 'metre', 'Low-pass'),
      f64('soilNoise', 'ratio', 'Soil noise'),
      f64('soilN', 'newton', 'Soil’s force with rounded edges'),
      f64('patch', 'none', 'Number of the soil patch'),
      f64('patchBaseM', 'metre', 'Where the patch ends on the mean of all rows'),
      f64('patchEndM', 'metre', 'Where it ends in this row'),
      f64('patchN', 'newton', 'Its opener force'),
      f64('stoneM', 'metre', 'Where the next stone begins'),
      f64('stone', 'none', 'Its number'),
      ...ring('height', 'metre', 'Height'),
      ...ring('soil', 'newton', 'Opener force'),
    ],
  },
  {
    name: 'RowMade',
    kind: 'own',
    at: { rowMade: 'row' },
    help: 'What makes a row differ from the others',
    fields: [
      f64('massKg', 'kilogram', 'Mass in motion'),
      f64('contactNPerM', 'newtonPerMetre', 'Stiffness of the contact'),
      f64('supplyFlow', 'ratio', 'Flow of its supply valve as a share of nominal'),
      f64('returnFlow', 'ratio', 'Flow of its return valve'),
      f64('loadZeroN', 'newton', 'Zero of its load sensor'),
      f64('lugSine', 'ratio', 'Sine of its lugs’ phase'),
      f64('lugCosine', 'ratio', 'Cosine of its lugs’ phase'),
    ],
  },
  {
    name: 'RowState',
    kind: 'own',
    at: { rowState: 'row', base: 'bank', trial: 'bank' },
    help: 'State of a row. Height, speed, gas temperature, sensed load and oil stored are integrated; the pressure follows from the oil. `trial` is the state that rates are asked for, `base` that at the step’s begin',
    fields: [
      f64('heightM', 'metre', 'Height of the row'),
      f64('speedMps', 'metrePerSecond', 'Its speed, up positive'),
      f64('chamberPa', 'none', 'Chamber pressure, absolute, Pa'),
      f64('gasK', 'none', 'Gas temperature, K'),
      f64('sensedN', 'newton', 'Load behind the fluid coupling'),
      f64(
        'storedM3',
        'none',
        'Oil that the chamber’s pressure holds beyond what its room at no pressure would, m³: what a step integrates',
      ),
      f64('accelerationMps2', 'metrePerSecondSquared', 'Its acceleration at the tick’s end'),
      f64('oilM3', 'none', 'Oil taken from the rail, m³'),
      f64('returnedM3', 'none', 'Oil given to the return line, m³'),
      f64('reboundJ', 'joule', 'Heat of the rebound damping'),
      f64('coilJ', 'joule', 'Energy that its coils drew'),
      f64('coilLossJ', 'joule', 'Part of it that warmed their windings'),
      f64('missed', 'none', 'Strokes that did not move their valve'),
      f64('filtered1', 'newton', 'Proportional valve’s load filter'),
      f64('filtered2', 'newton', 'Proportional valve’s load filter'),
      f64('integralPa', 'none', 'Its control’s integral part, Pa'),
      f64('commandPa', 'none', 'Pressure that it is to set, Pa'),
      f64('laggedPa', 'none', 'The same behind coil and spool'),
      f64('spoolPa', 'none', 'The same behind friction'),
      f64('frozenLoadCounts', 'count', 'Code of a frozen load sensor'),
      f64('frozenPressureCounts', 'count', 'Code of a frozen pressure sensor'),
      f64('frozenAccelerationCounts', 'count', 'Code of a frozen accelerometer'),
    ],
  },
  {
    name: 'Valve',
    kind: 'own',
    at: { valve: 'valve' },
    help: 'One latching valve',
    fields: [
      f64('opening', 'ratio', 'How far it is open'),
      f64('before', 'ratio', 'The same at the step’s begin'),
      f64('latched', 'none', 'The end it last rested at: 0 closed, 1 open'),
      f64('order', 'none', 'Current in its coil: 0 none, 1 opening, 2 closing'),
      f64('coilA', 'ampere', 'That current’s size'),
      f64('missing', 'none', '1 while the stroke under way does not move it'),
      f64('strokes', 'none', 'Strokes so far'),
    ],
  },
  {
    name: 'Rates',
    kind: 'own',
    at: { rates: 'bank' },
    help: 'Rates of change of a row’s state, and the forces and flows behind them',
    fields: [
      f64('heightMps', 'metrePerSecond', 'Of the height'),
      f64('speedMps2', 'metrePerSecondSquared', 'Of the speed'),
      f64('chamberPaPerS', 'none', 'Of the chamber pressure, Pa/s'),
      f64('gasKPerS', 'none', 'Of the gas temperature, K/s'),
      f64('sensedNPerS', 'none', 'Of the sensed load, N/s'),
      f64('storedM3PerS', 'none', 'Of the oil stored, m³/s'),
      f64('supplyM3PerS', 'none', 'Flow from the rail, m³/s'),
      f64('returnM3PerS', 'none', 'Flow to the return line, m³/s'),
      f64('bypassM3PerS', 'none', 'Flow past the chamber from rail to return line, m³/s'),
      f64('reboundW', 'watt', 'Heat of the rebound damping'),
      f64('wheelN', 'newton', 'Load of the gauge wheels'),
      f64('openerN', 'newton', 'Force of the soil on the opener'),
      f64('closingN', 'newton', 'Load of the closing wheels'),
      f64('downN', 'newton', 'Down force at the row'),
      f64('cylinderN', 'newton', 'Down force of the cylinder alone'),
      f64('springN', 'newton', 'Force of the lift spring'),
      f64('reboundN', 'newton', 'Force of the rebound damping'),
      f64('frictionN', 'newton', 'Friction, up positive'),
      f64('stopN', 'newton', 'Force of the stops, up positive'),
      f64('groundM', 'metre', 'Ground under the wheels'),
      f64('groundMps', 'metrePerSecond', 'Its rate'),
      f64('frameM', 'metre', 'Frame'),
      f64('frameMps', 'metrePerSecond', 'Its speed'),
      f64('soilN', 'newton', 'Opener force at the set depth'),
      f64('groundSpeedMps', 'metrePerSecond', 'Ground speed'),
    ],
  },
];
