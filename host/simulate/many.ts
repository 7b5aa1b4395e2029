import { runPool } from '../common/pool.js';
import type { RunChoice, SimulatedRun } from './run.js';
import type { Shared } from './worker.js';

/**
 * Runs a scenario in several ways over a pool of workers; results come in the order of the choices.
 * @param onDone told how many are done
 * @param workers how many, if not one a processor
 */
export const runMany = (
  shared: Shared,
  choices: readonly RunChoice[],
  onDone?: (done: number) => void,
  workers?: number,
): Promise<SimulatedRun[]> => runPool(new URL('./worker.js', import.meta.url), shared, choices, onDone, workers);
