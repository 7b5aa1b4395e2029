import type { UnitName } from '../../shared/units.js';

/** How a row metric is combined over the rows. */
export const OVERS = ['mean', 'min', 'max'] as const;
export type Over = (typeof OVERS)[number];

/** What a metric covers: the ticks in which its row is assessed, the whole run, or the time after disturbances of one kind. */
export type During = 'assessed' | 'run' | 'lowering' | 'soilStep' | 'stone';

interface MetricKind<Name extends string> {
  /** Ends in its unit; a count has none. */
  readonly name: Name;
  readonly unit: UnitName;
  /** The direction in which it gets worse. */
  readonly worse: 'more' | 'less';
  readonly help: string;
}

export interface RowMetric<Name extends string = string> extends MetricKind<Name> {
  readonly scope: 'row';
  readonly during: During;
  /** What a requirement uses unless it says otherwise. */
  readonly over: Over;
}

export interface BankMetric<Name extends string = string> extends MetricKind<Name> {
  readonly scope: 'bank';
}

export type Metric = RowMetric | BankMetric;

const row =
  (during: During) =>
  <const Name extends string>(name: Name, unit: UnitName, over: Over, worse: 'more' | 'less', help: string): RowMetric<Name> => ({
    scope: 'row',
    during,
    name,
    unit,
    over,
    worse,
    help,
  });
const bank = <const Name extends string>(name: Name, unit: UnitName, worse: 'more' | 'less', help: string): BankMetric<Name> => ({
  scope: 'bank',
  name,
  unit,
  worse,
  help,
});
const assessed = row('assessed');
const run = row('run');
const lowering = row('lowering');
const soilStep = row('soilStep');
const stone = row('stone');

/** Corner of the low-pass on the assessed load. Faster changes come from wheel and soil; no valve can follow them. */
export const LOAD_FILTER_HZ = 1;

/**
 * A row is assessed once its bank has been working, with the row's switch on and its wheels on the ground, for this long without a
 * break. The low-pass's
 * transient decays as exp(-√2·π·t·1 Hz): after 2 s, 0.02 % of the lowering is left.
 */
export const SETTLED_S = 2;

/**
 * Half the width of the band around the target. Our choice: about half of the light band of gauge-wheel load, 180 to 490 N
 * (Hanna, Steward, Aldinger 2010, Applied Engineering in Agriculture 26(4):551-556).
 */
export const BAND_N = 150;

/** Chamber pressure cycles with a smaller range are not counted: they cause no fatigue. Also the width of the bins. Our choice. */
export const CYCLE_MIN_KPA = 500;

/** The load has recovered from a disturbance once its low-passed value has been in the band for this long. Our choice: a period of the low-pass. */
export const HELD_S = 1;

/**
 * A step of the soil: its force at the set depth differs by more than `SOIL_STEP_N` from that of `SOIL_STEP_M` before. Our choice:
 * longer than the edge of a patch, and more than three standard deviations of what the default noise within the hardest
 * default patch, 8 % of 1200 N, changes over that distance.
 */
export const SOIL_STEP_N = 400;
export const SOIL_STEP_M = 0.5;

