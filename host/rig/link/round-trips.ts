import type { RoundTrips } from '../board.js';

/** Samples that percentiles are taken from. */
const KEPT_MAX = 4096;

/** Round trips, and the time after which an answer counts as lost. */
export class RoundTripTimes {
  private readonly kept: number[] = [];
  private count = 0;
  private min = Number.POSITIVE_INFINITY;
  private max = 0;
  /** Smoothed mean and deviation, ms. */
  private mean: number | undefined;
  private deviation = 0;

  /** @param ms of a request whose first copy was answered: of others it is unknown which copy was (Karn, Partridge 1987) */
  add(ms: number): void {
    this.kept[this.count % KEPT_MAX] = ms;
    this.count += 1;
    this.min = Math.min(this.min, ms);
    this.max = Math.max(this.max, ms);
    // RFC 6298, section 2, with its weights of 1/8 and 1/4.
    if (this.mean === undefined) {
      this.mean = ms;
      this.deviation = ms / 2;
    } else {
      this.deviation += (Math.abs(ms - this.mean) - this.deviation) / 4;
      this.mean += (ms - this.mean) / 8;
    }
  }

  /** RFC 6298: mean + 4 deviations, but at least this margin, and at most `max`; `first` before any sample. */
  timeoutMs(first: number, margin: number, max: number): number {
    return this.mean === undefined ? first : Math.min(max, this.mean + Math.max(margin, 4 * this.deviation));
  }

  summary(): RoundTrips {
    const sorted = [...this.kept].sort((a, b) => a - b);
    const at = (share: number): number => sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))] ?? 0;
    const min = this.count === 0 ? 0 : this.min;
    return { count: this.count, min, median: at(0.5), p99: at(0.99), max: this.max };
  }
}
