import jStat from 'jstat';
import { CONTEST_METRICS, type ContestMetric, type Sweep } from './contest.js';

/** A mean and the ends of its 95 % interval; the ends are NaN where there is only one value. */
export interface Interval {
  readonly mean: number;
  readonly from: number;
  readonly to: number;
}

const CONFIDENCE = 0.95;
/** The rates that nobody asked for divide the range that all reach into so many parts, one rate in the middle of each. */
const USUAL_RATES = 3;

/**
 * Mean and 95 % confidence interval of it by Student's t. Of differences between pairs it is the paired interval (NIST/SEMATECH
 * e-Handbook of Statistical Methods, §7.3.1.1; Law, Simulation Modeling and Analysis, §10.2; both from memory).
 */
export function studentInterval(values: readonly number[]): Interval {
  const count = values.length;
  const mean = values.reduce((sum, value) => sum + value, 0) / count;
  if (count < 2) return { mean, from: Number.NaN, to: Number.NaN };
  const variance = values.reduce((sum, value) => sum + (value - mean) ** 2, 0) / (count - 1);
  const half = jStat.studentt.inv((1 + CONFIDENCE) / 2, count - 1) * Math.sqrt(variance / count);
  return { mean, from: mean - half, to: mean + half };
}

/** Geometric mean of the ratios of pairs, with its interval: `studentInterval` of their logarithms. */
export function ratioInterval(ours: readonly number[], theirs: readonly number[]): Interval {
  const { mean, from, to } = studentInterval(ours.map((value, pair) => Math.log(value / (theirs[pair] ?? Number.NaN))));
  return { mean: Math.exp(mean), from: Math.exp(from), to: Math.exp(to) };
}

/** Mean of the differences of pairs, with its interval. */
export const differenceInterval = (ours: readonly number[], theirs: readonly number[]): Interval =>
  studentInterval(ours.map((value, pair) => value - (theirs[pair] ?? Number.NaN)));

/** A metric's value where a sweep has so many pulses per minute. */
export type CurvePoint = readonly [pulsesPerMin: number, value: number];

/** A curve in the order of its pulses. Runs without a pulse have no place on a logarithmic scale and are left out. */
const inOrder = (curve: readonly CurvePoint[]): CurvePoint[] => curve.filter(([pulses]) => pulses > 0).sort(([a], [b]) => a - b);

/**
 * A metric at a rate of pulses: piecewise linear in the logarithm of pulses per minute between the points of a sweep. The
 * points are sorted by their pulses first, because a wider deadband need not always pulse less. Of points with the same pulses
 * the first counts.
 * @returns NaN below and above the sweep: nothing is extrapolated
 */
export function interpolate(curve: readonly CurvePoint[], pulsesPerMin: number): number {
  const points = inOrder(curve);
  const above = points.findIndex(([pulses]) => pulses >= pulsesPerMin);
  const [pulses, value] = points[above] ?? [Number.NaN, Number.NaN];
  if (pulses === pulsesPerMin) return value;
  const [before, start] = points[above - 1] ?? [Number.NaN, Number.NaN];
  return start + (value - start) * (Math.log(pulsesPerMin / before) / Math.log(pulses / before));
}

/** A metric over the pulses of a sweep's runs, a curve for each seed. */
const curvesOf = ({ points }: Sweep, metric: ContestMetric): CurvePoint[][] =>
  (points[0]?.runs ?? []).map(({ seed }) =>
    points.flatMap(({ runs }) => runs.filter((run) => run.seed === seed)).map(({ metrics }) => [metrics.pulsesPerMin, metrics[metric]]),
  );

/** The seeds of a contest, which are the same in every point. */
export const seedsOf = ([sweep]: readonly Sweep[]): number[] => sweep?.points[0]?.runs.map(({ seed }) => seed) ?? [];

/** Pulses per minute that each of these sweeps reaches with each of its seeds; undefined where there are none. */
export function commonRange(sweeps: readonly Sweep[]): readonly [min: number, max: number] | undefined {
  const curves = sweeps.flatMap((sweep) => curvesOf(sweep, 'pulsesPerMin').map(inOrder));
  const min = Math.max(...curves.map((curve) => curve[0]?.[0] ?? Number.POSITIVE_INFINITY));
  const max = Math.min(...curves.map((curve) => curve.at(-1)?.[0] ?? Number.NEGATIVE_INFINITY));
  return curves.length > 0 && min <= max ? [min, max] : undefined;
}

/** Rates spread geometrically over the range that all contenders that pulse reach; none where there is no such range. */
export function usualRates(sweeps: readonly Sweep[]): number[] {
  const [min, max] = commonRange(sweeps.filter(({ pulses }) => pulses)) ?? [];
  if (min === undefined || max === undefined) return [];
  return Array.from({ length: USUAL_RATES }, (_, index) => min * (max / min) ** ((index + 0.5) / USUAL_RATES));
}

const COMPARED = CONTEST_METRICS.filter((name) => name !== 'pulsesPerMin');
type ComparedMetric = Exclude<ContestMetric, 'pulsesPerMin'>;

/** One metric of a contender at a rate: its mean over the seeds, and how it compares with the reference's, seed by seed. */
export interface Comparison {
  readonly mean: number;
  readonly ratio: Interval;
  readonly difference: Interval;
}

/** A contender at a rate of pulses. */
export interface Compared {
  readonly name: string;
  /** Whether each of its seeds has runs on both sides of the rate; if not, all its values are NaN. */
  readonly isReached: boolean;
  readonly metrics: Readonly<Record<ComparedMetric, Comparison>>;
}

/** All contenders at a rate of pulses, in their order. */
export interface EqualPulses {
  readonly pulsesPerMin: number;
  readonly contenders: readonly Compared[];
}

/** A metric at a rate, by seed. A baseline has no pulses to make equal: it is the same at every rate. */
function valuesAt(sweep: Sweep, metric: ContestMetric, pulsesPerMin: number): number[] {
  const curves = curvesOf(sweep, metric);
  return curves.map((curve) => (sweep.pulses ? interpolate(curve, pulsesPerMin) : (curve[0]?.[1] ?? Number.NaN)));
}

function compareAt(sweep: Sweep, against: Sweep, pulsesPerMin: number): Compared {
  const [min, max] = commonRange([sweep]) ?? [Number.NaN, Number.NaN];
  const isReached = !sweep.pulses || (min <= pulsesPerMin && pulsesPerMin <= max);
  const metrics = COMPARED.map((metric) => {
    const ours = isReached ? valuesAt(sweep, metric, pulsesPerMin) : [Number.NaN];
    const theirs = valuesAt(against, metric, pulsesPerMin);
    const { mean } = studentInterval(ours);
    return [metric, { mean, ratio: ratioInterval(ours, theirs), difference: differenceInterval(ours, theirs) }];
  });
  return { name: sweep.name, isReached, metrics: Object.fromEntries(metrics) };
}

/**
 * Compares sweeps with one of them at the same pulses per minute, in pairs of the same seed.
 * @param against name of the reference
 * @throws Error when no sweep has that name
 */
export function compareSweeps(sweeps: readonly Sweep[], against: string, rates: readonly number[]): EqualPulses[] {
  const reference = sweeps.find(({ name }) => name === against);
  if (reference === undefined) throw new Error(`no contender ${against}`);
  return rates.map((pulsesPerMin) => ({ pulsesPerMin, contenders: sweeps.map((sweep) => compareAt(sweep, reference, pulsesPerMin)) }));
}
