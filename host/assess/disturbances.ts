import type { Contract } from '../contract/contract.js';
import { MessageFields, type MessageViews } from './message-fields.js';
import { BAND_N, SOIL_STEP_M, SOIL_STEP_N } from './metrics.js';
import { Recovery } from './recovery.js';

/** Number of soil samples over `SOIL_STEP_M`. */
const SAMPLES = 10;

/** Offsets of the fields in their messages, bytes. */
function offsetsOf(contract: Contract, row: number) {
  const input = new MessageFields(contract, 'input');
  const truth = new MessageFields(contract, 'truth');
  const truthOf = (name: string): number => truth.row(row, name, 'f32');
  return {
    lowered: input.bank('lowered', 'u8'),
    enabled: input.row(row, 'enabled', 'u8'),
    distance: truth.bank('distanceM', 'f32'),
    wheel: truthOf('wheelN'),
    chamber: truthOf('chamberKpa'),
    soil: truthOf('soilN'),
    stones: truthOf('stonesMet'),
  };
}

/** How a row's load recovers after the frame is lowered, after a step of the soil and after a stone. */
export class Disturbances {
  readonly lowering: Recovery;
  readonly soilStep: Recovery;
  readonly stone: Recovery;
  readonly #offsets: ReturnType<typeof offsetsOf>;
  readonly #views: MessageViews;
  /** The soil force at the last `SAMPLES` samples; the oldest is at `#oldest`. */
  readonly #soilN = new Float64Array(SAMPLES).fill(Number.NaN);
  #oldest = 0;
  #nextSampleM = Number.NEGATIVE_INFINITY;
  #isStep = false;
  #stonesMet = 0;
  #isComingDown = false;
  #loweringMaxKpa = Number.NEGATIVE_INFINITY;

  /** @param row counted from 0 */
  constructor(contract: Contract, views: MessageViews, row: number, tickHz: number) {
    this.#offsets = offsetsOf(contract, row);
    this.#views = views;
    this.lowering = new Recovery(tickHz);
    this.soilStep = new Recovery(tickHz);
    this.stone = new Recovery(tickHz);
  }

  /** Processes a tick. @param errorN low-passed load minus target */
  take(errorN: number, targetN: number, isAssessed: boolean): void {
    // Written so that NaN is outside the band.
    const isInBand = Math.abs(errorN) <= BAND_N;
    this.#takeLowering(isInBand, errorN + targetN);
    const startsStep = this.#startsStep();
    const startsStone = this.#startsStone();
    if (!isAssessed) {
      this.soilStep.end();
      this.stone.end();
      return;
    }
    if (startsStep) this.soilStep.start();
    if (startsStone) this.stone.start();
    this.soilStep.take(isInBand, Math.abs(errorN));
    this.stone.take(isInBand, Math.abs(errorN));
  }

  /** A lowering begins with the lift switch; its time begins when the wheels touch the ground. */
  #takeLowering(isInBand: boolean, loadN: number): void {
    const { input, truth } = this.#views;
    const offsets = this.#offsets;
    if (input.getUint8(offsets.lowered) === 0 || input.getUint8(offsets.enabled) === 0) {
      this.lowering.end();
      this.#isComingDown = input.getUint8(offsets.lowered) === 0;
      return;
    }
    if (this.#isComingDown && truth.getFloat32(offsets.wheel, true) > 0) {
      this.#isComingDown = false;
      this.lowering.start();
    }
    if (!this.#isComingDown && !this.lowering.isRunning) return;
    this.#loweringMaxKpa = Math.max(this.#loweringMaxKpa, truth.getFloat32(offsets.chamber, true));
    this.lowering.take(isInBand, loadN);
  }

  /** Whether the soil force has just become different from that of `SOIL_STEP_M` before. */
  #startsStep(): boolean {
    const { truth } = this.#views;
    const distanceM = truth.getFloat32(this.#offsets.distance, true);
    if (distanceM < this.#nextSampleM) return false;
    this.#nextSampleM = distanceM + SOIL_STEP_M / SAMPLES;
    const soilN = truth.getFloat32(this.#offsets.soil, true);
    const wasStep = this.#isStep;
    this.#isStep = Math.abs(soilN - (this.#soilN[this.#oldest] ?? Number.NaN)) > SOIL_STEP_N;
    this.#soilN[this.#oldest] = soilN;
    this.#oldest = (this.#oldest + 1) % SAMPLES;
    return this.#isStep && !wasStep;
  }

  #startsStone(): boolean {
    const before = this.#stonesMet;
    this.#stonesMet = this.#views.truth.getFloat32(this.#offsets.stones, true);
    return this.#stonesMet > before;
  }

  /** Returns the metrics; NaN without a disturbance of the kind. */
  metrics() {
    for (const recovery of [this.lowering, this.soilStep, this.stone]) recovery.end();
    const lowering = this.lowering.results();
    const soilStep = this.soilStep.results();
    return {
      loweringPeakN: lowering.maxPeak,
      loweringMaxKpa: this.lowering.count === 0 ? Number.NaN : this.#loweringMaxKpa,
      loweringS: lowering.maxS,
      soilStepErrorN: soilStep.meanPeak,
      soilStepS: soilStep.meanS,
      stoneRecoveryS: this.stone.results().meanS,
    };
  }
}
