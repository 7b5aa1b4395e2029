/*
 * What makes inputs smaller, whatever they are inputs of. Removal follows delta debugging (Zeller and Hildebrandt, "Simplifying
 * and Isolating Failure-Inducing Input", IEEE TSE 28(2), 2002; from memory): chunks are left out, large ones first. Only
 * complements are tried: a chunk by itself hardly ever shows a failure of a controller that has to be started first.
 */

/** Something that can be made smaller by leaving items out. */
export interface Reduction<T> {
  readonly lengthOf: (whole: T) => number;
  /** Without `count` items from one on. */
  readonly without: (whole: T, from: number, count: number) => T;
  /** What is left of a candidate that still shows it, which may be less than the candidate; otherwise undefined. */
  readonly attempt: (candidate: T) => T | undefined;
}

/**
 * Leaves out chunks as long as what is looked for still shows: halves first, then ever smaller ones. When it returns, no chunk of
 * `finest` items can be left out; with 1, no single item.
 */
export function removeChunks<T>(whole: T, { lengthOf, without, attempt }: Reduction<T>, finest = 1): T {
  let kept = whole;
  let size = Math.max(finest, Math.ceil(lengthOf(kept) / 2));
  for (;;) {
    const before = lengthOf(kept);
    for (let from = 0; from < lengthOf(kept); ) {
      const smaller = attempt(without(kept, from, Math.min(size, lengthOf(kept) - from)));
      if (smaller === undefined) from += size;
      else kept = smaller;
    }
    // Chunks that could not go alone may go once others have gone.
    if (size === finest && lengthOf(kept) === before) return kept;
    size = Math.max(finest, Math.min(Math.ceil(size / 2), lengthOf(kept)));
  }
}

/** The same for a list. */
export const removeItems = <T>(items: readonly T[], isShown: (kept: readonly T[]) => boolean, finest = 1): readonly T[] =>
  removeChunks(
    items,
    {
      lengthOf: (list) => list.length,
      without: (list, from, count) => [...list.slice(0, from), ...list.slice(from + count)],
      attempt: (list) => (isShown(list) ? list : undefined),
    },
    finest,
  );

/**
 * A small number from 1 to `most` for which something holds: doubled until it does, then halved in between. It is the smallest one
 * if whatever holds for a number holds for all larger ones.
 * @returns undefined if it holds for none that was tried
 */
export function smallestThat(most: number, holds: (count: number) => boolean): number | undefined {
  let low = 0;
  let high = 1;
  while (!holds(Math.min(high, most))) {
    if (high >= most) return undefined;
    low = high;
    high *= 2;
  }
  high = Math.min(high, most);
  while (high - low > 1) {
    const middle = Math.floor((low + high) / 2);
    if (holds(middle)) high = middle;
    else low = middle;
  }
  return high;
}

/** Places at which a value differs from the one before. */
export const changePoints = (values: readonly number[]): number[] =>
  values.flatMap((value, index) => (index > 0 && !Object.is(value, values[index - 1]) ? [index] : []));

/** The same values, but changing at these places only: in between, each is held. */
export function heldBetween(values: readonly number[], points: readonly number[]): number[] {
  const at = new Set(points);
  let now = values[0] ?? 0;
  return values.map((value, index) => {
    if (at.has(index)) now = value;
    return now;
  });
}

/** Halfway from a value to a neutral one, as a whole number where wanted; near enough, it is the neutral one. */
export function halfway(value: number, neutral: number, isWhole: boolean): number {
  const distance = (value - neutral) / 2;
  if (isWhole) return neutral + Math.trunc(distance);
  return Math.abs(distance) <= NEAR * Math.max(1, Math.abs(neutral)) ? neutral : Math.fround(neutral + distance);
}

/** Nearer than this share, a value is no longer moved in steps. */
const NEAR = 1e-3;

/** The middle one of all values; of an even number, the lower of the two. What is not a number does not count. */
export function middleOf(values: readonly number[]): number {
  const sorted = Float64Array.from(values.filter((value) => !Number.isNaN(value))).sort();
  return sorted[Math.floor((sorted.length - 1) / 2)] ?? 0;
}
