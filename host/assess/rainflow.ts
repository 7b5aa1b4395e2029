/** Called for each cycle with its range and mean, in the series' unit, and whether it counts as a full or half cycle. */
export type OnCycle = (range: number, mean: number, count: 0.5 | 1) => void;

/** Turning points that are kept at most. A series whose swings shrink forever would need more. */
const PENDING_MAX = 1000;

/**
 * Counts the cycles of a series on the fly: rainflow counting as in ASTM E1049-85, 5.4.4. A range followed by a larger or equal
 * one is a cycle, or half a cycle if it contains the starting point of the remaining history. The rest at the end are half
 * cycles.
 *
 * Only cycles of `minRange` or more are counted: a reversal counts only if the series goes back by that much. Turning points are not
 * rounded, and smaller swings close within larger ones, so the counts are those of the standard. If more than PENDING_MAX turning
 * points are pending, the oldest range, which is the largest, counts as half a cycle, as it would at the end.
 */
export class CycleCounter {
  readonly #minRange: number;
  readonly #onCycle: OnCycle;
  /** Turning points not yet discarded; the first is the starting point of the standard. */
  readonly #points: number[] = [];
  /** Extreme values of the series while it has no direction. */
  #lowest = Number.POSITIVE_INFINITY;
  #highest = Number.NEGATIVE_INFINITY;
  /** Extreme value since the last turning point. */
  #extreme = 0;
  /** 1 rising, -1 falling, 0 unknown. */
  #direction = 0;

  /** @param minRange in the series' unit, not negative; 0: all cycles */
  constructor(minRange: number, onCycle: OnCycle) {
    this.#minRange = minRange;
    this.#onCycle = onCycle;
  }

  /** Number of turning points whose cycle is not closed. */
  get pending(): number {
    return this.#points.length;
  }

  /** Takes the next value of the series; NaN is ignored. */
  take(value: number): void {
    const onward = (value - this.#extreme) * this.#direction;
    if (onward > 0) this.#extreme = value;
    else if (onward < 0 && -onward >= this.#minRange) this.#turn(value);
    else if (this.#direction === 0) this.#start(value);
  }

  /** Ends the series: its last value is a turning point, and the remaining ranges count as half cycles. */
  finish(): void {
    if (this.#direction !== 0) this.#push(this.#extreme);
    for (const [index, point] of this.#points.entries()) {
      const next = this.#points[index + 1];
      if (next !== undefined) this.#count(point, next, 0.5);
    }
    this.#points.length = 0;
    this.#direction = 0;
    this.#lowest = Number.POSITIVE_INFINITY;
    this.#highest = Number.NEGATIVE_INFINITY;
  }

  /** Takes values until one is far enough from an earlier one to give a direction; that earlier one is the starting point. */
  #start(value: number): void {
    if (Number.isNaN(value)) return;
    this.#lowest = Math.min(this.#lowest, value);
    this.#highest = Math.max(this.#highest, value);
    const [up, down] = [value - this.#lowest, this.#highest - value];
    const change = Math.max(up, down);
    if (change === 0 || change < this.#minRange) return;
    this.#direction = up > 0 ? 1 : -1;
    this.#points.push(up > 0 ? this.#lowest : this.#highest);
    this.#extreme = value;
  }

  #turn(value: number): void {
    this.#push(this.#extreme);
    this.#extreme = value;
    this.#direction = -this.#direction;
  }

  #push(point: number): void {
    this.#points.push(point);
    this.#close();
    if (this.#points.length <= PENDING_MAX) return;
    this.#count(this.#points[0] ?? 0, this.#points[1] ?? 0, 0.5);
    this.#points.shift();
  }

  /** Steps 2 to 5 of the standard, with the last three points: Y is the range before the last one, X the last. */
  #close(): void {
    const points = this.#points;
    for (let length = points.length; length >= 3; length = points.length) {
      const before = points[length - 3] ?? 0;
      const here = points[length - 2] ?? 0;
      const after = points[length - 1] ?? 0;
      if (Math.abs(after - here) < Math.abs(here - before)) return;
      this.#count(before, here, length === 3 ? 0.5 : 1);
      // Either the next point becomes the starting point, or both ends of Y are discarded.
      if (length === 3) points[0] = here;
      points[length === 3 ? 1 : length - 3] = after;
      points.length = length === 3 ? 2 : length - 2;
    }
  }

  #count(one: number, other: number, count: 0.5 | 1): void {
    this.#onCycle(Math.abs(one - other), (one + other) / 2, count);
  }
}
