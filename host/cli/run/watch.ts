import { watchFiles } from '../../common/watch-files.js';
import { describeContract } from '../../contract/contract.js';
import { readParameterFile } from '../../contract/parameter-values.js';
import { watchText } from '../../report/review/review-text.js';
import { type Build, buildQuickly, findBuild } from '../../review/builds.js';
import type { Review } from '../../review/review.js';
import { reviewBuilds } from '../../review/review-builds.js';
import { reviewHere } from '../../review/review-engine.js';
import { readVector, vectorNames } from '../../vector/vector.js';
import { command, type Job } from '../context.js';
import { sideOf } from './sides.js';

interface Flags {
  readonly against: string;
  readonly parameters?: string;
  readonly verdicts?: number;
  readonly json?: boolean;
}

/** Prints reviews, and errors that prevent one, such as those of the compiler. */
interface Printer {
  readonly review: (review: Review, seconds: number) => void;
  readonly error: (message: string) => void;
}

function jsonPrinter(print: Job['print']): Printer {
  const line = (document: object): void => print(`${JSON.stringify(document)}\n`);
  return { review: (review, seconds) => line({ seconds, review }), error: (message) => line({ error: { message } }) };
}

function textPrinter(print: Job['print']): Printer {
  let last = 'none yet';
  let since = 'the start';
  return {
    review(review, seconds) {
      const words = watchText(review);
      last = words.trimEnd().split('\n').at(-1) ?? last;
      print(`${words}done ${seconds.toFixed(1)} s after ${since}\n\n`);
      since = 'the save';
    },
    error(message) {
      print(`${message.trimEnd()}\nlast verdict: ${last}\n\n`);
      since = 'the save';
    },
  };
}

/** Returns a function that compares a build with the one to compare with. */
async function reviewerOf({ project }: Job, flags: Flags, names: readonly string[]): Promise<(build: Build) => Promise<Review>> {
  const vectors = (names.length > 0 ? names : vectorNames(project)).map((name) => readVector(project, name));
  const base = { build: await findBuild(flags.against, project.root) };
  return (build) => {
    const sides = { base, head: sideOf(build, flags.parameters) };
    return reviewBuilds(sides, { vectors }, reviewHere());
  };
}

/** Reviews now and after each save, until interrupted. Returns whether nothing differed in the last review. */
async function watch(job: Job, flags: Flags, names: readonly string[]): Promise<boolean> {
  const { project, print, onInterrupt } = job;
  // A mistake in it is shown and waited for later on, but not at the start.
  if (flags.parameters !== undefined) readParameterFile(flags.parameters, describeContract());
  const watched = [project.controller, project.compilerSettings];
  const files = watchFiles(flags.parameters === undefined ? watched : [...watched, flags.parameters]);
  const printer = flags.json === true ? jsonPrinter(print) : textPrinter(print);
  const stopListening = onInterrupt(() => files.close());
  let passed = false;
  try {
    const review = await reviewerOf(job, flags, names);
    for (let left = flags.verdicts ?? Number.POSITIVE_INFINITY, isOpen = true; isOpen; isOpen = await files.next()) {
      const start = performance.now();
      try {
        const found = await review(await buildQuickly(project.root));
        passed = found.counts.same === found.runs.length;
        printer.review(found, (performance.now() - start) / 1000);
      } catch (error) {
        const { isExpected, message } = error as Error & { isExpected?: boolean };
        if (isExpected !== true) throw error;
        passed = false;
        printer.error(message);
      }
      left -= 1;
      if (left <= 0) break;
    }
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
