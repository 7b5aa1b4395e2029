import type { Sample } from './csv-clock.js';
import type { FillPolicy } from './signal-columns.js';

/** A value that is to be invalid; NaN is one that is missing. */
export const INVALID = Number.POSITIVE_INFINITY;
/** Longest time for which a log may begin without a value that is to be held, s: samples are kept until it comes. */
const LEADING_S_MAX = 60;

/** Derives or completes a value of each sample. */
export interface Track {
  /** Number of samples, counted from the last one, whose value is not decided yet. */
  readonly pending: number;
  /** Takes the last of the samples. */
  take(samples: readonly Sample[]): void;
  /** Decides the rest, because the log is over. */
  end(samples: readonly Sample[]): void;
}

/** Says that a value is missing for too long. */
export type OnMissing = (sample: Sample, sinceS: number) => never;

/** Fills the missing values of a column. */
export class FillTrack implements Track {
  pending = 0;
  /** Samples without a value, and those of them that were set to invalid. */
  missing = 0;
  invalid = 0;
  #last: { readonly timeS: number; readonly value: number } | undefined;
  #isLong = false;

  constructor(
    private readonly slot: number,
    private readonly policy: FillPolicy,
    private readonly onMissing: OnMissing,
  ) {}

  take(samples: readonly Sample[]): void {
    const sample = samples.at(-1) as Sample;
    const value = sample.values[this.slot] as number;
    if (Number.isNaN(value)) this.#takeMissing(samples, sample);
    else {
      if (this.pending > 0) this.#fill(samples, sample, value);
      this.#last = { timeS: sample.timeS, value };
      this.#isLong = false;
    }
  }

  end(samples: readonly Sample[]): void {
    if (this.pending === 0) return;
    // Nothing follows to interpolate to.
    if (this.#last !== undefined) this.#set(samples, 0, () => this.#last?.value ?? INVALID);
    else if (this.policy.beyond === 'refuse') this.onMissing(samples.at(-1) as Sample, 0);
    else this.#set(samples, 0, () => this.#overdue());
  }

  #takeMissing(samples: readonly Sample[], sample: Sample): void {
    const { fill, upToS } = this.policy;
    this.missing++;
    this.pending++;
    const sinceS = this.#last?.timeS ?? samples[0]?.timeS ?? 0;
    const limitS = this.#last === undefined ? Math.min(upToS, LEADING_S_MAX) : upToS;
    if (this.#isLong || fill === 'none' || sample.timeS - sinceS > limitS) {
      if (this.policy.beyond === 'refuse' || (this.#last === undefined && this.policy.beyond === 'hold')) this.onMissing(sample, sinceS);
      this.#isLong = true;
      this.#set(samples, 0, () => this.#overdue());
    } else if (fill === 'hold' && this.#last !== undefined) this.#set(samples, 0, () => this.#last?.value ?? INVALID);
  }

  /** What a value is after the longest time that is filled. */
  #overdue(): number {
    if (this.policy.beyond === 'hold' && this.#last !== undefined) return this.#last.value;
    this.invalid++;
    return INVALID;
  }

  /** Fills pending samples before the last one. A value at the start of the log is also used before it. */
  #fill(samples: readonly Sample[], sample: Sample, value: number): void {
    const last = this.#last ?? { timeS: sample.timeS, value };
    const spanS = sample.timeS - last.timeS;
    const isFilled = spanS <= this.policy.upToS;
    if (!isFilled && this.policy.beyond === 'refuse') this.onMissing(sample, last.timeS);
    const slope = spanS === 0 ? 0 : (value - last.value) / spanS;
    this.#set(samples, 1, (at) => (isFilled ? last.value + slope * (at - last.timeS) : this.#overdue()));
  }

  /** Decides the pending samples, of which `after` decided ones follow. */
  #set(samples: readonly Sample[], after: number, valueAt: (timeS: number) => number): void {
    const end = samples.length - after;
    for (let index = end - this.pending; index < end; index++) {
      const sample = samples[index] as Sample;
      sample.values[this.slot] = valueAt(sample.timeS);
    }
    this.pending = 0;
  }
}

/** Yields each sample once all tracks have decided its values. The samples kept are those of the longest pending one. */
export function* decided(samples: Iterable<Sample>, tracks: readonly Track[]): Generator<Sample, void, undefined> {
  let kept: Sample[] = [];
  for (const sample of samples) {
    kept.push(sample);
    for (const track of tracks) track.take(kept);
    const pending = Math.max(0, ...tracks.map((track) => track.pending));
    const ready = kept.length - pending;
    if (ready === 0) continue;
    yield* kept.slice(0, ready);
    kept = kept.slice(ready);
  }
  for (const track of tracks) track.end(kept);
  yield* kept;
}

/** How a column's values become those of ticks. */
export interface ColumnResampling {
  readonly isLinear: boolean;
  readonly policy: FillPolicy;
}

/** Returns the value of a column at a time between two samples. In a gap, a value that may not be held is invalid after the time of a gap. */
export function valueBetween(
  { isLinear, policy }: ColumnResampling,
  [from, to]: readonly [Sample, Sample],
  slot: number,
  timeS: number,
): number {
  const before = from.values[slot] as number;
  const after = to.values[slot] as number;
  const intervalS = to.timeS - from.timeS;
  const interpolated = (): number =>
    before === INVALID || after === INVALID ? before : before + ((after - before) * (timeS - from.timeS)) / intervalS;
  const { gapS } = to;
  if (gapS === undefined) return isLinear ? interpolated() : before;
  if (policy.fill === 'interpolate' && intervalS <= policy.upToS) return interpolated();
  const isFilled = policy.fill === 'hold' && intervalS <= policy.upToS;
  return policy.beyond === 'invalid' && !isFilled && timeS - from.timeS > gapS ? INVALID : before;
}
