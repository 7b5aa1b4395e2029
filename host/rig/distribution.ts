/** Values are kept to a hundredth up to this size, and to a whole number beyond it: memory has a bound, however long a run is. */
const FINE_MAX = 100;
const FINE = 100;

const rounded = (value: number): number => (Math.abs(value) < FINE_MAX ? Math.round(value * FINE) / FINE : Math.round(value));

/** Percentiles of a distribution, by nearest rank; all 0 if it is empty. */
export interface Percentiles {
  readonly count: number;
  readonly min: number;
  readonly p50: number;
  readonly p90: number;
  readonly p99: number;
  readonly p999: number;
  readonly max: number;
}

/** One bar of a histogram: values from `from` up to the next bar. */
export interface Bar {
  readonly from: number;
  readonly count: number;
}

/** How often values occur. */
export class Distribution {
  private readonly counts = new Map<number, number>();
  private total = 0;
  private min = Number.POSITIVE_INFINITY;
  private max = Number.NEGATIVE_INFINITY;

  add(value: number): void {
    const key = rounded(value);
    this.counts.set(key, (this.counts.get(key) ?? 0) + 1);
    this.total += 1;
    this.min = Math.min(this.min, value);
    this.max = Math.max(this.max, value);
  }

  percentiles(): Percentiles {
    if (this.total === 0) return { count: 0, min: 0, p50: 0, p90: 0, p99: 0, p999: 0, max: 0 };
    const sorted = [...this.counts].sort(([a], [b]) => a - b);
    const ranked = (share: number): number => {
      let left = Math.max(1, Math.ceil(share * this.total));
      for (const [value, count] of sorted) {
        left -= count;
        if (left <= 0) return value;
      }
      return this.max;
    };
    return { count: this.total, min: this.min, p50: ranked(0.5), p90: ranked(0.9), p99: ranked(0.99), p999: ranked(0.999), max: this.max };
  }

  /** A histogram of bars of equal width, a multiple of 1, 2 or 5; none if there are no values. */
  bars(max = 20): Bar[] {
    if (this.total === 0) return [];
    const width = niceWidth((this.max - this.min) / max);
    const first = Math.floor(rounded(this.min) / width);
    const bars = new Map<number, number>();
    for (const [value, count] of this.counts) {
      const bar = Math.floor(value / width);
      bars.set(bar, (bars.get(bar) ?? 0) + count);
    }
    const last = Math.max(...bars.keys());
    return Array.from({ length: last - first + 1 }, (_, index) => ({
      from: Number(((first + index) * width).toPrecision(6)),
      count: bars.get(first + index) ?? 0,
    }));
  }
}

/** The next number of 1, 2 or 5 times a power of ten, at least the resolution of the values. */
function niceWidth(width: number): number {
  if (width <= 1 / FINE) return 1 / FINE;
  const power = 10 ** Math.floor(Math.log10(width));
  return ([1, 2, 5].find((one) => one * power >= width) ?? 10) * power;
}
