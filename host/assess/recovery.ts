import { HELD_S } from './metrics.js';

/**
 * How long the load needs, after each disturbance of a kind, until it is in its band and stays there for `HELD_S`. A disturbance
 * that the next one, a lift or the end of the run cuts off counts with its time so far. Memory does not grow with time.
 */
export class Recovery {
  readonly #tickHz: number;
  readonly #heldTicks: number;
  #isRunning = false;
  #ticks = 0;
  #inBandTicks = 0;
  #peak = Number.NEGATIVE_INFINITY;
  #count = 0;
  #sumTicks = 0;
  #maxTicks = 0;
  #sumOfPeaks = 0;
  #maxPeak = Number.NEGATIVE_INFINITY;

  constructor(tickHz: number) {
    this.#tickHz = tickHz;
    this.#heldTicks = HELD_S * tickHz;
  }

  /** Number of disturbances. */
  get count(): number {
    return this.#count;
  }

  /** Whether the load has not recovered yet. */
  get isRunning(): boolean {
    return this.#isRunning;
  }

  /** A disturbance starts in this tick. */
  start(): void {
    this.end();
    this.#isRunning = true;
    this.#ticks = 0;
    this.#inBandTicks = 0;
    this.#peak = Number.NEGATIVE_INFINITY;
    this.#count++;
  }

  /** Processes a tick. @param value of which the largest until the recovery is kept */
  take(isInBand: boolean, value: number): void {
    if (!this.#isRunning) return;
    this.#ticks++;
    this.#inBandTicks = isInBand ? this.#inBandTicks + 1 : 0;
    // Math.max keeps NaN, so that it shows.
    this.#peak = Math.max(this.#peak, value);
    if (this.#inBandTicks >= this.#heldTicks) this.end();
  }

  /** The disturbance is over, or cut off. */
  end(): void {
    if (!this.#isRunning) return;
    this.#isRunning = false;
    const ticks = this.#ticks - this.#inBandTicks;
    this.#sumTicks += ticks;
    this.#maxTicks = Math.max(this.#maxTicks, ticks);
    this.#sumOfPeaks += this.#peak;
    this.#maxPeak = Math.max(this.#maxPeak, this.#peak);
  }

  /** Means and largest values over the disturbances; NaN if there was none. */
  results() {
    const isEmpty = this.#count === 0;
    return {
      meanS: this.#sumTicks / this.#count / this.#tickHz,
      maxS: isEmpty ? Number.NaN : this.#maxTicks / this.#tickHz,
      meanPeak: this.#sumOfPeaks / this.#count,
      maxPeak: isEmpty ? Number.NaN : this.#maxPeak,
    };
  }
}
