import type { MetricChange } from './review.js';

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

/** Whether a metric is worse of which every single one counts: valves open together or too long, and faults. */
export const isCountedHarm = (metric: Pick<MetricChange, 'name' | 'worseBy' | 'base' | 'head'>): boolean => harmOf(metric)[0] < COUNTED;

export function compareHarm(a: MetricChange, b: MetricChange): number {
  const [kind, size] = harmOf(a);
  const [otherKind, otherSize] = harmOf(b);
  return kind - otherKind || size - otherSize;
}

/** Sorts by harm; equal ones keep their order. */
export const worstFirst = (metrics: readonly MetricChange[]): MetricChange[] => [...metrics].sort(compareHarm);
