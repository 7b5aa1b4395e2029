import { FIELD } from './field.js';
import { ROWS_MAX } from './limits.js';
import { MACHINE } from './machine.js';
import type { FieldType } from './records.js';
import type { UnitName } from './units.js';

/** How many instances of a record there are: one, or one for each of these. */
export type PlantEach = 'bank' | 'row' | 'valve' | 'track' | 'support' | 'section' | 'soilPoint';

export interface PlantField {
  readonly name: string;
  readonly type: FieldType;
  readonly unit: UnitName;
  readonly help: string;
  readonly values?: keyof typeof PLANT_ENUMS;
}

/** setting: written before start(). drive: written before a tick. truth: read after a tick, and recorded. The rest is internal. */
export type PlantKind = 'setting' | 'drive' | 'truth' | 'internal';

export interface PlantTable {
  readonly name: string;
  readonly kind: PlantKind;
  readonly at: Readonly<Record<string, PlantEach>>;
  readonly help: string;
  readonly fields: readonly PlantField[];
}

export const PLANT_ENUMS = {
  Actuation: ['latching', 'proportional', 'perfect'],
  SensorFault: ['none', 'open', 'short', 'frozen', 'jumping', 'garbage', 'noiseOnly'],
  SoilAheadFault: ['none', 'lost', 'frozen', 'garbage', 'otherRow'],
} as const;

/** One track for each row, and before them one that all rows share. */
export const TRACKS_MAX = ROWS_MAX + 1;
/** Two supports for each wing of the frame, and at least two rows to a wing. */
export const SUPPORTS_MAX = ROWS_MAX;
/** Points of a height profile that the interpolation uses. */
export const RING = 5;

/** Profile points under a gauge wheel of the largest radius, 0.5 m to either side of its centre. */
export const WINDOW = 41;
/** Points of a track's soil that are kept, a power of two: those ahead of the row, and as many behind it. */
export const SOIL_POINTS = 512;
/** Points by which the soil is known ahead of the height, for a preview: half of those kept. */
export const SOIL_LEAD = 254;

/** First-order sections of the filter for a waviness other than 2. */
export const SECTIONS = 6;

const f64 = (name: string, unit: UnitName, help: string, values?: keyof typeof PLANT_ENUMS): PlantField =>
  values === undefined ? { name, type: 'f64', unit, help } : { name, type: 'f64', unit, help, values };
const f32 = (name: string, unit: UnitName, help: string): PlantField => ({ name, type: 'f32', unit, help });
const points = (length: number, name: string, unit: UnitName, help: string): PlantField[] =>
  Array.from({ length }, (_, index) => f64(`${name}${index}`, unit, `${help}, point ${index}`));
const ring = (name: string, unit: UnitName, help: string): PlantField[] => points(RING, name, unit, help);

/**
 * All records of the plant: settings, drive, injected faults, truth and internal state. Its memory also holds the controller's
 * inputs and outputs, as the contract lays them out.
 */
