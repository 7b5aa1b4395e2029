/**
 * Second-order Butterworth low-pass of the analog 1 / (s² + √2·s + 1), made discrete by the bilinear transform with its corner
 * prewarped (Oppenheim & Schafer, *Discrete-Time Signal Processing*, chapter 7; from memory). Unity gain at rest. It starts at
 * rest at its first value, so that a run has no start-up swing.
 */
export class LowPass {
  readonly #b0: number;
  readonly #a1: number;
  readonly #a2: number;
  #first = 0;
  #second = 0;
  #isSeeded = false;

  /** @param cornerHz where half the power passes; below half of `rateHz` */
  constructor(cornerHz: number, rateHz: number) {
    const k = Math.tan((Math.PI * cornerHz) / rateHz);
    const scale = 1 / (1 + Math.SQRT2 * k + k * k);
    this.#b0 = k * k * scale;
    this.#a1 = 2 * (k * k - 1) * scale;
    this.#a2 = (1 - Math.SQRT2 * k + k * k) * scale;
  }

  /** The next value, in the unit of what goes in. Direct form II transposed. */
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
