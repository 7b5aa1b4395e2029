import { LowPass } from './low-pass.js';
import { BAND_N, LOAD_FILTER_HZ } from './metrics.js';

/** Sizes of error are counted in bins of 1 N; the last one holds what is larger, and what is not a number. */
const BINS = 4096;

/** How well a row's load keeps to its target. Loads in N. Its size does not grow with time. */
export class LoadQuality {
  readonly #filter: LowPass;
  readonly #bins = new Uint32Array(BINS);
  #ticks = 0;
  #sumN = 0;
  #sumOfSquaresN2 = 0;
  #inBand = 0;
  #rawInBand = 0;
  #liftedOff = 0;

  constructor(tickHz: number) {
    this.#filter = new LowPass(LOAD_FILTER_HZ, tickHz);
  }

  /** Ticks that count. */
  get ticks(): number {
    return this.#ticks;
  }

  /** Comes every tick, for the filter's sake; what doesn't count leaves no other trace. */
  take(wheelN: number, targetN: number, counts: boolean): void {
    const errorN = this.#filter.take(wheelN) - targetN;
    if (!counts) return;
    const sizeN = Math.abs(errorN);
    // So written that what is not a number falls into the last bin and out of the band.
    const bin = sizeN < BINS - 1 ? Math.round(sizeN) : BINS - 1;
    this.#bins[bin] = (this.#bins[bin] ?? 0) + 1;
    this.#ticks++;
    this.#sumN += wheelN;
    this.#sumOfSquaresN2 += errorN * errorN;
    if (sizeN <= BAND_N) this.#inBand++;
    if (Math.abs(wheelN - targetN) <= BAND_N) this.#rawInBand++;
    if (wheelN === 0) this.#liftedOff++;
  }

  /** Its metrics; NaN if no tick counted. */
  metrics() {
    const percent = (ticks: number): number => (100 * ticks) / this.#ticks;
    return {
      loadRmsN: Math.sqrt(this.#sumOfSquaresN2 / this.#ticks),
      inBandPercent: percent(this.#inBand),
      rawInBandPercent: percent(this.#rawInBand),
      liftOffPercent: percent(this.#liftedOff),
      meanLoadN: this.#sumN / this.#ticks,
      errorP50N: this.#percentileN(0.5),
      errorP90N: this.#percentileN(0.9),
      errorP99N: this.#percentileN(0.99),
    };
  }

  /** By nearest rank: the smallest bin up to which lies that share of the ticks, or more. */
  #percentileN(share: number): number {
    if (this.#ticks === 0) return Number.NaN;
    let left = Math.ceil(share * this.#ticks);
    return this.#bins.findIndex((ticks) => {
      left -= ticks;
      return left <= 0;
    });
  }
}
