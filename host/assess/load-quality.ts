import { LowPass } from './low-pass.js';
import { BAND_N, LOAD_FILTER_HZ } from './metrics.js';

/** Absolute errors are counted in bins of 1 N; the last bin has all larger ones and NaN. */
const BINS = 4096;

/** How well a row's load follows its target. Memory does not grow with time. */
export class LoadQuality {
  readonly #filter: LowPass;
  readonly #bins = new Uint32Array(BINS);
  #ticks = 0;
  #sumN = 0;
  #sumOfSquaresN2 = 0;
  #inBand = 0;
  #high = 0;
  #low = 0;
  #rawInBand = 0;
  #liftedOff = 0;

  constructor(tickHz: number) {
    this.#filter = new LowPass(LOAD_FILTER_HZ, tickHz);
  }

  /** Number of assessed ticks. */
  get ticks(): number {
    return this.#ticks;
  }

  /**
   * Call in every tick, because of the filter; ticks that are not assessed have no other effect.
   * @returns low-passed load minus target
   */
  take(wheelN: number, targetN: number, isAssessed: boolean): number {
    const errorN = this.#filter.take(wheelN) - targetN;
    if (isAssessed) this.count(wheelN, targetN, errorN);
    return errorN;
  }

  /** Counts an assessed tick. @param errorN low-passed load minus target */
  count(wheelN: number, targetN: number, errorN: number): void {
    const sizeN = Math.abs(errorN);
    // Written so that NaN falls into the last bin and outside the band.
    const bin = sizeN < BINS - 1 ? Math.round(sizeN) : BINS - 1;
    this.#bins[bin] = (this.#bins[bin] ?? 0) + 1;
    this.#ticks++;
    this.#sumN += wheelN;
    this.#sumOfSquaresN2 += errorN * errorN;
    if (sizeN <= BAND_N) this.#inBand++;
    if (errorN > BAND_N) this.#high++;
    if (errorN < -BAND_N) this.#low++;
    if (Math.abs(wheelN - targetN) <= BAND_N) this.#rawInBand++;
    if (wheelN === 0) this.#liftedOff++;
  }

  /** Returns the metrics of the load; NaN if no tick was assessed. */
  metrics() {
    const percent = (ticks: number): number => (100 * ticks) / this.#ticks;
    return {
      loadRmsN: Math.sqrt(this.#sumOfSquaresN2 / this.#ticks),
      inBandPercent: percent(this.#inBand),
      highPercent: percent(this.#high),
      lowPercent: percent(this.#low),
      rawInBandPercent: percent(this.#rawInBand),
      liftOffPercent: percent(this.#liftedOff),
      meanLoadN: this.#sumN / this.#ticks,
      errorP50N: this.#percentileN(0.5),
      errorP90N: this.#percentileN(0.9),
      errorP99N: this.#percentileN(0.99),
    };
  }

  /** Percentile by nearest rank: the smallest bin that has, with those below it, at least that share of the ticks. */
  #percentileN(share: number): number {
    if (this.#ticks === 0) return Number.NaN;
    let left = Math.ceil(share * this.#ticks);
    return this.#bins.findIndex((ticks) => {
      left -= ticks;
      return left <= 0;
    });
  }
}
