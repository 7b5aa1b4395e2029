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

/** Worker threads that run tasks until they are closed. */
export class WorkerPool<Task, Result> {
  readonly #pool: Piscina<Task, Outcome<Result>>;

  /**
   * @param worker module whose default export runs one task: a `workerTask`
   * @param shared what every worker gets once, as its `workerData`
   * @param threads number of threads
   * @param heapMiB maximum heap of each, MiB; by default that of Node
   */
  constructor(worker: URL, shared: unknown, threads: number = availableParallelism(), heapMiB?: number) {
    const resourceLimits = heapMiB === undefined ? {} : { maxOldGenerationSizeMb: heapMiB };
    this.#pool = new Piscina({
      filename: compiledPath(worker),
      minThreads: threads,
      maxThreads: threads,
      workerData: shared,
      resourceLimits,
    });
  }

  /** Runs one task, and ends its thread if it takes longer. @throws Error if it does */
  async runOne(task: Task, secondsMax: number): Promise<Result> {
    return resultOf(await this.#pool.run(task, { signal: AbortSignal.timeout(1000 * secondsMax) }));
  }

  /**
   * Runs tasks and returns the results in the order of the tasks.
   * @param onDone called with the number of finished tasks after each one
   */
  run(tasks: readonly Task[], onDone: (done: number) => void = () => {}): Promise<Result[]> {
    let done = 0;
    return Promise.all(
      tasks.map(async (task) => {
        const result = resultOf(await this.#pool.run(task));
        done += 1;
        onDone(done);
        return result;
      }),
    );
  }

  /** Ends the threads, and with them tasks that still run. */
  close(): Promise<void> {
    return this.#pool.destroy();
  }
}

/**
 * Runs tasks in a pool of worker threads, one for each processor by default, and returns the results in the order of the tasks.
 * @param worker, shared, onDone see `WorkerPool`
 * @param workers maximum number of threads
 */
export async function runPool<Task, Result>(
  worker: URL,
  shared: unknown,
  tasks: readonly Task[],
  onDone?: (done: number) => void,
  workers: number = availableParallelism(),
): Promise<Result[]> {
  const pool = new WorkerPool<Task, Result>(worker, shared, Math.max(1, Math.min(workers, tasks.length)));
  try {
    return await pool.run(tasks, onDone);
  } finally {
    await pool.close();
  }
}
