/**
 * Second-order Butterworth low-pass: the analog 1 / (s² + √2·s + 1), discretised by the bilinear transform with a prewarped corner
 * (Oppenheim & Schafer, *Discrete-Time Signal Processing*, chapter 7; from memory). Unity gain at zero frequency. It starts in
 * steady state at its first value, so that a run has no start-up transient.
 */
export class LowPass {
  readonly #b0: number;
  readonly #a1: number;
  readonly #a2: number;
  #first = 0;
  #second = 0;
  #isSeeded = false;

  /** @param cornerHz half-power frequency; below half of `rateHz` */
  constructor(cornerHz: number, rateHz: number) {
    const k = Math.tan((Math.PI * cornerHz) / rateHz);
    const scale = 1 / (1 + Math.SQRT2 * k + k * k);
    this.#b0 = k * k * scale;
    this.#a1 = 2 * (k * k - 1) * scale;
    this.#a2 = (1 - Math.SQRT2 * k + k * k) * scale;
  }

  /** Filters the next value. Transposed direct form II. */
  take(value: number): number {
    if (!this.#isSeeded) {
      this.#isSeeded = true;
      this.#first = value * (1 - this.#b0);
      this.#second = value * (this.#b0 - this.#a2);
    }
    const output = this.#b0 * value + this.#first;
    this.#first = 2 * this.#b0 * value - this.#a1 * output + this.#second;
    this.#second = this.#b0 * value - this.#a2 * output;
    return output;
  }
}
