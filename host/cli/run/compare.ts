import { InputError } from '../../common/input-error.js';
import { refuseOverwritingInput, refuseSameTarget, writeAtomic } from '../../common/write-atomic.js';
import { reviewJunit } from '../../report/review/review-junit.js';
import { reviewPage } from '../../report/review/review-page.js';
import { reviewSarif } from '../../report/review/review-sarif.js';
import { reviewText } from '../../report/review/review-text.js';
import { findBuild } from '../../review/builds.js';
import type { Review } from '../../review/review.js';
import { type ReviewInputs, reviewBuilds } from '../../review/review-builds.js';
import { reviewEngine } from '../../review/review-engine.js';
import type { Sides } from '../../review/review-task.js';
import { defaultSettings } from '../../simulate/run.js';
import { readScenario } from '../../simulate/scenario.js';
import { checkRuns } from '../../simulate/work.js';
import { readVector, vectorNames } from '../../vector/vector.js';
import { type Answer, command, type Job } from '../context.js';
import { checkFlags, type FlagRule } from '../flag-rules.js';
import { BUILD_FORMS } from '../flags.js';
import { currentPlant } from './binaries.js';
import { sideOf } from './sides.js';

interface Flags {
  readonly scenario?: readonly string[];
  readonly seed?: number;
  readonly parameters?: string;
  readonly baseParameters?: string;
  readonly html?: string;
  readonly junit?: string;
  readonly sarif?: string;
  readonly details?: number;
  readonly yes?: boolean;
  readonly json?: boolean;
}

/** Default of --details. */
const DETAILS = 3;

const RULES: readonly FlagRule<Flags>[] = [
  { flag: 'seed', needs: 'scenario', why: 'the inputs of a vector are recorded' },
  { flag: 'details', excludes: 'json', why: 'the document has all details' },
];

type Runs = ReviewInputs & { readonly scenarios: NonNullable<ReviewInputs['scenarios']> };

/** Reads vectors and scenarios; all vectors if none of either is named. */
async function chosenRuns(job: Job, names: readonly string[], { scenario = [], seed, yes }: Flags): Promise<Runs> {
  const { project } = job;
  const isAll = names.length === 0 && scenario.length === 0;
  const scenarios = scenario.map((name) => {
    const read = readScenario(project, name);
    checkRuns(read, 1, yes);
    return { scenario: read, choice: { ...defaultSettings(read), seed: seed ?? read.seed } };
  });
  return {
    vectors: (isAll ? vectorNames(project) : names).map((name) => readVector(project, name)),
    scenarios,
    plant: scenarios.length === 0 ? undefined : await currentPlant(job),
  };
}

/** Files that no report may overwrite. */
function inputsOf({ vectors, scenarios }: Runs, flags: Flags, base: string, head: string): string[] {
  return [
    ...vectors.flatMap(({ caseFile, inputFile, expectedFile }) => [caseFile, inputFile, expectedFile]),
    ...scenarios.flatMap(({ scenario }) => scenario.files),
    ...[flags.parameters, flags.baseParameters, base, head].filter((file) => file !== undefined),
  ];
}

async function reviewAll({ progress }: Job, sides: Sides, runs: Runs): Promise<Review> {
  const count = runs.vectors.length + runs.scenarios.length;
  const engine = reviewEngine(count);
  try {
    progress.show(`comparing ${count} runs`);
    return await reviewBuilds(sides, runs, engine, (done) => progress.show(`compared ${done} of ${count}`));
  } finally {
    await engine.close();
  }
}

async function compareBuilds(job: Job, flags: Flags, base: string, head: string, names: string[]): Promise<Answer> {
  const { project, progress } = job;
  checkFlags(flags, RULES);
  const runs = await chosenRuns(job, names, flags);
  const { html, junit, sarif } = flags;
  const targets = [html, junit, sarif].filter((file) => file !== undefined);
  refuseSameTarget(...targets);
  for (const file of targets) refuseOverwritingInput(file, ...inputsOf(runs, flags, base, head));
  progress.show(`building ${base} and ${head}`);
  const [baseBuild, headBuild] = await Promise.all([findBuild(base, project.root), findBuild(head, project.root)]);
  const sides = { base: sideOf(baseBuild, flags.baseParameters), head: sideOf(headBuild, flags.parameters) };
  const binaries = [baseBuild.file, headBuild.file].flatMap((file) => [file, `${file}.map`]);
  for (const file of targets) refuseOverwritingInput(file, ...binaries);
  const review = await reviewAll(job, sides, runs);
  if (html !== undefined) writeAtomic(html, reviewPage(review));
  if (junit !== undefined) writeAtomic(junit, reviewJunit(review));
  if (sarif !== undefined) writeAtomic(sarif, reviewSarif(review));
  return { text: reviewText(review, flags.details ?? DETAILS), json: review, passed: review.counts.same === review.runs.length };
}

export default command<Flags, string[]>((job, flags, ...words) => {
  const [base, head, ...names] = words;
  if (base === undefined || head === undefined)
    throw new InputError({
      file: 'latchbench compare',
      problem: `${base === undefined ? 'base and head are' : 'head is'} missing`,
      hint: `Name two builds, each ${BUILD_FORMS}`,
    });
  return compareBuilds(job, flags, base, head, names);
});
