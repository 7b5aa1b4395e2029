import jStat from 'jstat';

/** A mean and its 95 % confidence interval; the ends are NaN if there is only one value. */
export interface Interval {
  readonly mean: number;
  readonly ciLow: number;
  readonly ciHigh: number;
}

const CONFIDENCE = 0.95;

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
