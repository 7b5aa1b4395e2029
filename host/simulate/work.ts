import { availableParallelism } from 'node:os';
import { checkWork } from '../common/work-limit.js';
import type { Scenario } from './scenario.js';

/** Time to simulate a tick of the bank and of each row, s: measured on a computer of 2024, rounded up. */
const TICK_S = 5e-6;
const ROW_TICK_S = 3e-6;

/** Returns an estimate of the time that a run of a scenario takes, s. */
export const runSeconds = ({ rows, timeline }: Scenario): number => timeline.ticks * (TICK_S + rows * ROW_TICK_S);

/**
 * Checks that simulating takes no longer than expected.
 * @param runs of the scenario, in parallel if there are several
 * @throws InputError, unless the user has confirmed it
 */
export function checkRuns(scenario: Scenario, runs: number, isConfirmed: boolean | undefined): void {
  const { rows, seconds, file } = scenario;
  const what = `${runs === 1 ? 'a run' : `${runs} runs`} of ${rows} rows for ${seconds} s`;
  checkWork({ file }, what, { seconds: (runs * runSeconds(scenario)) / Math.min(runs, availableParallelism()) }, isConfirmed);
}