/** Metrics per row. The load is the true gauge-wheel load; the error is the low-passed load minus the target in force. */
// biome-ignore format: a table reads best with one metric to a line
export const ROW_METRICS = [
  assessed('loadRmsN', 'newton', 'mean', 'more', `RMS error of the load, low-passed at ${LOAD_FILTER_HZ} Hz`),
  assessed('inBandPercent', 'percent', 'mean', 'less', `Time with the load, low-passed at ${LOAD_FILTER_HZ} Hz, within ${BAND_N} N of the target`),
  assessed('highPercent', 'percent', 'mean', 'more', `Time with the load, low-passed at ${LOAD_FILTER_HZ} Hz, more than ${BAND_N} N above the target`),
  assessed('lowPercent', 'percent', 'mean', 'more', `Time with the load, low-passed at ${LOAD_FILTER_HZ} Hz, more than ${BAND_N} N below the target`),
  assessed('rawInBandPercent', 'percent', 'mean', 'less', `Time with the unfiltered load within ${BAND_N} N of the target; depends on wheel and soil more than on any valve`),
  assessed('liftOffPercent', 'percent', 'mean', 'more', 'Time without load on the gauge wheels'),
  assessed('meanLoadN', 'newton', 'mean', 'less', 'Mean load'),
  assessed('errorP50N', 'newton', 'mean', 'more', 'Median of the absolute error, to 1 N, at most 4095 N'),
  assessed('errorP90N', 'newton', 'mean', 'more', '90th percentile of the absolute error, to 1 N, at most 4095 N'),
  assessed('errorP99N', 'newton', 'mean', 'more', '99th percentile of the absolute error, to 1 N, at most 4095 N'),
  assessed('shallow5Percent', 'percent', 'mean', 'more', 'Time with the opener more than 5 mm above its set depth'),
  assessed('shallow10Percent', 'percent', 'mean', 'more', 'Time with the opener more than 10 mm above its set depth'),
  assessed('depthSdMm', 'millimetre', 'mean', 'more', 'Standard deviation of the depth'),
  assessed('travelMinMm', 'millimetre', 'min', 'less', 'Lowest height of the row above level travel'),
  assessed('travelMaxMm', 'millimetre', 'max', 'more', 'Highest height of the row above level travel'),
  lowering('loweringPeakN', 'newton', 'max', 'more', `Highest load, low-passed at ${LOAD_FILTER_HZ} Hz, after the wheels touch the ground`),
  lowering('loweringMaxKpa', 'kilopascal', 'max', 'more', 'Highest chamber pressure from the lift switch until the load is in band'),
  lowering('loweringS', 'second', 'max', 'more', `Time from the touch of the wheels until the load, low-passed at ${LOAD_FILTER_HZ} Hz, stays in band for ${HELD_S} s; of the slowest lowering`),
  soilStep('soilStepErrorN', 'newton', 'mean', 'more', `Largest absolute error after a soil step of more than ${SOIL_STEP_N} N, mean of the steps`),
  soilStep('soilStepS', 'second', 'mean', 'more', `Time from a soil step until the load, low-passed at ${LOAD_FILTER_HZ} Hz, stays in band for ${HELD_S} s, mean of the steps`),
  stone('stoneRecoveryS', 'second', 'mean', 'more', `Time from a stone until the load, low-passed at ${LOAD_FILTER_HZ} Hz, stays in band for ${HELD_S} s, mean of the stones`),
  run('pulsesPerMin', 'perMinute', 'mean', 'more', 'Opening strokes ordered, both valves'),
  run('strokesPerMin', 'perMinute', 'mean', 'more', 'Strokes ordered, both valves'),
  run('coilW', 'watt', 'mean', 'more', 'Mean power drawn by the coils, V·I'),
  run('coilLossW', 'watt', 'mean', 'more', 'Mean power lost as heat in the coil windings, I²R'),
  run('oilLpm', 'litrePerMinute', 'mean', 'more', 'Mean flow from the rail'),
  run('reboundW', 'watt', 'max', 'more', 'Mean heat of the rebound damping'),
  run('chamberMinKpa', 'kilopascal', 'min', 'less', 'Lowest chamber pressure'),
  run('chamberMaxKpa', 'kilopascal', 'max', 'more', 'Highest chamber pressure'),
  run('longestWaitMs', 'millisecond', 'max', 'more', 'Longest wait of a requested stroke in the stroke queue'),
  run('longestCloseWaitMs', 'millisecond', 'max', 'more', 'Longest wait of a stroke that ends a pulse in the stroke queue'),
  run('missedStrokes', 'none', 'max', 'more', 'Strokes that did not move their valve'),
  run('bothOpenMs', 'millisecond', 'max', 'more', 'Time with both valves more than half open'),
  run('openAtEnd', 'none', 'max', 'more', 'Valves more than half open in the last tick'),
  run('pressureCycles', 'none', 'mean', 'more', `Chamber pressure cycles with a range of ${CYCLE_MIN_KPA} kPa or more, two half cycles as one (ASTM E1049 rainflow)`),
];

/** Metrics of the bank, over the whole run. */
// biome-ignore format: a table reads best with one metric to a line
export const BANK_METRICS = [
  bank('assessedS', 'second', 'less', `Time for which rows are assessed: the bank has been working for ${SETTLED_S} s or more`),
  bank('oilTotalLpm', 'litrePerMinute', 'more', 'Mean flow from the rail into all rows'),
  bank('hydraulicW', 'watt', 'more', 'Mean power drawn from the rail'),
  bank('coilTotalW', 'watt', 'more', 'Mean power drawn by all coils, V·I'),
  bank('coilTotalLossW', 'watt', 'more', 'Mean power lost as heat in all coil windings, I²R'),
  bank('bankStrokesPerMin', 'perMinute', 'more', 'Strokes ordered in all rows'),
  bank('peakCoilsA', 'ampere', 'more', 'Peak current of all coils together'),
  bank('bankMinV', 'volt', 'less', 'Lowest voltage at the bank'),
  bank('railMinKpa', 'kilopascal', 'less', 'Lowest rail pressure'),
  bank('missedStrokesTotal', 'none', 'more', 'Strokes in all rows that did not move their valve'),
  bank('faultsSet', 'none', 'more', 'Number of times that a fault was set'),
];

