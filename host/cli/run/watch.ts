import { relative } from 'node:path';
import { type Save, watchFiles } from '../../common/watch-files.js';
import { describeContract } from '../../contract/contract.js';
import { readParameterFile } from '../../contract/parameter-values.js';
import type { System } from '../../report/form/units.js';
import { watchText } from '../../report/review/review-text.js';
import { reviewIn } from '../../report/review/review-units.js';
import { buildQuickly, findBuild } from '../../review/builds.js';
import type { Review, RunReview } from '../../review/review.js';
import { reviewBuilds } from '../../review/review-builds.js';
import { type ReviewEngine, reviewHere } from '../../review/review-engine.js';
import { readVector, vectorNames } from '../../vector/vector.js';
import { command, type Job } from '../context.js';
import { checkFlags, UNITS_RULE } from '../flag-rules.js';
import { sideOf } from './sides.js';
import { type WatchWork, watchLoop } from './watch-loop.js';

interface Flags {
  readonly against: string;
  readonly parameters?: string;
  readonly verdicts?: number;
  readonly units?: System;
  readonly json?: boolean;
}

/** Prints reviews, and errors that prevent one, such as those of the compiler. */
interface Printer {
  readonly review: (review: Review, save: Save, seconds: number) => void;
  readonly error: (message: string, save: Save) => void;
}

/** Files as the user sees them from the current folder. */
const shortened = ({ atMs, deleted }: Save, cwd: string): Save => ({ atMs, deleted: deleted.map((file) => relative(cwd, file)) });

function jsonPrinter(print: Job['print']): Printer {
  const line = (document: object): void => print(`${JSON.stringify(document)}\n`);
  const also = ({ deleted }: Save): object => (deleted.length === 0 ? {} : { deleted });
  return {
    review: (review, save, seconds) => line({ seconds, ...also(save), review }),
    error: (message, save) => line({ ...also(save), error: { message } }),
  };
}

function textPrinter(print: Job['print'], units: System): Printer {
  let last = 'none yet';
  let since = 'the start';
  const deletions = ({ deleted }: Save): string => deleted.map((file) => `deleted: ${file}\n`).join('');
  return {
    review(review, save, seconds) {
      const words = watchText(reviewIn(review, { units }));
      last = words.trimEnd().split('\n').at(-1) ?? last;
      print(`${deletions(save)}${words}done ${seconds.toFixed(1)} s after ${since}\n\n`);
      since = 'the save';
    },
    error(message, save) {
      print(`${deletions(save)}${message.trimEnd()}\nlast verdict: ${last}\n\n`);
      since = 'the save';
    },
  };
}

/** Runs one task after the other in this thread, and calls `check` after each. */
function checkedEngine(check: () => Promise<void>): ReviewEngine {
  const engine = reviewHere();
  return {
    ...engine,
    async review(tasks) {
      const results: RunReview[] = [];
      for (const task of tasks) {
        results.push(...(await engine.review([task])));
        await check();
      }
      return results;
    },
  };
}

/** Returns what compares the working tree with the build to compare with. */
async function reviewerOf({ project }: Job, flags: Flags, names: readonly string[]): Promise<WatchWork<Review>['work']> {
  const vectors = (names.length > 0 ? names : vectorNames(project)).map((name) => readVector(project, name));
  const base = { build: await findBuild(flags.against, project.root) };
  return async (check) => {
    const build = await buildQuickly(project.root);
    await check();
    return reviewBuilds({ base, head: sideOf(build, flags.parameters) }, { vectors }, checkedEngine(check));
  };
}

/** Reviews now and after each save, until interrupted. Returns whether nothing differed in the last review. */
async function watch(job: Job, flags: Flags, names: readonly string[]): Promise<boolean> {
  checkFlags(flags, [UNITS_RULE]);
  const { project, cwd, print, onInterrupt } = job;
  // A mistake in it is shown and waited for later on, but not at the start.
  if (flags.parameters !== undefined) readParameterFile(flags.parameters, describeContract());
  const watched = [project.controller, project.compilerSettings];
  const now = (): number => performance.now();
  const files = watchFiles(flags.parameters === undefined ? watched : [...watched, flags.parameters], now);
  const printer = flags.json === true ? jsonPrinter(print) : textPrinter(print, flags.units ?? 'si');
  const stopListening = onInterrupt(() => files.close());
  let passed = false;
  try {
    const work = await reviewerOf(job, flags, names);
    const done = (review: Review, save: Save, seconds: number): void => {
      passed = review.counts.same === review.runs.length;
      printer.review(review, shortened(save, cwd), seconds);
    };
    const failed = (message: string, save: Save): void => {
      passed = false;
      printer.error(message, shortened(save, cwd));
    };
    await watchLoop(files, { work, done, failed, now }, flags.verdicts ?? Number.POSITIVE_INFINITY);
  } finally {
    stopListening();
    files.close();
  }
  return passed;
}

export default command<Flags, string[]>(
  async (job, flags, ...names) => ({ text: '', json: undefined, passed: await watch(job, flags, names) }),
  { printsOwnOutput: true },
);
