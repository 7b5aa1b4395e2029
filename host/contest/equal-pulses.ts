import jStat from 'jstat';
import { CONTEST_METRICS, type ContestMetric, type Sweep } from './contest.js';

/** A mean and its 95 % confidence interval; the ends are NaN if there is only one value. */
export interface Interval {
  readonly mean: number;
  readonly ciLow: number;
  readonly ciHigh: number;
}

const CONFIDENCE = 0.95;
/** Number of pulse rates to compare at by default. They divide the common range evenly on a logarithmic scale. */
const DEFAULT_RATE_COUNT = 3;

/**
 * Mean and its 95 % confidence interval by Student's t. Of differences between pairs it is the paired interval (NIST/SEMATECH
 * e-Handbook of Statistical Methods, §7.3.1.1; Law, Simulation Modeling and Analysis, §10.2; both from memory).
 */
export function studentInterval(values: readonly number[]): Interval {
  const count = values.length;
  const mean = values.reduce((sum, value) => sum + value, 0) / count;
  if (count < 2) return { mean, ciLow: Number.NaN, ciHigh: Number.NaN };
  const variance = values.reduce((sum, value) => sum + (value - mean) ** 2, 0) / (count - 1);
  const half = jStat.studentt.inv((1 + CONFIDENCE) / 2, count - 1) * Math.sqrt(variance / count);
  return { mean, ciLow: mean - half, ciHigh: mean + half };
}

/** Geometric mean of the ratios of pairs, with its interval: `studentInterval` of their logarithms. */
export function ratioInterval(values: readonly number[], references: readonly number[]): Interval {
  const { mean, ciLow, ciHigh } = studentInterval(values.map((value, pair) => Math.log(value / (references[pair] ?? Number.NaN))));
  return { mean: Math.exp(mean), ciLow: Math.exp(ciLow), ciHigh: Math.exp(ciHigh) };
}

/** Mean of the differences of pairs, with its interval. */
export const differenceInterval = (values: readonly number[], references: readonly number[]): Interval =>
  studentInterval(values.map((value, pair) => value - (references[pair] ?? Number.NaN)));

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
const curvesOf = ({ points }: Sweep, metric: ContestMetric): CurvePoint[][] =>
  (points[0]?.runs ?? []).map(({ seed }) =>
    points.flatMap(({ runs }) => runs.filter((run) => run.seed === seed)).map(({ metrics }) => [metrics.pulsesPerMin, metrics[metric]]),
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
  readonly metrics: Readonly<Record<ComparedMetric, Comparison>>;
}

/** All contenders at a pulse rate, in their order. */
export interface EqualPulses {
  readonly pulsesPerMin: number;
  readonly contenders: readonly Compared[];
}

/** A metric at a pulse rate, by seed. A baseline has no pulses: its value is the same at every rate. */
function valuesAt(sweep: Sweep, metric: ContestMetric, pulsesPerMin: number): number[] {
  const curves = curvesOf(sweep, metric);
  return curves.map((curve) => (sweep.hasPulses ? interpolate(curve, pulsesPerMin) : (curve[0]?.[1] ?? Number.NaN)));
}

function compareAt(sweep: Sweep, reference: Sweep, pulsesPerMin: number): Compared {
  const [min, max] = commonRange([sweep]) ?? [Number.NaN, Number.NaN];
  const isReached = !sweep.hasPulses || (min <= pulsesPerMin && pulsesPerMin <= max);
  const metrics = COMPARED.map((metric) => {
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
