import { existsSync } from 'node:fs';
import { availableParallelism } from 'node:os';
import { join, relative } from 'node:path';
import { fileURLToPath } from 'node:url';
import { Piscina } from 'piscina';
import { TOOL_ROOT } from './project.js';
import { type Outcome, resultOf } from './worker-task.js';

/** Path of a worker's compiled module: workers run in plain Node, even if this module runs from its TypeScript source. */
function compiledPath(worker: URL): string {
  const path = fileURLToPath(worker);
  return existsSync(path) ? path : join(TOOL_ROOT, 'dist', relative(TOOL_ROOT, path));
}

/**
 * Runs tasks in a pool of worker threads, one for each processor by default, and returns the results in the order of the tasks.
 * @param worker module whose default export runs one task: a `workerTask`
 * @param shared what every worker gets once, as its `workerData`
 * @param onDone called with the number of finished tasks after each one
 * @param workers maximum number of threads
 */
export async function runPool<Task, Result>(
  worker: URL,
  shared: unknown,
  tasks: readonly Task[],
  onDone: (done: number) => void = () => {},
  workers: number = availableParallelism(),
): Promise<Result[]> {
  const threads = Math.max(1, Math.min(workers, tasks.length));
  const pool = new Piscina<Task, Outcome<Result>>({
    filename: compiledPath(worker),
    minThreads: threads,
    maxThreads: threads,
    workerData: shared,
  });
  let done = 0;
  try {
    return await Promise.all(
      tasks.map(async (task) => {
        const result = resultOf(await pool.run(task));
        done += 1;
        onDone(done);
        return result;
      }),
    );
  } finally {
    await pool.destroy();
  }
}
