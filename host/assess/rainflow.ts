/** Called for each cycle with its range and mean, in the series' unit, and whether it counts as a full or half cycle. */
export type OnCycle = (range: number, mean: number, count: 0.5 | 1) => void;

/**
 * Counts the cycles of a series on the fly: rainflow counting as in ASTM E1049-85, 5.4.4. A range followed by a larger or equal
 * one is a cycle, or half a cycle if it contains the starting point of the remaining history. The rest at the end are half
 * cycles.
 *
 * With a quantum a reversal counts only if the series goes back by that much, and turning points are rounded to a multiple of it.
 * No range is then off by more than the quantum, except the one from the start, which may be off by two. The remaining history
 * has at most (span / quantum + 2) turning points however long the series is, because its ranges decrease and are multiples of
 * the quantum. With quantum 0 the count is exact.
 */
export class CycleCounter {
  readonly #quantum: number;
  readonly #onCycle: OnCycle;
  /** Turning points not yet discarded; the first is the starting point of the standard. */
  readonly #points: number[] = [];
  /** Extreme value since the last turning point. */
  #extreme = 0;
  /** 1 rising, -1 falling, 0 unknown. */
  #direction = 0;

  /** @param quantum in the series' unit, not negative */
  constructor(quantum: number, onCycle: OnCycle) {
    this.#quantum = quantum;
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
    else if (onward < 0 && -onward >= this.#quantum) this.#turn(value);
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
  }

  /** Handles the first value, and those after it until one is far enough away to give a direction. */
  #start(value: number): void {
    const change = value - this.#extreme;
    if (this.#points.length > 0 && (change === 0 || !(Math.abs(change) >= this.#quantum))) return;
    if (Number.isNaN(value)) return;
    if (this.#points.length === 0) this.#push(value);
    else this.#direction = Math.sign(change);
    this.#extreme = value;
  }

  #turn(value: number): void {
    this.#push(this.#extreme);
    this.#extreme = value;
    this.#direction = -this.#direction;
  }

  #push(point: number): void {
    const quantum = this.#quantum;
    this.#points.push(quantum === 0 ? point : Math.round(point / quantum) * quantum);
    this.#close();
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
