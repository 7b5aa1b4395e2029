import type { MemoryField } from '../runner/wasm-runner.js';
import { LevelCrossings } from './level-crossings.js';
import { type RecordedRun, type RunSetup, runRecorded } from './recorded-run.js';
import { SETTLED_S } from './samples.js';

/** What a prediction does about its slow mean. */
export interface Noise {
  readonly sigmaN: number;
  /** Excursions beyond a level, N in whole numbers, a minute and row. */
  perMin(levelN: number): number;
}

/**
 * One row's prediction less its slow mean, as the controller forms it of the judged error (deadband.ts). Where it leaves the
 * width that is given, a pulse is thought to bring it back to that mean.
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

  take(): void {
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
    this.crossings.take(distanceN);
    this.squaresN2 += distanceN * distanceN;
    this.ticks += 1;
  }
}

/**
 * Runs recordings through the controller under their recorded orders and listens to its prediction's noise.
 * @param highestN level up to which excursions will be asked for
 * @param widthN deadband beyond which a pulse is thought to be made; by default none is
 */
export function gatherNoise(setup: RunSetup, files: readonly string[], highestN: number, widthN = Number.POSITIVE_INFINITY): Noise {
  const all: RowNoise[] = [];
  let minutes = 0;
  for (const [index, file] of files.entries()) {
    const rows: RowNoise[] = [];
    const onProgress = (share: number): void => setup.onProgress((index + share) / files.length);
    const { tickHz } = runRecorded({ ...setup, onProgress }, file, (tick, run) => {
      for (let row = 0; tick === 0 && row < run.rows; row++) {
        const slowWeight = run.target.field('coefficients', 'slowWeight').get(0);
        const predictedN = run.target.field('rowProbe', 'predictedN');
        rows.push(new RowNoise(row, run, predictedN, slowWeight, widthN, new LevelCrossings(highestN)));
      }
      for (const row of rows) row.take();
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
    perMin: (levelN) => sum(({ crossings }) => crossings.above(levelN)) / minutes,
  };
}
