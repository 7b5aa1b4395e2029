/** Is told of a cycle: its range and mean, in the series' unit, and whether it counts whole or half. */
export type OnCycle = (range: number, mean: number, count: 0.5 | 1) => void;

/**
 * Counts the cycles of a series as it comes: rainflow counting as in ASTM E1049-85, 5.4.4. A range that a larger or equal one
 * follows is a cycle, and half a cycle if it holds the start of what is left of the history; what is left at the end are half
 * cycles.
 *
 * With a quantum the series turns only where it goes back by that much, and what it turns at is rounded to a multiple of it:
 * no range is off by more than the quantum, but the one from the start by up to two. What is left then has at most
 * (span / quantum + 2) turning points however long the series is, because its ranges shrink from each to the next and are
 * multiples of the quantum. With quantum 0 all is exact.
 */
export class CycleCounter {
  readonly #quantum: number;
  readonly #onCycle: OnCycle;
  /** Turning points that are not yet discarded; the first is the standard's starting point. */
  readonly #points: number[] = [];
  /** Farthest value since the last turning point. */
  #extreme = 0;
  /** 1 rising, -1 falling, 0 not known yet. */
  #direction = 0;

  /** @param quantum in the series' unit, not negative */
  constructor(quantum: number, onCycle: OnCycle) {
    this.#quantum = quantum;
    this.#onCycle = onCycle;
  }

  /** How many turning points wait for their cycle to close. */
  get waiting(): number {
    return this.#points.length;
  }

  /** The next value of the series. What is not a number is passed over. */
  take(value: number): void {
    const onward = (value - this.#extreme) * this.#direction;
    if (onward > 0) this.#extreme = value;
    else if (onward < 0 && -onward >= this.#quantum) this.#turn(value);
    else if (this.#direction === 0) this.#begin(value);
  }

  /** The series ends: its last value is a turning point, and what is left is counted by halves. */
  finish(): void {
    if (this.#direction !== 0) this.#push(this.#extreme);
    for (const [index, point] of this.#points.entries()) {
      const next = this.#points[index + 1];
      if (next !== undefined) this.#count(point, next, 0.5);
    }
    this.#points.length = 0;
    this.#direction = 0;
  }

  /** The first value, and those after it until one is far enough from it to tell a direction. */
  #begin(value: number): void {
    const way = value - this.#extreme;
    if (this.#points.length > 0 && (way === 0 || !(Math.abs(way) >= this.#quantum))) return;
    if (Number.isNaN(value)) return;
    if (this.#points.length === 0) this.#push(value);
    else this.#direction = Math.sign(way);
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

  /** The standard's steps 2 to 5, with the last three points: Y is the range before the last one, X the last. */
  #close(): void {
    const points = this.#points;
    for (let length = points.length; length >= 3; length = points.length) {
      const before = points[length - 3] ?? 0;
      const here = points[length - 2] ?? 0;
      const after = points[length - 1] ?? 0;
      if (Math.abs(after - here) < Math.abs(here - before)) return;
      this.#count(before, here, length === 3 ? 0.5 : 1);
      // Either the starting point goes and its neighbour becomes it, or both ends of Y go.
      if (length === 3) points[0] = here;
      points[length === 3 ? 1 : length - 3] = after;
      points.length = length === 3 ? 2 : length - 2;
    }
  }

  #count(one: number, other: number, count: 0.5 | 1): void {
    this.#onCycle(Math.abs(one - other), (one + other) / 2, count);
  }
}
