/** Intervals between samples, s. */
export interface IntervalStatistics {
  readonly count: number;
  readonly medianS: number;
  readonly p99S: number;
  readonly maxS: number;
}

/** Smallest interval that is told apart, s, and the ratio of neighbouring bins. */
const SMALLEST_S = 1e-7;
const LOG_RATIO = Math.log(1.002);
const BINS = Math.ceil(Math.log(86_400 / SMALLEST_S) / LOG_RATIO) + 2;

/**
 * Quantiles of intervals in bounded memory: a histogram with bins of equal ratio. A quantile is the mean of its bin, so that it is
 * exact for a regular log, and otherwise within 0.2 %.
 */
export class Intervals {
  #counts = new Uint32Array(BINS);
  #sums = new Float64Array(BINS);
  #count = 0;
  #maxS = 0;

  add(intervalS: number): void {
    const bin = Math.min(BINS - 1, Math.max(0, 1 + Math.floor(Math.log(intervalS / SMALLEST_S) / LOG_RATIO)));
    this.#counts[bin] = (this.#counts[bin] ?? 0) + 1;
    this.#sums[bin] = (this.#sums[bin] ?? 0) + intervalS;
    this.#count++;
    this.#maxS = Math.max(this.#maxS, intervalS);
  }

  /** Undefined without an interval. */
  statistics(): IntervalStatistics | undefined {
    if (this.#count === 0) return undefined;
    const round = (seconds: number): number => Number(seconds.toPrecision(9));
    return { count: this.#count, medianS: round(this.#quantile(0.5)), p99S: round(this.#quantile(0.99)), maxS: round(this.#maxS) };
  }

  /** The value below which this share of the intervals is, by the nearest rank. */
  #quantile(share: number): number {
    let left = Math.max(1, Math.ceil(share * this.#count));
    for (const [bin, count] of this.#counts.entries()) {
      left -= count;
      if (left <= 0) return (this.#sums[bin] ?? 0) / count;
    }
    return this.#maxS;
  }
}
