/** Pseudo-random numbers: xorshift32 (Marsaglia, "Xorshift RNGs", 2003). The same seed gives the same sequence. */
export class Noise {
  private state: number;

  constructor(seed: number) {
    this.state = seed >>> 0 || 0x9e3779b9;
  }

  /** A 32-bit number, not 0. */
  bits(): number {
    let x = this.state;
    x ^= x << 13;
    x ^= x >>> 17;
    x ^= x << 5;
    this.state = x >>> 0;
    return this.state;
  }

  /** Uniform in (0, 1). */
  share(): number {
    return this.bits() / 2 ** 32;
  }

  /** Uniform between two numbers. */
  between(low: number, high: number): number {
    return low + (high - low) * this.share();
  }

  fill(bytes: Uint8Array): void {
    for (let at = 0; at < bytes.length; at++) bytes[at] = this.bits() >>> 11;
  }
}
