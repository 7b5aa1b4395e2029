import { runPool } from '../common/pool.js';
import type { RunSettings, SimulatedRun } from './run.js';
import type { Shared } from './worker.js';

/**
 * Runs a scenario once for each of the settings, in a pool of workers. Results come in the order of the settings.
 * @param onDone called with the number of runs that are done
 * @param workers number of workers; default: one per processor
 */
export const runMany = (
  shared: Shared,
  settings: readonly RunSettings[],
  onDone?: (done: number) => void,
  workers?: number,
): Promise<SimulatedRun[]> => runPool(new URL('./worker.js', import.meta.url), shared, settings, onDone, workers);
