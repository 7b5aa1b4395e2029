import { changedStrokes } from '../replay/strokes.js';
import { VERDICTS } from '../replay/verdict.js';
import type { MetricChange, RunReview } from './review.js';

/** Metrics by the harm that a worse value does, the most harmful first. What is in none of them is power, oil and wear. */
const HARMS = [
  ['bothOpenMs', 'bothOrderedOpenMs'],
  ['openAtEnd', 'missedStrokes', 'missedStrokesTotal', 'longestCloseWaitMs'],
  ['faultsSet'],
  [
    ...['measuredErrorRmsN', 'loadRmsN', 'inBandPercent', 'highPercent', 'lowPercent', 'liftOffPercent', 'errorP50N', 'errorP90N'],
    ...['errorP99N', 'shallow5Percent', 'shallow10Percent', 'depthSdMm', 'loweringPeakN', 'loweringS', 'soilStepErrorN', 'soilStepS'],
    'stoneRecoveryS',
  ],
] as const satisfies readonly (readonly string[])[];

/** Harms that count as they are, however many there were in base. */
const COUNTED = 3;
/** Smaller changes of load, power and the like do no harm: they change with each run. Our choice. */
const HARMLESS = 0.005;

/**
 * Sort key of a metric's change by harm: valves of a row open together, valves that stayed open, faults, load, then the rest, and
 * behind them what did not get worse; within each, the largest change first.
 */
export function harmOf({ name, worseBy, base, head }: Pick<MetricChange, 'name' | 'worseBy' | 'base' | 'head'>): readonly [number, number] {
  const found = HARMS.findIndex((names) => names.some((one) => one === name));
  const isCounted = found >= 0 && found < COUNTED;
  if (worseBy <= (isCounted ? 0 : HARMLESS)) return [HARMS.length + 1, -worseBy];
  return [found < 0 ? HARMS.length : found, isCounted ? -Math.abs((head ?? 0) - (base ?? 0)) : -worseBy];
}

export function compareHarm(a: MetricChange, b: MetricChange): number {
  const [kind, size] = harmOf(a);
  const [otherKind, otherSize] = harmOf(b);
  return kind - otherKind || size - otherSize;
}

/** Sorts by harm; equal ones keep their order. */
export const worstFirst = (metrics: readonly MetricChange[]): MetricChange[] => [...metrics].sort(compareHarm);

type Ranked = Pick<RunReview, 'name' | 'verdict' | 'strokes' | 'metrics'>;

/** Sort key for the worst run first: verdict, harm and size of the worst change of a metric, number of changed strokes. */
function rankOf({ verdict, strokes, metrics: [worst] }: Ranked): readonly number[] {
  const harm = worst === undefined ? ([Number.MAX_SAFE_INTEGER, 0] as const) : harmOf(worst);
  // A stroke that opens both valves together, closes late or sets a fault does not rank lower because it only moved.
  const ranked = verdict === 'timingDiffers' && harm[0] < COUNTED ? 'outputsDiffer' : verdict;
  return [VERDICTS.indexOf(ranked), ...harm, -changedStrokes(strokes)];
}

/** Sorts runs, the worst first; equal ones by name. */
export function compareRuns(a: Ranked, b: Ranked): number {
  const other = rankOf(b);
  return rankOf(a).reduce((order, rank, index) => order || rank - (other[index] ?? 0), 0) || (a.name < b.name ? -1 : 1);
}
