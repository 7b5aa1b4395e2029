import { availableParallelism } from 'node:os';
import { Piscina } from 'piscina';

/**
 * Works tasks off over a pool of workers, one for each processor; results come in the order of the tasks.
 * @param worker module whose default export does one task
 * @param shared what every worker gets once, as its `workerData`
 * @param onDone told how many are done
 * @param workers how many, if not one a processor
 */
export async function runPool<Task, Result>(
  worker: URL,
  shared: unknown,
  tasks: readonly Task[],
  onDone: (done: number) => void = () => {},
  workers: number = availableParallelism(),
): Promise<Result[]> {
  const threads = Math.max(1, Math.min(workers, tasks.length));
  const pool = new Piscina<Task, Result>({ filename: worker.href, minThreads: threads, maxThreads: threads, workerData: shared });
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
