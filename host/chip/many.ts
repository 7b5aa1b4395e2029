import { runPool } from '../common/pool.js';
import type { ChipCaseResult } from './replay-chip.js';
import type { ChipTask, Shared } from './worker.js';

/**
 * Runs vectors on chips, each on an emulator of its own, as many at once as there are processors; results come in the order of
 * the tasks.
 * @param onDone told how many are done
 */
export const runTasks = (shared: Shared, tasks: readonly ChipTask[], onDone: (done: number) => void): Promise<ChipCaseResult[]> =>
  runPool(new URL('./worker.js', import.meta.url), shared, tasks, onDone);
