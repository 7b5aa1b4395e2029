/** How well an opener keeps its set depth. Memory does not grow with time. */
export class DepthQuality {
  #ticks = 0;
  #shallow5 = 0;
  #shallow10 = 0;
  #sumMm = 0;
  #sumOfSquaresMm2 = 0;

  /** Processes an assessed tick. */
  take(depthMm: number, setDepthMm: number): void {
    const errorMm = depthMm - setDepthMm;
    this.#ticks++;
    // Written so that NaN counts as shallow.
    if (!(errorMm >= -5)) this.#shallow5++;
    if (!(errorMm >= -10)) this.#shallow10++;
    this.#sumMm += errorMm;
    this.#sumOfSquaresMm2 += errorMm * errorMm;
  }

  /** Returns the metrics of the depth; NaN if no tick was assessed. */
  metrics() {
    const meanMm = this.#sumMm / this.#ticks;
    // The difference may be slightly negative by rounding; Math.max keeps NaN.
    const varianceMm2 = Math.max(0, this.#sumOfSquaresMm2 / this.#ticks - meanMm * meanMm);
    return {
      shallow5Percent: (100 * this.#shallow5) / this.#ticks,
      shallow10Percent: (100 * this.#shallow10) / this.#ticks,
      depthSdMm: Math.sqrt(varianceMm2),
    };
  }
}
