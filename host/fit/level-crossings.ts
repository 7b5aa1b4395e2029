/**
 * Counts how often a quantity crosses levels away from zero (Rice 1945, Bell System Technical Journal 24:46-156; from memory).
 * It must return to zero between two crossings, because a pulse answers the first one. Each excursion between zero crossings has
 * one peak; it has crossed every level below that peak once.
 */
export class LevelCrossings {
  /** Number of peaks by size: above `index`, up to `index + 1`. */
  readonly #peaks: Float64Array;
  #peak = 0;

  /** @param highest largest level that will be queried; all levels are integers */
  constructor(readonly highest: number) {
    this.#peaks = new Float64Array(highest + 1);
  }

  add(value: number): void {
    if (value * this.#peak < 0) this.end();
    if (Math.abs(value) > Math.abs(this.#peak)) this.#peak = value;
  }

  /** Ends the present excursion, because the series is interrupted. */
  end(): void {
    const size = Math.ceil(Math.abs(this.#peak)) - 1;
    this.#peak = 0;
    if (size < 0) return;
    const at = Math.min(size, this.highest);
    this.#peaks[at] = (this.#peaks[at] ?? 0) + 1;
  }

  /** Returns the number of ended excursions beyond a level. */
  countAbove(level: number): number {
    return this.#peaks.subarray(level).reduce((sum, count) => sum + count, 0);
  }
}
