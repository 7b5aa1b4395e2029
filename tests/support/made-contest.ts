import type { ContestRun, Sweep } from '../../host/contest/contest.js';
import { compareSweeps, seedsOf } from '../../host/contest/equal-pulses.js';
import type { Contest } from '../../host/report/simulation/contest-text.js';

export type Made = readonly [pulsesPerMin: number, loadRmsN: number];

export const madeRun = ([pulsesPerMin, loadRmsN]: Made, seed: number): ContestRun => {
  const metrics = { pulsesPerMin, loadRmsN, inBandPercent: 90, oilLpm: 1, coilW: 0.1, coilLossW: 0.05 };
  return { seed, hash: '00000000', metrics };
};

/** A sweep of made-up runs: points separated by semicolons, the runs of each by seed as `pulsesPerMin:loadRmsN`. */
export const madeSweep = (name: string, points: string, hasPulses = true): Sweep => ({
  name,
  ranWith: { strategy: 'cascade', parameters: [], seed: 1 },
  hasPulses,
  points: points.split(';').map((runs, at) => ({
    scale: at + 1,
    runs: runs
      .trim()
      .split(' ')
      .map((made, index) => madeRun(made.split(':').map(Number) as unknown as Made, index + 1)),
  })),
});

export const madeContest = (sweeps: readonly Sweep[], rates: readonly number[]): Contest => ({
  controller: { name: '.', version: '0.0.0', sourceHash: 'a1'.repeat(32), contractHash: '', binaryHash: '' },
  scenario: 'made-up',
  title: 'Made & up',
  machine: 'default',
  seeds: seedsOf(sweeps),
  against: sweeps[0]?.name ?? '',
  sweeps,
  equalPulses: compareSweeps(sweeps, sweeps[0]?.name ?? '', rates),
});
