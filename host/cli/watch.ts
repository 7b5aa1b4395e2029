import { join } from 'node:path';
import { buildCommand } from '@stricli/core';
import type { Build } from '../review/builds.js';
import type { Review } from '../review/review.js';
import { answer, type Context, jsonFlag, text, wholeNumber } from './answer.js';
import { BUILD_BRIEF, fileFlag, sideOf } from './review-flags.js';

interface Flags {
  readonly against: string;
  readonly parameters?: string;
  readonly verdicts?: number;
  readonly json?: boolean;
}

/** How a review is printed, and what of it. */
interface Printer {
  readonly review: (review: Review, seconds: number) => void;
  /** What stands in the way of one, such as an error of the compiler. */
  readonly trouble: (message: string) => void;
}

function printerOf({ process }: Context, isJson: boolean, textOf: (review: Review) => string): Printer {
  let last = 'none yet';
  let since = 'the start';
  if (isJson) {
    const line = (document: object): void => void process.stdout.write(`${JSON.stringify(document)}\n`);
    return { review: (review, seconds) => line({ seconds, review }), trouble: (message) => line({ error: { message } }) };
  }
  return {
    review(review, seconds) {
      const words = textOf(review);
      last = words.trimEnd().split('\n').at(-1) ?? last;
      process.stdout.write(`${words}verdict ${seconds.toFixed(1)} s after ${since}\n\n`);
      since = 'the save';
    },
    trouble(message) {
      process.stdout.write(`${message.trimEnd()}\nlast verdict: ${last}\n\n`);
      since = 'the save';
    },
  };
}

/** Everything that stays the same from save to save. */
async function prepare(context: Context, flags: Flags, names: readonly string[]) {
  const [{ findBuild, buildQuickly }, { reviewSides }, { traceLocator }, { caseNames, readCase }, { watchText }, { watchFiles }, { ROOT }] =
    await Promise.all([
      import('../review/builds.js'),
      import('../review/compare.js'),
      import('../review/locate.js'),
      import('../vector/case.js'),
      import('../report/review/review-text.js'),
      import('../common/watch-files.js'),
      import('../common/project.js'),
    ]);
  const cases = (names.length > 0 ? names : caseNames()).map((name) => readCase(name));
  const old = { build: await findBuild(flags.against) };
  const review = async (build: Build): Promise<Review> => {
    const sides = { old, new: await sideOf(build, flags.parameters) };
    return reviewSides(sides, { cases }, traceLocator(sides));
  };
  const files = [join(ROOT, 'assembly', 'controller'), join(ROOT, 'asconfig.json')];
  return {
    build: buildQuickly,
    review,
    printer: printerOf(context, flags.json === true, watchText),
    watch: () => watchFiles(flags.parameters === undefined ? files : [...files, flags.parameters]),
  };
}

/** A verdict at once, then one after each save, until it is interrupted. Returns whether nothing differed in the last one. */
async function watchOn(context: Context, flags: Flags, names: readonly string[]): Promise<boolean> {
  const { build, review, printer, watch } = await prepare(context, flags, names);
  const files = watch();
  const end = (): void => files.close();
  process.once('SIGINT', end);
  let holds = false;
  try {
    for (let left = flags.verdicts ?? Number.POSITIVE_INFINITY, goesOn = true; goesOn; goesOn = await files.next()) {
      const begin = performance.now();
      try {
        const found = await review(await build());
        holds = found.counts.same === found.runs.length;
        printer.review(found, (performance.now() - begin) / 1000);
      } catch (error) {
        const { name, message } = error as Error;
        if (!['InputError', 'ParameterRefused'].includes(name)) throw error;
        holds = false;
        printer.trouble(message);
      }
      left -= 1;
      if (left <= 0) break;
    }
  } finally {
    process.removeListener('SIGINT', end);
    files.close();
  }
  return holds;
}

async function watch(this: Context, flags: Flags, ...names: string[]): Promise<void> {
  // Verdicts are printed as they come; what is left to say at the end is the exit code.
  await answer(this, {}, async () => ({ text: '', json: {}, holds: await watchOn(this, flags, names) }));
}

export const watchCommand = buildCommand({
  docs: {
    brief: 'On every save of the controller or a parameter file, build and say what differs',
    fullDescription:
      'Compares the sources as they are with another build on the chosen vectors: at once, and again whenever a file of ' +
      'assembly/controller, asconfig.json or the parameter file is saved. An error of the compiler is shown with its line, and the ' +
      'last verdict stays. With --json each verdict is one JSON document on a line of its own. Ends when interrupted; exit code 0 if ' +
      'nothing differed in the last verdict, 1 if something did.',
  },
  parameters: {
    positional: {
      kind: 'array',
      parameter: { brief: 'Vectors by name or folder; all of vectors/cases if none', parse: text, placeholder: 'case' },
    },
    flags: {
      against: { kind: 'parsed', parse: text, brief: `What to compare with: ${BUILD_BRIEF}`, default: 'HEAD', placeholder: 'build' },
      parameters: fileFlag('Parameters in force over each vector’s own; saving them gives a verdict too'),
      verdicts: { kind: 'parsed', parse: wholeNumber, brief: 'End after so many verdicts', optional: true, placeholder: 'count' },
      json: jsonFlag,
    },
  },
  func: watch,
});
