import { differenceInterval, type Interval, ratioInterval, studentInterval } from '../assess/interval.js';
import type { RowMetricName } from '../assess/metrics.js';
import { CONTEST_METRICS, type ContestMetric, type Sweep } from './contest.js';

/** Number of pulse rates to compare at by default. They divide the common range evenly on a logarithmic scale. */
const DEFAULT_RATE_COUNT = 3;

/** The value of a metric at a pulse rate. */
export type CurvePoint = readonly [pulsesPerMin: number, value: number];

/** Sorts a curve by pulse rate. Runs without pulses have no place on a logarithmic scale and are left out. */
const inOrder = (curve: readonly CurvePoint[]): CurvePoint[] => curve.filter(([pulses]) => pulses > 0).sort(([a], [b]) => a - b);

/**
 * Interpolates a metric at a pulse rate, piecewise linear over the logarithm of the rate. The points are sorted by their rate
 * first, because a wider deadband does not always pulse less. Of points with the same rate the first counts.
 * @returns NaN outside the curve: nothing is extrapolated
 */
export function interpolate(curve: readonly CurvePoint[], pulsesPerMin: number): number {
  const points = inOrder(curve);
  const above = points.findIndex(([pulses]) => pulses >= pulsesPerMin);
  const [pulses, value] = points[above] ?? [Number.NaN, Number.NaN];
  if (pulses === pulsesPerMin) return value;
  const [before, start] = points[above - 1] ?? [Number.NaN, Number.NaN];
  return start + (value - start) * (Math.log(pulsesPerMin / before) / Math.log(pulses / before));
}

/** A metric over the pulse rate of a sweep's runs, one curve per seed. */
const curvesOf = ({ points }: Sweep, metric: RowMetricName): CurvePoint[][] =>
  (points[0]?.runs ?? []).map(({ seed }) =>
    points
      .flatMap(({ runs }) => runs.filter((run) => run.seed === seed))
      .map(({ metrics }) => [metrics.pulsesPerMin, metrics[metric] ?? Number.NaN]),
  );

/** The seeds of a contest; all points have the same. */
export const seedsOf = ([sweep]: readonly Sweep[]): number[] => sweep?.points[0]?.runs.map(({ seed }) => seed) ?? [];

/** Range of pulse rates that every sweep reaches with every seed, 1/min; undefined if there is none. */
export function commonRange(sweeps: readonly Sweep[]): readonly [min: number, max: number] | undefined {
  const curves = sweeps.flatMap((sweep) => curvesOf(sweep, 'pulsesPerMin').map(inOrder));
  const min = Math.max(...curves.map((curve) => curve[0]?.[0] ?? Number.POSITIVE_INFINITY));
  const max = Math.min(...curves.map((curve) => curve.at(-1)?.[0] ?? Number.NEGATIVE_INFINITY));
  return curves.length > 0 && min <= max ? [min, max] : undefined;
}

/** Pulse rates to compare at by default, within the range that all contenders with pulses reach; empty if there is no such range. */
export function defaultRates(sweeps: readonly Sweep[]): number[] {
  const [min, max] = commonRange(sweeps.filter(({ hasPulses }) => hasPulses)) ?? [];
  if (min === undefined || max === undefined) return [];
  return Array.from({ length: DEFAULT_RATE_COUNT }, (_, index) => min * (max / min) ** ((index + 0.5) / DEFAULT_RATE_COUNT));
}

/** Number of pulse rates at which a picture shows differences. */
const CURVE_RATES = 9;

/**
 * Pulse rates for a curve of differences: those that the reference reaches with every seed, or, if it has no pulses, that any contender
 * reaches with every seed; evenly on a logarithmic scale. Empty if there are none.
 */
export function curveRates(sweeps: readonly Sweep[], against: string): number[] {
  const reference = sweeps.find(({ name, hasPulses }) => name === against && hasPulses);
  const ranges = (reference === undefined ? sweeps : [reference]).flatMap((sweep) => {
    const range = sweep.hasPulses ? commonRange([sweep]) : undefined;
    return range === undefined ? [] : [range];
  });
  if (ranges.length === 0) return [];
  const [min, max] = [Math.min(...ranges.map(([low]) => low)), Math.max(...ranges.map(([, high]) => high))];
  // The ends as they are: powers of the ratio may lie just outside, where nothing is interpolated.
  const inside = Array.from({ length: CURVE_RATES - 2 }, (_, index) => min * (max / min) ** ((index + 1) / (CURVE_RATES - 1)));
  return min === max ? [min] : [min, ...inside, max];
}

const COMPARED = CONTEST_METRICS.filter((name) => name !== 'pulsesPerMin');
type ComparedMetric = Exclude<ContestMetric, 'pulsesPerMin'>;

/** A metric of a contender at a pulse rate: its mean over the seeds, and its ratio and difference to the reference, paired by seed. */
export interface Comparison {
  readonly mean: number;
  readonly ratio: Interval;
  readonly difference: Interval;
}

/** A contender at a pulse rate. */
export interface Compared {
  readonly name: string;
  /** Whether every seed has runs on both sides of the rate. If not, all values are NaN. */
  readonly isReached: boolean;
  readonly metrics: Readonly<Record<ComparedMetric, Comparison> & Partial<Record<RowMetricName, Comparison>>>;
}

/** All contenders at a pulse rate, in their order. */
export interface EqualPulses {
  readonly pulsesPerMin: number;
  readonly contenders: readonly Compared[];
}

/** A metric at a pulse rate, by seed. A baseline has no pulses: its value is the same at every rate. */
function valuesAt(sweep: Sweep, metric: RowMetricName, pulsesPerMin: number): number[] {
  const curves = curvesOf(sweep, metric);
  return curves.map((curve) => (sweep.hasPulses ? interpolate(curve, pulsesPerMin) : (curve[0]?.[1] ?? Number.NaN)));
}

function compareAt(sweep: Sweep, reference: Sweep, pulsesPerMin: number): Compared {
  const [min, max] = commonRange([sweep]) ?? [Number.NaN, Number.NaN];
  const isReached = !sweep.hasPulses || (min <= pulsesPerMin && pulsesPerMin <= max);
  const others = Object.keys(sweep.points[0]?.runs[0]?.metrics ?? {}) as RowMetricName[];
  const compared = new Set<RowMetricName>([...COMPARED, ...others.filter((name) => name !== 'pulsesPerMin')]);
  const metrics = [...compared].map((metric) => {
    const values = isReached ? valuesAt(sweep, metric, pulsesPerMin) : [Number.NaN];
    const references = valuesAt(reference, metric, pulsesPerMin);
    const { mean } = studentInterval(values);
    return [metric, { mean, ratio: ratioInterval(values, references), difference: differenceInterval(values, references) }];
  });
  return { name: sweep.name, isReached, metrics: Object.fromEntries(metrics) };
}

/**
 * Compares sweeps with one of them at equal pulses per minute, paired by seed.
 * @param against name of the reference
 * @throws Error when no sweep has that name
 */
export function compareSweeps(sweeps: readonly Sweep[], against: string, rates: readonly number[]): EqualPulses[] {
  const reference = sweeps.find(({ name }) => name === against);
  if (reference === undefined) throw new Error(`no contender ${against}`);
  return rates.map((pulsesPerMin) => ({ pulsesPerMin, contenders: sweeps.map((sweep) => compareAt(sweep, reference, pulsesPerMin)) }));
}
