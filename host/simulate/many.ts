import { availableParallelism } from 'node:os';
import { Piscina } from 'piscina';
import type { RunChoice, SimulatedRun } from './run.js';
import type { Shared } from './worker.js';

/**
 * Runs a scenario in several ways over a pool of workers, one for each processor; results come in the order of the choices.
 * @param onDone told how many are done
 * @param workers how many, if not one a processor
 */
export async function runMany(
  shared: Shared,
  choices: readonly RunChoice[],
  onDone: (done: number) => void = () => {},
  workers: number = availableParallelism(),
): Promise<SimulatedRun[]> {
  const threads = Math.max(1, Math.min(workers, choices.length));
  const pool = new Piscina<RunChoice, SimulatedRun>({
    filename: new URL('./worker.js', import.meta.url).href,
    minThreads: threads,
    maxThreads: threads,
    workerData: shared,
  });
  let done = 0;
  try {
    return await Promise.all(
      choices.map(async (choice) => {
        const run = await pool.run(choice);
        done += 1;
        onDone(done);
        return run;
      }),
    );
  } finally {
    await pool.destroy();
  }
}
