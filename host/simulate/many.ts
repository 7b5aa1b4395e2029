import { availableParallelism } from 'node:os';
import { Piscina } from 'piscina';
import type { SimulatedRun } from './run.js';
import type { WorkerTask } from './worker.js';

/**
 * Runs tasks over a pool of workers, one for each processor; results come in the order of the tasks.
 * @param workers how many, if not one a processor
 * @param onDone told how many are done
 */
export async function runMany(
  tasks: readonly WorkerTask[],
  onDone: (done: number) => void = () => {},
  workers: number = availableParallelism(),
): Promise<SimulatedRun[]> {
  const threads = Math.max(1, Math.min(workers, tasks.length));
  const pool = new Piscina<WorkerTask, SimulatedRun>({
    filename: new URL('./worker.js', import.meta.url).href,
    minThreads: threads,
    maxThreads: threads,
  });
  let done = 0;
  try {
    return await Promise.all(
      tasks.map(async (task) => {
        const run = await pool.run(task);
        done += 1;
        onDone(done);
        return run;
      }),
    );
  } finally {
    await pool.destroy();
  }
}
