import { availableParallelism } from 'node:os';
import { Piscina } from 'piscina';
import type { ChipCaseResult } from './replay-chip.js';
import type { ChipTask, Shared } from './worker.js';

/**
 * Runs vectors on chips, each on an emulator of its own, as many at once as there are processors; results come in the order of
 * the tasks.
 * @param onDone told how many are done
 */
export async function runTasks(shared: Shared, tasks: readonly ChipTask[], onDone: (done: number) => void): Promise<ChipCaseResult[]> {
  const threads = Math.max(1, Math.min(availableParallelism(), tasks.length));
  const pool = new Piscina<ChipTask, ChipCaseResult>({
    filename: new URL('./worker.js', import.meta.url).href,
    minThreads: threads,
    maxThreads: threads,
    workerData: shared,
  });
  let done = 0;
  try {
    return await Promise.all(
      tasks.map(async (task) => {
        const result = await pool.run(task);
        done += 1;
        onDone(done);
        return result;
      }),
    );
  } finally {
    await pool.destroy();
  }
}
