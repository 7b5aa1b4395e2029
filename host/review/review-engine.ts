import { availableParallelism } from 'node:os';
import { type ControllerSources, compileController, type Optimisation } from '../build/controller.js';
import { WorkerPool } from '../common/pool.js';
import { type Build, readBuild } from './builds.js';
import type { Locate } from './locate.js';
import { locateWhenNeeded } from './locate-when-needed.js';
import type { ReviewedRun } from './review-run.js';
import { type ReviewTask, reviewTask } from './review-task.js';

/** Runs the tasks of a review. */
export interface ReviewEngine {
  /**
   * Returns the results in the order of the tasks.
   * @param onDone called after each task with the number of those done
   * @throws InputError as `reviewTask` does
   */
  review(tasks: readonly ReviewTask[], onDone?: (done: number) => void): Promise<ReviewedRun[]>;
  /** Compiles sources with which a cause is checked. Undefined if causes are not checked. @throws InputError with the compiler's messages */
  readonly compile?: ((from: ControllerSources, runs: 'one' | 'all') => Promise<Build>) | undefined;
  close(): Promise<void>;
}

/** Compiles sources as a build. @throws InputError with the compiler's messages */
export async function compileBuild(from: ControllerSources, optimisation: Optimisation): Promise<Build> {
  const { file } = await compileController(from, { optimisation });
  return readBuild(file, file, { from });
}

/** Runs one task after the other in this thread. */
export const reviewHere = (locate?: Locate, compile?: ReviewEngine['compile']): ReviewEngine => ({
  async review(tasks, onDone = () => {}) {
    const results: ReviewedRun[] = [];
    for (const task of tasks) {
      results.push(await reviewTask(task, locate ?? locateWhenNeeded(task.sides)));
      onDone(results.length);
    }
    return results;
  },
  compile,
  close: async () => {},
});

/** What takes the least time in all: one run is short, and all of them are worth an optimised build. */
const compileForRuns: ReviewEngine['compile'] = (from, runs) => compileBuild(from, runs === 'one' ? 'none' : 'quick');

/** Runs tasks on all processors, each in a thread of one pool. */
function reviewInPool(threads: number): ReviewEngine {
  const pool = new WorkerPool<ReviewTask, ReviewedRun>(new URL('./review-worker.js', import.meta.url), undefined, threads);
  return {
    async review(tasks, onDone) {
      const differs = ({ sides: { base, head } }: ReviewTask): boolean => base.build.binaryHash !== head.build.binaryHash;
      const first = tasks.find((task) => task.depth !== 'compared' && differs(task));
      if (first !== undefined) {
        const { prepareTracing } = await import('./locate.js');
        await Promise.all([prepareTracing(first.sides.base.build), prepareTracing(first.sides.head.build)]);
      }
      return pool.run(tasks, onDone);
    },
    compile: compileForRuns,
    close: () => pool.close(),
  };
}

/** Runs tasks, and checks causes. It takes threads only if there is more than one run. Close it at the end. */
export function reviewEngine(runs: number): ReviewEngine {
  const threads = Math.min(runs, availableParallelism());
  return threads > 1 ? reviewInPool(threads) : reviewHere(undefined, compileForRuns);
}
