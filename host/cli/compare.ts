import { buildCommand } from '@stricli/core';
import { type Answer, answer, type Context, jsonFlag, type Progress, progressOf, text, wholeNumber } from './answer.js';
import { BUILD_BRIEF, fileFlag, sideOf } from './review-flags.js';

interface Flags {
  readonly scenario?: readonly string[];
  readonly seed?: number;
  readonly parameters?: string;
  readonly oldParameters?: string;
  readonly html?: string;
  readonly junit?: string;
  readonly sarif?: string;
  readonly details: number;
  readonly json?: boolean;
}

/** Vectors and scenarios by name. All vectors where none of either is named. */
async function chosenRuns(names: readonly string[], { scenario = [], seed }: Flags) {
  const [{ caseNames, readCase }, { readScenario }, { defaultSettings }, { loadPlant }] = await Promise.all([
    import('../vector/case.js'),
    import('../simulate/scenario.js'),
    import('../simulate/run.js'),
    import('../simulate/plant.js'),
  ]);
  const isAll = names.length === 0 && scenario.length === 0;
  const scenarios = scenario.map((name) => {
    const read = readScenario(name);
    return { scenario: read, choice: { ...defaultSettings(read), seed: seed ?? read.seed } };
  });
  return {
    cases: (isAll ? caseNames() : names).map((name) => readCase(name)),
    scenarios,
    plant: scenarios.length === 0 ? undefined : loadPlant(),
  };
}

async function compareBuilds(
  flags: Flags,
  oldWord: string,
  newWord: string,
  names: readonly string[],
  progress: Progress,
): Promise<Answer> {
  const [{ findBuild }, { reviewSides }, { traceLocator }, { reviewText }, files] = await Promise.all([
    import('../review/builds.js'),
    import('../review/compare.js'),
    import('../review/locate.js'),
    import('../report/review/review-text.js'),
    import('../common/write-atomic.js'),
  ]);
  const chosen = await chosenRuns(names, flags);
  const { cases, scenarios } = chosen;
  const inputs = [
    ...cases.flatMap(({ caseFile, inputFile, expectedFile }) => [caseFile, inputFile, expectedFile]),
    ...scenarios.flatMap(({ scenario }) => scenario.files),
    ...[flags.parameters, flags.oldParameters, oldWord, newWord].filter((file) => file !== undefined),
  ];
  const targets = [flags.html, flags.junit, flags.sarif].filter((file) => file !== undefined);
  files.refuseSameTarget(...targets);
  for (const file of targets) files.refuseOverwritingInput(file, ...inputs);
  progress.say(`building ${oldWord}`);
  const old = await sideOf(await findBuild(oldWord), flags.oldParameters);
  progress.say(`building ${newWord}`);
  const fresh = await sideOf(await findBuild(newWord), flags.parameters);
  const sides = { old, new: fresh };
  const binaries = [old.build.file, fresh.build.file].flatMap((file) => [file, `${file}.map`]);
  for (const file of targets) files.refuseOverwritingInput(file, ...binaries);
  const count = cases.length + scenarios.length;
  const review = await reviewSides(sides, chosen, traceLocator(sides), (name, index) =>
    progress.say(`comparing ${index + 1} of ${count}: ${name}`),
  );
  if (flags.html !== undefined) files.writeAtomic(flags.html, (await import('../report/review/review-page.js')).reviewPage(review));
  if (flags.junit !== undefined) files.writeAtomic(flags.junit, (await import('../report/review/review-junit.js')).reviewJunit(review));
  if (flags.sarif !== undefined) files.writeAtomic(flags.sarif, (await import('../report/review/review-sarif.js')).reviewSarif(review));
  return { text: reviewText(review, flags.details), json: review, holds: review.counts.same === review.runs.length };
}

async function compare(this: Context, flags: Flags, ...words: string[]): Promise<void> {
  await answer(this, flags, async () => {
    const [old, fresh, ...names] = words;
    if (old === undefined || fresh === undefined) {
      const { InputError } = await import('../common/input-error.js');
      throw new InputError({
        file: 'latchbench compare',
        what: `${words.length} of 2 builds named`,
        allowed: `old and new, each ${BUILD_BRIEF}`,
      });
    }
    const progress = progressOf(this, flags.json);
    try {
      return await compareBuilds(flags, old, fresh, names, progress);
    } finally {
      progress.done();
    }
  });
}

export const compareCommand = buildCommand({
  docs: {
    brief: 'Run two builds side by side and say what a change does, and where it begins',
    fullDescription:
      `Old and new are each ${BUILD_BRIEF}. Both run over the same recorded inputs; no stored outputs are needed. Signals are matched ` +
      'by name, whatever the layouts. For each vector: same, inner state only, or outputs changed; the first tick, row and signal that ' +
      'differ in the order of evaluation, the believed source line, strokes added, removed, earlier and later, and metrics as the ' +
      'controller reckons them, worst first. Exit code 0: nothing differs. 1: something does, or a side refuses a run’s ' +
      'parameters or rows. 2: bad input.',
  },
  parameters: {
    positional: {
      kind: 'array',
      parameter: {
        brief: 'Old build, new build, then vectors by name or folder; all of vectors/cases if none',
        parse: text,
        placeholder: 'old new case',
      },
    },
    flags: {
      scenario: {
        kind: 'parsed',
        parse: text,
        brief: 'A scenario too: each side in a closed loop with a machine of its own; metrics are the machine’s',
        optional: true,
        variadic: true,
        placeholder: 'name',
      },
      seed: { kind: 'parsed', parse: wholeNumber, brief: 'Seed in place of the scenarios’ own', optional: true, placeholder: 'number' },
      parameters: fileFlag('Parameters in force on the new side over each vector’s own'),
      oldParameters: fileFlag('The same on the old side'),
      html: fileFlag('Write the review as one page that needs nothing else'),
      junit: fileFlag('Write the verdicts as a JUnit XML report'),
      sarif: fileFlag('Write the believed source lines as a SARIF 2.1.0 log'),
      details: {
        kind: 'parsed',
        parse: wholeNumber,
        brief: 'How many runs that differ are told in full',
        default: '3',
        placeholder: 'count',
      },
      json: jsonFlag,
    },
  },
  func: compare,
});
