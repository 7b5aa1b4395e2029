import type { MemoryField } from '../runner/wasm-runner.js';
import { LevelCrossings } from './level-crossings.js';
import { type RecordedRun, type RunSetup, runRecorded } from './recorded-run.js';
import { SETTLED_S } from './samples.js';

/** Noise of the prediction about its slow mean. */
export interface Noise {
  /** Standard deviation. */
  readonly sigmaN: number;
  /** Returns the number of excursions beyond a level (an integer, N) per minute and row. */
  perMin(levelN: number): number;
}

/**
 * One row's prediction minus its slow mean, formed as the controller does for its control error (deadband.ts). When it leaves the
 * given width, a pulse is assumed to bring it back to that mean.
 */
class RowNoise {
  squaresN2 = 0;
  ticks = 0;
  #workedTicks = 0;
  #slowN = 0;
  #pulsesN = 0;

  constructor(
    private readonly row: number,
    private readonly run: RecordedRun,
    private readonly predictedN: MemoryField,
    private readonly slowWeight: number,
    private readonly widthN: number,
    readonly crossings: LevelCrossings,
  ) {}

  addTick(): void {
    const { row, run } = this;
    if (!run.isWorking(row)) {
      if (this.#workedTicks > 0) this.crossings.end();
      this.#workedTicks = 0;
      return;
    }
    const predictedN = this.predictedN.get(row) + this.#pulsesN;
    if (this.#workedTicks === 0) this.#slowN = predictedN;
    this.#workedTicks += 1;
    this.#slowN += this.slowWeight * (predictedN - this.#slowN);
    const distanceN = predictedN - this.#slowN;
    if (Math.abs(distanceN) > this.widthN) this.#pulsesN -= distanceN;
    if (this.#workedTicks <= SETTLED_S * run.tickHz) return;
    this.crossings.add(distanceN);
    this.squaresN2 += distanceN * distanceN;
    this.ticks += 1;
  }
}

/**
 * Runs recordings through the controller under their recorded orders and measures the noise of its prediction.
 * @param highestN largest level that will be queried
 * @param widthN deadband beyond which a pulse is assumed; by default there are no pulses
 */
export function measureNoise(setup: RunSetup, files: readonly string[], highestN: number, widthN = Number.POSITIVE_INFINITY): Noise {
  const all: RowNoise[] = [];
  let minutes = 0;
  for (const [index, file] of files.entries()) {
    const rows: RowNoise[] = [];
    const onProgress = (share: number): void => setup.onProgress((index + share) / files.length);
    const { tickHz } = runRecorded({ ...setup, onProgress }, file, (tick, run) => {
      for (let row = 0; tick === 0 && row < run.rows; row++) {
        const slowWeight = run.runner.field('coefficients', 'slowWeight').get(0);
        const predictedN = run.runner.field('rowProbe', 'predictedN');
        rows.push(new RowNoise(row, run, predictedN, slowWeight, widthN, new LevelCrossings(highestN)));
      }
      for (const row of rows) row.addTick();
    });
    for (const { crossings, ticks } of rows) {
      crossings.end();
      minutes += ticks / tickHz / 60;
    }
    all.push(...rows);
  }
  const sum = (of: (row: RowNoise) => number): number => all.reduce((total, row) => total + of(row), 0);
  return {
    sigmaN: Math.sqrt(sum(({ squaresN2 }) => squaresN2) / sum(({ ticks }) => ticks)),
    perMin: (levelN) => sum(({ crossings }) => crossings.countAbove(levelN)) / minutes,
  };
}
