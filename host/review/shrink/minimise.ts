/*
 * Algorithms that minimise any kind of input. Removal follows delta debugging (Zeller and Hildebrandt, "Simplifying and Isolating
 * Failure-Inducing Input", IEEE TSE 28(2), 2002; cited from memory): chunks are removed, large ones first. Only complements are
 * tried, since a single chunk hardly ever makes a controller fail that has to start first.
 */

/** Something from which items can be removed. */
export interface Reduction<T> {
  readonly lengthOf: (whole: T) => number;
  /** Removes `count` items. */
  readonly without: (whole: T, from: number, count: number) => T;
  /** Returns the needed part of a candidate, or undefined if it does not show the difference. */
  readonly attempt: (candidate: T) => T | undefined;
}

/**
 * Removes chunks while the difference still shows: halves first, then smaller ones.
 * @param finest smallest chunk; with 1, no single item of the result can be removed
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
    // A chunk that was needed may no longer be, once others are gone.
    if (size === finest && lengthOf(kept) === before) return kept;
    size = Math.max(finest, Math.min(Math.ceil(size / 2), lengthOf(kept)));
  }
}

/** Removes items of a list in the same way. */
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
 * Finds a small number from 1 to `max` for which a condition holds, by doubling and then halving. It is the smallest one if the
 * condition holds for every larger number too.
 * @returns undefined if it holds for no number that was tried
 */
export function smallestThat(max: number, holds: (count: number) => boolean): number | undefined {
  let low = 0;
  let high = 1;
  while (!holds(Math.min(high, max))) {
    if (high >= max) return undefined;
    low = high;
    high *= 2;
  }
  high = Math.min(high, max);
  while (high - low > 1) {
    const middle = Math.floor((low + high) / 2);
    if (holds(middle)) high = middle;
    else low = middle;
  }
  return high;
}

/** Indices at which a value differs from the one before. */
export const changePoints = (values: readonly number[]): number[] =>
  values.flatMap((value, index) => (index > 0 && !Object.is(value, values[index - 1]) ? [index] : []));

/** Keeps the changes at these indices only: in between, the value is held. */
export function holdBetween(values: readonly number[], points: readonly number[]): number[] {
  const at = new Set(points);
  let current = values[0] ?? 0;
  return values.map((value, index) => {
    if (at.has(index)) current = value;
    return current;
  });
}

/** Closer than this share, a value is replaced by the target. */
const CLOSE_RATIO = 1e-3;

/** Halfway from a value to a target; the target itself if it is close. */
export function halfway(value: number, target: number, isInteger: boolean): number {
  const distance = (value - target) / 2;
  if (isInteger) return target + Math.trunc(distance);
  return Math.abs(distance) <= CLOSE_RATIO * Math.max(1, Math.abs(target)) ? target : Math.fround(target + distance);
}

/** Lower median; NaN is ignored. */
export function medianOf(values: readonly number[]): number {
  const sorted = Float64Array.from(values.filter((value) => !Number.isNaN(value))).sort();
  return sorted[Math.floor((sorted.length - 1) / 2)] ?? 0;
}