export const PLANT_RECORDS: readonly PlantTable[] = [
  {
    name: 'Setup',
    kind: 'setting',
    at: { setup: 'bank' },
    help: 'Settings of a run',
    fields: [
      f64('rows', 'none', 'Rows, 1 to 48'),
      f64('tickHz', 'hertz', 'Controller ticks per second'),
      f64('seed', 'none', 'Seed of all random numbers, an integer below 2³²'),
      f64('actuation', 'none', 'Actuator that controls the chamber pressure', 'Actuation'),
      f64('startKpa', 'kilopascal', 'Chamber pressure at the start'),
      f64('profileTracks', 'none', 'Tracks of a height profile from a file: 0 none, 1 one for all rows, else one per row'),
      f64('profilePoints', 'none', 'Points of each track'),
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
    help: 'Drive of the machine in this tick',
    fields: [
      f64('speedMps', 'metrePerSecond', 'Ground speed at the end of the tick'),
      f64('targetLoadN', 'newton', 'Target load set by the operator'),
      f64('lowered', 'none', '0 lifted, 1 lowered'),
      f64('enabled', 'none', '0 off, 1 on'),
      f64('shutDown', 'none', '1 when power is about to be switched off'),
      f64('oilC', 'degreeCelsius', 'Oil temperature'),
      f64('airC', 'degreeCelsius', 'Air temperature'),
      f64('sourceV', 'volt', 'Source voltage'),
      f64('railRatio', 'ratio', 'Pump pressure as a fraction of nominal'),
      f64('gradePercent', 'percent', 'Slope along the rows, uphill positive'),
      f64('sideSlopePercent', 'percent', 'Slope across the rows'),
      f64('busLost', 'none', '1 while target, oil temperature and speed are invalid'),
      f64('speedLost', 'none', '1 while the speed is invalid'),
      f64('railSensor', 'none', 'Fault of the rail pressure sensor', 'SensorFault'),
      f64('liftSwitchBounceMs', 'millisecond', 'Time for which a bouncing lift switch keeps a random position; 0: it does not bounce'),
    ],
  },
  {
    name: 'InjectedFaults',
    kind: 'drive',
    at: { injectedFaults: 'row' },
    help: 'Faults injected into a row',
    fields: [
      f64('off', 'none', '1 while the row switch is off'),
      f64('missRatio', 'ratio', 'Probability that a stroke does not move its valve'),
      f64('missSupplyOpens', 'none', 'Number of opening strokes of the supply valve still to be missed; the plant counts down'),
      f64('missSupplyCloses', 'none', 'Closing strokes of the supply valve still to be missed'),
      f64('missReturnOpens', 'none', 'Opening strokes of the return valve still to be missed'),
      f64('missReturnCloses', 'none', 'Closing strokes of the return valve still to be missed'),
      f64('supplyStuck', 'none', '1 while the supply valve is stuck'),
      f64('returnStuck', 'none', '1 while the return valve is stuck'),
      f64('supplyLeakMlPerMin', 'millilitrePerMinute', 'Additional leak of the supply valve at 100 bar'),
      f64('returnLeakMlPerMin', 'millilitrePerMinute', 'Additional leak of the return valve at 100 bar'),
      f64('flowRatio', 'ratio', 'Remaining flow of both valves, as a fraction'),
      f64('supplyFlowRatio', 'ratio', 'Flow of the supply valve, as a fraction of its normal one'),
      f64('returnFlowRatio', 'ratio', 'Flow of the return valve, as a fraction of its normal one'),
      f64('gasLeftRatio', 'ratio', 'Fraction of the gas of the row at which a loss of gas ends'),
      f64('gasLossS', 'second', 'Time in which a full accumulator loses that gas'),
      f64('loadSensor', 'none', 'Fault of the load sensor', 'SensorFault'),
      f64('pressureSensor', 'none', 'Fault of the pressure sensor', 'SensorFault'),
      f64('accelerationSensor', 'none', 'Fault of the accelerometer', 'SensorFault'),
      f64('loadOffsetN', 'newton', 'Added to the load reading'),
      f64('loadDriftNPerMin', 'newtonPerMinute', 'Additional drift of the load reading'),
      f64('loadGainRatio', 'ratio', 'Gain of the load sensor, as a fraction of its normal one'),
      f64('loadSwingN', 'newton', 'Amplitude of a 2 Hz swing of the load reading, as if the lifted row were swinging'),
      f64('pressureOffsetKpa', 'kilopascal', 'Added to the pressure reading'),
      f64('accelerationBiasMps2', 'metrePerSecondSquared', 'Added to the acceleration reading'),
      f64('accelerationScaleRatio', 'ratio', 'Scale of the accelerometer, as a fraction of its normal one'),
      f64('accelerationTiltDeg', 'degree', 'Added to the tilt of the accelerometer'),
      f64('soilAhead', 'none', 'Fault of the soil ahead', 'SoilAheadFault'),
      f64('soilAheadGainRatio', 'ratio', 'Gain of the soil ahead, as a fraction of its normal one'),
      f64('soilAheadDelayS', 'second', 'Time by which the soil ahead is late'),
      f64('placeSupply', 'none', 'Moves the supply valve: 1 open, 2 closed; the plant clears it'),
      f64('placeReturn', 'none', 'Moves the return valve: 1 open, 2 closed; the plant clears it'),
    ],
  },
  {
    name: 'BankTruth',
    kind: 'truth',
    at: { bankTruth: 'bank' },
    help: 'True state of the bank after the tick',
    fields: [
      f32('distanceM', 'metre', 'Distance driven'),
      f32('speedMps', 'metrePerSecond', 'Ground speed'),
      f32('setDepthMm', 'millimetre', 'Set depth of the openers'),
      f32('frameMm', 'millimetre', 'Height of the frame above the mean ground, mean of the rows'),
      f32('railTrueKpa', 'kilopascal', 'Rail pressure'),
      f32('returnTrueKpa', 'kilopascal', 'Pressure in the return line'),
      f32('supplyLpm', 'litrePerMinute', 'Flow from the rail into the rows'),
      f32('bankV', 'volt', 'Voltage at the bank'),
      f32('coilV', 'volt', 'Voltage at the coils'),
      f32('coilsA', 'ampere', 'Current of all coils'),
      f32('hydraulicJ', 'joule', 'Energy drawn from the rail since the start'),
    ],
  },
  {
    name: 'RowTruth',
    kind: 'truth',
    at: { rowTruth: 'row' },
    help: 'True state of a row after the tick',
    fields: [
      f32('wheelN', 'newton', 'Gauge-wheel load'),
      f32('openerN', 'newton', 'Force of the soil on the opener'),
      f32('soilN', 'newton', 'The same at the set depth and in steady motion: what the soil is like'),
      f32('downN', 'newton', 'Down force at the row: cylinder minus lift spring and damping'),
      f32('groundMm', 'millimetre', 'Height of the ground under the wheels above the mean ground'),
      f32('depthMm', 'millimetre', 'Depth of the opener below the surface; negative above it'),
      f32('travelMm', 'millimetre', 'Height of the row above level travel'),
      f32('rowFrameMm', 'millimetre', 'Height of the frame at the row above the mean ground'),
      f32('rowMps2', 'metrePerSecondSquared', 'Acceleration of the row, up positive'),
      f32('chamberKpa', 'kilopascal', 'Chamber pressure'),
      f32('gasC', 'degreeCelsius', 'Gas temperature'),
      f32('supplyOpening', 'ratio', 'Opening of the supply valve'),
      f32('returnOpening', 'ratio', 'Opening of the return valve'),
      f32('oilMl', 'millilitre', 'Oil taken from the rail since the start'),
      f32('returnedMl', 'millilitre', 'Oil returned since the start'),
      f32('coilJ', 'joule', 'Energy drawn by the coils of the row since the start'),
      f32('coilLossJ', 'joule', 'Part of coilJ that is lost as heat in the windings'),
      f32('reboundJ', 'joule', 'Heat of the rebound damping since the start'),
      f32('missedStrokes', 'none', 'Strokes since the start that did not move their valve'),
      f32('stonesMet', 'none', 'Stones that the row has reached since the start'),
    ],
  },
  {
    name: 'Derived',
    kind: 'internal',
    at: { derived: 'bank' },
    help: 'Values that start() computes, in SI units unless stated',
    fields: [
      f64('stepS', 'second', 'Integration step, at most half a millisecond'),
      f64('steps', 'none', 'Integration steps per tick'),
      f64('ratio0', 'ratio', 'Down force per cylinder force at level travel'),
      f64('ratio1', 'none', 'Slope of ratio0 over travel, 1/m'),
      f64('ratio2', 'none', 'Curvature of ratio0 over travel, 1/m²'),
      f64('areaM2', 'none', 'Piston area, m²'),
      f64('oilM3PerPa', 'none', 'Chamber oil over bulk modulus, m³/Pa'),
      f64('airM3Pa', 'none', 'Free air as volume times pressure, m³·Pa'),
      f64('gasJPerK', 'none', 'Nominal gas as pressure times volume over temperature, J/K'),
      f64('gasM3', 'none', 'Accumulator volume, m³'),
      f64('rebound', 'none', 'Rebound force over speed squared, N·s²/m²'),
      f64('viscousTerm', 'none', 'Viscous term of a valve, Pa·s/m³ per m²/s'),
      f64('spoolOrificeTerm', 'none', 'Orifice term of the proportional valve, Pa·s²/m⁶'),
      f64('orificeTerm', 'none', 'Orifice term of the nominal valve, Pa·s²/m⁶'),
      f64('viscosityA', 'none', 'Intercept of the viscosity line (ASTM D341)'),
      f64('viscosityB', 'none', 'Slope of the viscosity line (ASTM D341)'),
      f64('lugRadPerM', 'none', 'Angle of the lug ripple per distance, rad/m'),
      f64('ouDecay', 'ratio', 'Profile generator: decay per point'),
      f64('ouSpreadM', 'metre', 'Profile generator: standard deviation'),
      f64('ouStepM', 'metre', 'Profile generator: noise added per point'),
      f64('splitRatio', 'ratio', 'Coefficient of the split into common and row-specific waves'),
      f64('soilDecay', 'ratio', 'Soil noise: decay per point'),
      f64('sections', 'none', 'Sections of the waviness filter in use'),
      f64('patchDecay', 'ratio', 'Smoothing of patch edges: decay per point'),
      f64('wheelReach', 'none', 'Profile points under a gauge wheel to either side of its centre'),
    ],
  },
  {
    name: 'LowPass',
    kind: 'internal',
    at: { envelope: 'bank', frameFilter: 'bank', slowFilter: 'bank' },
    help: 'Coefficients of a second-order low-pass (bilinear, unity gain at zero frequency)',
    fields: [f64('b0', 'none', 'Numerator: b0, 2·b0, b0'), f64('a1', 'none', 'Denominator'), f64('a2', 'none', 'Denominator')],
  },
  {
    name: 'Section',
    kind: 'internal',
    at: { section: 'section' },
    help: 'A first-order section of the filter for a waviness other than 2',
    fields: [f64('b0', 'none', 'Numerator'), f64('b1', 'none', 'Numerator'), f64('a1', 'none', 'Denominator')],
  },
  {
    name: 'PlantState',
    kind: 'internal',
    at: { plant: 'bank' },
    help: 'State that all rows share',
    fields: [
      f64('tick', 'tick', 'Ticks so far'),
      f64('distanceM', 'metre', 'Distance driven'),
      f64('speedMps', 'metrePerSecond', 'Ground speed'),
      f64('accelerationMps2', 'metrePerSecondSquared', 'Acceleration in this tick'),
      f64('point', 'none', 'Last profile point at or before the distance'),
      f64('plantedM', 'metre', 'Distance driven with the frame down'),
      f64('liftRatio', 'ratio', 'Fraction of the lifting time: 0 down, 1 up'),
      f64('liftPerS', 'none', 'Rate of liftRatio in this step, 1/s'),
      f64('railPa', 'none', 'Rail pressure, absolute, Pa'),
      f64('returnPa', 'none', 'Return pressure, absolute, Pa'),
      f64('supplyM3PerS', 'none', 'Flow out of the rail, m³/s'),
      f64('returnM3PerS', 'none', 'Flow into the return line, m³/s'),
      f64('viscosityM2PerS', 'none', 'Kinematic viscosity, m²/s'),
      f64('viscosityAtC', 'degreeCelsius', 'Oil temperature of that viscosity'),
      f64('gravityMps2', 'metrePerSecondSquared', 'Gravity normal to the slope'),
      f64('bankV', 'volt', 'Voltage at the bank'),
      f64('coilV', 'volt', 'Voltage at the coils'),
      f64('coilsA', 'ampere', 'Mean current of all coils in the last step'),
      f64('coilsEndA', 'ampere', 'Current of all coils at its end'),
      f64('hydraulicJ', 'joule', 'Energy drawn from the rail'),
      f64('frozenRailCounts', 'count', 'Constant counts of a frozen rail sensor'),
    ],
  },
  {
    name: 'Stage',
    kind: 'internal',
    at: { stageStart: 'bank', stageMiddle: 'bank', stageEnd: 'bank', fineStart: 'bank', fineMiddle: 'bank', fineEnd: 'bank' },
    help: 'Values that all rows share at a stage of the Runge–Kutta step; the fine stages are for a row whose step is divided',
    fields: [
      ...ring('weight', 'none', 'Weight of a profile point in the height'),
      ...ring('slope', 'none', 'Weight of a profile point in the slope, 1/m'),
      f64('distanceM', 'metre', 'Distance driven'),
      f64('speedMps', 'metrePerSecond', 'Ground speed'),
      f64('lugSine', 'ratio', 'Sine of the lug angle'),
      f64('lugCosine', 'ratio', 'Cosine of the lug angle'),
      f64('frameM', 'metre', 'Height of a rigid frame when lowered'),
      f64('frameMps', 'metrePerSecond', 'Its vertical speed'),
      f64('liftM', 'metre', 'Lift of the frame'),
      f64('liftMps', 'metrePerSecond', 'Rate of change of liftM'),
      f64('startHeight', 'ratio', 'Weight of the height of a support at the start of the step'),
      f64('startSpeed', 'second', 'Weight of its speed at the start'),
      f64('endHeight', 'ratio', 'Weight of its height at the end'),
      f64('endSpeed', 'second', 'Weight of its speed at the end'),
      f64('heightSlope', 'none', 'Weight of the change of height in the speed, 1/s'),
      f64('startSpeedSlope', 'ratio', 'Weight of the speed at the start in the speed'),
      f64('endSpeedSlope', 'ratio', 'Weight of the speed at the end in the speed'),
    ],
  },
  {
    name: 'Track',
    kind: 'internal',
    at: { track: 'track' },
    help: 'Generator of the height and soil of one track',
    fields: [
      f64('ouM', 'metre', 'Profile generator'),
      ...Array.from({ length: SECTIONS }, (_, index) => f64(`section${index}`, 'metre', 'Waviness filter')),
      f64('splitM', 'metre', 'State of the split into common and row-specific waves'),
      f64('soilNoise', 'ratio', 'Soil noise'),
      f64('soilN', 'newton', 'Soil force with smoothed patch edges'),
      f64('patch', 'none', 'Number of the soil patch'),
      f64('patchBaseM', 'metre', 'End of the patch, mean of all rows'),
      f64('patchEndM', 'metre', 'End of the patch in this row'),
      f64('patchN', 'newton', 'Opener force of the patch'),
      f64('mapPatchN', 'newton', 'The same on the map'),
      f64('mapWrong', 'none', '1 while the map has another force than the patch'),
      f64('mapN', 'newton', 'The same with smoothed patch edges'),
      f64('stoneM', 'metre', 'Start of the present or next stone'),
      f64('stone', 'none', 'Number of that stone'),
      ...ring('soil', 'newton', 'Opener force'),
    ],
  },
  {
    name: 'Window',
    kind: 'internal',
    at: { window: 'track' },
    help: 'Ground and stones around the centre of a gauge wheel, newest point last',
    fields: [...points(WINDOW, 'ground', 'metre', 'Ground after the tyre'), ...points(WINDOW, 'stone', 'metre', 'Stone')],
  },
  {
    name: 'Path',
    kind: 'internal',
    at: { wheelPath: 'track', supportPath: 'support' },
    help: 'Height that wheels follow; that of track 0 carries a rigid frame',
    fields: [f64('low1', 'metre', 'Low-pass'), f64('low2', 'metre', 'Low-pass'), ...ring('height', 'metre', 'Height')],
  },
  {
    name: 'Support',
    kind: 'internal',
    at: { support: 'support' },
    help: 'A support of a wing of the frame, at the start and at the end of the step',
    fields: [
      f64('startM', 'metre', 'Height at the start'),
      f64('startMps', 'metrePerSecond', 'Vertical speed at the start'),
      f64('endM', 'metre', 'Height at the end'),
      f64('endMps', 'metrePerSecond', 'Vertical speed at the end'),
    ],
  },
  {
    name: 'SoilPoint',
    kind: 'internal',
    at: { soilPoint: 'soilPoint' },
    help: 'Soil of a track at a profile point. The points of a track are a ring: a point is at the place that is its number modulo the points kept',
    fields: [f64('soilN', 'newton', 'Opener force at the set depth'), f64('mapN', 'newton', 'The same on the map')],
  },
  {
    name: 'RowProperties',
    kind: 'internal',
    at: { rowProperties: 'row' },
    help: 'Properties in which a row differs from the others',
    fields: [
      f64('massKg', 'kilogram', 'Moving mass with the present seed'),
      f64('massRatio', 'ratio', 'Mass as a fraction of nominal'),
      f64('liftRatio', 'ratio', 'Lift as a fraction of that of the frame'),
      f64('support', 'none', 'First support of the wing'),
      f64('supportShare', 'ratio', 'Place on the wing: 0 at its first support, 1 at its second'),
      f64('contactNPerM', 'newtonPerMetre', 'Contact stiffness'),
      f64('supplyFlow', 'ratio', 'Flow of the supply valve as a fraction of nominal'),
      f64('returnFlow', 'ratio', 'Flow of the return valve as a fraction of nominal'),
      f64('gasJPerK', 'none', 'Gas of the accumulator when none is lost, as pressure times volume over temperature, J/K'),
      f64('loadGain', 'ratio', 'Gain of the load sensor as a fraction of that of all'),
      f64('loadZeroN', 'newton', 'Zero offset of the load sensor'),
      f64('accelerationBiasMps2', 'metrePerSecondSquared', 'Offset of the accelerometer'),
      f64('lugSine', 'ratio', 'Sine of the lug phase'),
      f64('lugCosine', 'ratio', 'Cosine of the lug phase'),
    ],
  },
  {
    name: 'RowState',
    kind: 'internal',
    at: { rowState: 'row', startState: 'bank', trial: 'bank' },
    help: 'State of a row. Height, speed, gas temperature, sensed load and stored oil are integrated; the pressure follows from the oil. `startState` is the state at the start of a step, `trial` that of a stage',
    fields: [
      f64('heightM', 'metre', 'Height of the row'),
      f64('speedMps', 'metrePerSecond', 'Vertical speed of the row, up positive'),
      f64('chamberPa', 'none', 'Chamber pressure, absolute, Pa'),
      f64('gasK', 'none', 'Gas temperature, K'),
      f64('sensedN', 'newton', 'Load behind the fluid coupling'),
      f64('storedM3', 'none', 'Oil stored in the chamber by its pressure, m³'),
      f64('gasJPerK', 'none', 'Gas that is left, as pressure times volume over temperature, J/K'),
      f64('accelerationMps2', 'metrePerSecondSquared', 'Acceleration of the row at the end of the tick'),
      f64('frameMps', 'metrePerSecond', 'Vertical speed of the frame at the end of the tick'),
      f64('frameMps2', 'metrePerSecondSquared', 'Vertical acceleration of the frame, mean of the tick'),
      f64('loadDriftN', 'newton', 'Drift of the load reading so far'),
      f64('oilM3', 'none', 'Oil taken from the rail, m³'),
      f64('returnedM3', 'none', 'Oil returned, m³'),
      f64('reboundJ', 'joule', 'Heat of the rebound damping'),
      f64('coilJ', 'joule', 'Energy drawn by the coils of the row'),
      f64('coilLossJ', 'joule', 'Part of coilJ that is lost as heat in the windings'),
      f64('missed', 'none', 'Strokes that did not move their valve'),
      f64('filtered1', 'newton', 'Load filter of the proportional valve'),
      f64('filtered2', 'newton', 'Load filter of the proportional valve'),
      f64('integralPa', 'none', 'Integral term of the controller of the proportional valve, Pa'),
      f64('commandPa', 'none', 'Commanded pressure, Pa'),
      f64('laggedPa', 'none', 'Commanded pressure after the lag of coil and spool, Pa absolute'),
      f64('spoolPa', 'none', 'Set pressure after friction, Pa absolute'),
      f64('frozenLoadCounts', 'count', 'Constant counts of a frozen load sensor'),
      f64('frozenPressureCounts', 'count', 'Constant counts of a frozen pressure sensor'),
      f64('frozenAccelerationCounts', 'count', 'Constant counts of a frozen accelerometer'),
      f64('frozenSoilAheadN', 'newton', 'Constant value of a frozen soil ahead'),
    ],
  },
  {
    name: 'Valve',
    kind: 'internal',
    at: { valve: 'valve' },
    help: 'A latching valve',
    fields: [
      f64('opening', 'ratio', 'Opening'),
      f64('before', 'ratio', 'Opening at the start of the step'),
      f64('latched', 'none', 'Last end position: 0 closed, 1 open'),
      f64('order', 'none', 'Present order: 0 none, 1 open, 2 close'),
      f64('coilA', 'ampere', 'Coil current'),
      f64('missing', 'none', '1 while the present stroke does not move the valve'),
      f64('strokes', 'none', 'Number of strokes'),
    ],
  },
  {
    name: 'Rates',
    kind: 'internal',
    at: { rates: 'bank' },
    help: 'Rates of change of a row, and the forces and flows behind them',
    fields: [
      f64('heightMps', 'metrePerSecond', 'Rate of the height'),
      f64('speedMps2', 'metrePerSecondSquared', 'Rate of the speed'),
      f64('chamberPaPerS', 'none', 'Rate of the chamber pressure, Pa/s'),
      f64('gasKPerS', 'none', 'Rate of the gas temperature, K/s'),
      f64('sensedNPerS', 'none', 'Rate of the sensed load, N/s'),
      f64('storedM3PerS', 'none', 'Rate of the stored oil, m³/s'),
      f64('supplyM3PerS', 'none', 'Flow from the rail, m³/s'),
      f64('returnM3PerS', 'none', 'Flow to the return line, m³/s'),
      f64('bypassM3PerS', 'none', 'Flow that bypasses the chamber, from rail to return line, m³/s'),
      f64('reboundW', 'watt', 'Heat of the rebound damping'),
      f64('wheelN', 'newton', 'Gauge-wheel load'),
      f64('openerN', 'newton', 'Force of the soil on the opener'),
      f64('closingN', 'newton', 'Load of the closing wheels'),
      f64('downN', 'newton', 'Down force at the row'),
      f64('cylinderN', 'newton', 'Down force of the cylinder alone'),
      f64('springN', 'newton', 'Force of the lift spring'),
      f64('reboundN', 'newton', 'Force of the rebound damping'),
      f64('frictionN', 'newton', 'Friction, up positive'),
      f64('stopN', 'newton', 'Force of the stops, up positive'),
      f64('groundM', 'metre', 'Height of the ground under the wheels'),
      f64('groundMps', 'metrePerSecond', 'Rate of change of groundM'),
      f64('frameM', 'metre', 'Height of the frame'),
      f64('frameMps', 'metrePerSecond', 'Vertical speed of the frame'),
      f64('soilN', 'newton', 'Opener force at the set depth'),
      f64('groundSpeedMps', 'metrePerSecond', 'Ground speed'),
    ],
  },
];