/** Metrics that the controller's own signals give. They replace those of the machine's truth where there is no machine. */
// biome-ignore format: a table reads best with one metric to a line
const CONTROLLER_METRICS = [
  run('measuredErrorRmsN', 'newton', 'mean', 'more', 'RMS of target minus filtered load, while the row is working'),
  run('estimatedOilLpm', 'litrePerMinute', 'mean', 'more', 'Oil through open supply valves, estimated from pressures and learned gains'),
  run('strokeW', 'watt', 'mean', 'more', 'Stroke energy over time, at strokeMj each'),
  run('bothOrderedOpenMs', 'millisecond', 'max', 'more', 'Time with both valves of a row ordered open, all rows together'),
];

/** Metrics of a simulated run: what texts, requirements and documents use. */
export const METRICS: readonly Metric[] = [...ROW_METRICS, ...BANK_METRICS];

export type RowMetricName = (typeof ROW_METRICS)[number]['name'];
export type BankMetricName = (typeof BANK_METRICS)[number]['name'];
export type MetricName = RowMetricName | BankMetricName;

const REPLAY_METRIC_NAMES = [
  'measuredErrorRmsN',
  'pulsesPerMin',
  'strokesPerMin',
  'estimatedOilLpm',
  'strokeW',
  'longestCloseWaitMs',
  'faultsSet',
  'bothOrderedOpenMs',
] as const satisfies (MetricName | (typeof CONTROLLER_METRICS)[number]['name'])[];
export type ReplayMetricName = (typeof REPLAY_METRIC_NAMES)[number];

/** Metrics of a replay of recorded inputs, which has no machine whose truth could be used. */
export const REPLAY_METRICS = REPLAY_METRIC_NAMES.map((name) => {
  const found = [...METRICS, ...CONTROLLER_METRICS].find((one) => one.name === name);
  if (found === undefined) throw new Error(`there is no metric ${name}`);
  return { ...found, name };
});

/** The time during which a fault was set. */
export interface FaultSpan {
  readonly name: string;
  readonly scope: 'bank' | 'row';
  /** Counted from 1; 0 for the bank. */
  readonly row: number;
  /** Start of the first tick with it. */
  readonly fromS: number;
  /** Start of the first tick without it; the end of the run if it was still set. */
  readonly toS: number;
  readonly isSetAtEnd: boolean;
}

/** Number of chamber pressure cycles with a range from `fromKpa` up to the next bin; half cycles count as 0.5. */
export interface CycleBin {
  readonly fromKpa: number;
  readonly count: number;
}

/** A part of the field for which metrics are given separately. */
export interface AssessedSegment {
  readonly name: string;
  readonly fromM: number;
  readonly toM: number;
}

/** Row metrics of load and depth while assessed, which also are given for each segment. */
export const SEGMENT_METRICS = ROW_METRICS.filter(({ during, name }) => during === 'assessed' && !name.startsWith('travel'));

/** The metrics of a segment, over the rows that were assessed there. */
export interface SegmentMetrics extends AssessedSegment {
  /** Mean over the rows of the time for which they were assessed. */
  readonly assessedS: number;
  readonly over: Readonly<Partial<Record<RowMetricName, Readonly<Record<Over, number>>>>>;
}

/** The metrics of a run. A metric without data, such as that of a row that was never assessed or lowered, is NaN; in JSON null. */
export interface Metrics {
  readonly rows: number;
  readonly seconds: number;
  readonly byRow: Readonly<Record<RowMetricName, readonly number[]>>;
  /** Over all rows where a metric covers the whole run, else over the rows that were assessed or that had such a disturbance. */
  readonly over: Readonly<Record<RowMetricName, Readonly<Record<Over, number>>>>;
  readonly bank: Readonly<Record<BankMetricName, number>>;
  /** In order of their start. Of a fault that flickers in a row, the first 20 spans. */
  readonly faults: readonly FaultSpan[];
  /** All rows together; the bins that are not empty, in ascending order. */
  readonly pressureCycles: readonly CycleBin[];
  /** Of a field that has segments, in their order. */
  readonly segments?: readonly SegmentMetrics[];
}

/** The value of a metric for a whole run: of a row metric as requirements combine it by default. */
export function overallOf(metric: Metric, { over, bank: ofBank }: Metrics): number {
  return metric.scope === 'row' ? over[metric.name as RowMetricName][metric.over] : ofBank[metric.name as BankMetricName];
}
