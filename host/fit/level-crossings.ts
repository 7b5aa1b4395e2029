/**
 * How often a quantity crosses levels away from zero: level-crossing counting (Rice 1945, Bell System Technical Journal
 * 24:46-156; from memory), with the quantity's return to zero between two crossings asked for, because a pulse answers the
 * first one. Each excursion between zero crossings has one peak; it has crossed every level below that peak once.
 */
export class LevelCrossings {
  /** Peaks by size: above `index` and up to `index + 1`. */
  readonly #peaks: Float64Array;
  #peak = 0;

  /** @param highest level that will be asked for, a whole number as all levels are */
  constructor(readonly highest: number) {
    this.#peaks = new Float64Array(highest + 1);
  }

  /** The next value. */
  take(value: number): void {
    if (value * this.#peak < 0) this.end();
    if (Math.abs(value) > Math.abs(this.#peak)) this.#peak = value;
  }

  /** The series is interrupted: an excursion under way counts as it is. */
  end(): void {
    const size = Math.ceil(Math.abs(this.#peak)) - 1;
    this.#peak = 0;
    if (size < 0) return;
    const at = Math.min(size, this.highest);
    this.#peaks[at] = (this.#peaks[at] ?? 0) + 1;
  }

  /** Excursions, ended ones, that went beyond a level. */
  above(level: number): number {
    return this.#peaks.subarray(level).reduce((sum, count) => sum + count, 0);
  }
}
