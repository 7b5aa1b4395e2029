import { REPLAY_METRICS } from '../../assess/metrics.js';
import { InputError } from '../../common/input-error.js';
import { refuseOverwritingInput, refuseSameTarget, writeAtomic } from '../../common/write-atomic.js';
import type { System } from '../../report/form/units.js';
import { runName } from '../../report/review/phrases.js';
import { reviewJunit } from '../../report/review/review-junit.js';
import { reviewMarkdown } from '../../report/review/review-markdown.js';
import { reviewPage } from '../../report/review/review-page.js';
import { reviewSarif } from '../../report/review/review-sarif.js';
import { reviewText } from '../../report/review/review-text.js';
import { type ReviewChoice, reviewIn } from '../../report/review/review-units.js';
import { findBuild } from '../../review/builds.js';
import { folderInRepository } from '../../review/git.js';
import type { Review, RunReview, VectorChange } from '../../review/review.js';
import { type ReviewInputs, reviewBuilds } from '../../review/review-builds.js';
import { type ReviewEngine, reviewEngine } from '../../review/review-engine.js';
import type { Sides } from '../../review/review-task.js';
import { readKnown, vectorsOf } from '../../review/side-vectors.js';
import { sourceChange } from '../../review/source-change.js';
import { vectorChanges } from '../../review/vector-changes.js';
import { acceptedVectors, type SomeVectors, type VectorRun, vectorRuns } from '../../review/vector-runs.js';
import { defaultSettings } from '../../simulate/run.js';
import { readScenario } from '../../simulate/scenario.js';
import { checkRuns } from '../../simulate/work.js';
import { type VectorCase, vectorNames } from '../../vector/vector.js';
import { type Answer, command, type Job } from '../context.js';
import { type FailOn, failingRuns } from '../fail-on.js';
import { checkFlags, type FlagRule, METRIC_RULE, UNITS_RULE } from '../flag-rules.js';
import { BUILD_FORMS } from '../flags.js';
import { currentPlant } from './binaries.js';
import { metricNames } from './metric-names.js';
import { sideOf } from './sides.js';
import { suggestVector } from './suggest-vector.js';

interface Flags {
  readonly scenario?: readonly string[];
  readonly seed?: number;
  readonly parameters?: string;
  readonly baseParameters?: string;
  readonly suggest?: boolean;
  readonly suggestTicks?: number;
  readonly suggestSeed?: number;
  readonly by?: string;
  readonly reason?: string;
  readonly html?: string;
  readonly junit?: string;
  readonly markdown?: string;
  readonly sarif?: string;
  readonly failOn?: FailOn;
  readonly details?: number;
  readonly metric?: readonly string[];
  readonly units?: System;
  readonly yes?: boolean;
  readonly json?: boolean;
}

/** Default of --details. */
const DETAILS = 3;

const RULES: readonly FlagRule<Flags>[] = [
  UNITS_RULE,
  METRIC_RULE,
  { flag: 'seed', needs: 'scenario', why: 'the inputs of a vector are recorded' },
  { flag: 'details', excludes: 'json', why: 'the document has all details' },
  ...(['suggestTicks', 'suggestSeed', 'by', 'reason'] as const).map((flag) => ({
    flag,
    needs: 'suggest' as const,
    why: 'it is about its search',
  })),
  { flag: 'by', needs: 'reason', why: 'a new vector needs both' },
  { flag: 'reason', needs: 'by', why: 'a new vector needs both' },
];

type Scenarios = NonNullable<ReviewInputs['scenarios']>;

function readScenarios({ project }: Job, { scenario = [], seed, yes }: Flags): Scenarios {
  return scenario.map((name) => {
    const read = readScenario(project, name);
    checkRuns(read, 1, yes);
    return { scenario: read, choice: { ...defaultSettings(read), seed: seed ?? read.seed } };
  });
}

/** Files that no report may overwrite. */
function inputsOf(vectors: readonly VectorCase[], scenarios: Scenarios, flags: Flags, base: string, head: string): string[] {
  return [
    ...vectors.flatMap(({ caseFile, inputFile, expectedFile }) => [caseFile, inputFile, expectedFile]),
    ...scenarios.flatMap(({ scenario }) => scenario.files),
    ...[flags.parameters, flags.baseParameters, base, head].filter((file) => file !== undefined),
  ];
}

/** Vectors of both sides, and what became of them. */
interface ChosenVectors {
  readonly runs: readonly VectorRun[];
  readonly changes: readonly VectorChange[] | undefined;
}

/** Chooses the vectors to run: all of both sides, if neither vectors nor scenarios are named. */
function chooseVectors({ project }: Job, names: readonly string[], flags: Flags, vectors: SomeVectors): ChosenVectors {
  const isNone = names.length === 0 && flags.scenario !== undefined;
  const { base, head } = vectors;
  return {
    runs: isNone ? [] : vectorRuns(project, names, vectors),
    changes: base === undefined || head === undefined ? undefined : vectorChanges({ base, head }),
  };
}

/** Compares two builds over vectors and scenarios, and adds what was changed between them. */
async function reviewAll(
  job: Job,
  sides: Sides,
  scenarios: Scenarios,
  { runs, changes }: ChosenVectors,
  engine: ReviewEngine,
): Promise<Review> {
  const { project, progress } = job;
  const plant = scenarios.length === 0 ? undefined : await currentPlant(job);
  const count = runs.length + scenarios.length;
  // What a parameter file makes of a vector is nobody's.
  const acceptable = sides.head.parameters === undefined ? runs : runs.map(({ vector }) => ({ vector, onHead: undefined }));
  const inputs = {
    vectors: runs.map(({ vector }) => vector),
    accepted: acceptedVectors(acceptable, changes ?? []),
    scenarios,
    plant,
    withCoverage: true,
  };
  progress.show(`comparing ${count} runs`);
  const found = await reviewBuilds(sides, inputs, engine, (done) => progress.show(`compared ${done} of ${count}`));
  const { base, head } = sides;
  return { ...found, change: sourceChange(base.build, head.build, project.root), vectors: changes };
}

/** How text shows metrics. @throws InputError for a metric that does not exist */
function choiceOf({ units = 'si', metric }: Flags): ReviewChoice {
  const ofReplay = REPLAY_METRICS.map(({ name }) => name);
  return { units, metrics: metricNames(metric, ofReplay) };
}

/** Which runs fail what the user has asked for: the verdicts alone do not say it. */
const failedLine = (failOn: FailOn | undefined, runs: readonly RunReview[]): string =>
  failOn === undefined || runs.length === 0 ? '' : `fails on ${failOn}: ${runs.map(runName).join('; ')}\n`;

/** Adds what `--suggest` finds. */
async function withSuggestion(job: Job, review: Review, sides: Sides, { runs }: ChosenVectors, flags: Flags): Promise<Review> {
  if (flags.suggest !== true) return review;
  const vectors = runs.map(({ vector }) => vector);
  return { ...review, suggestion: await suggestVector(job, review, sides, vectors, flags) };
}

/** Writes the reports that were asked for. */
function writeReports(review: Review, { html, junit, markdown, sarif }: Flags, root: string): void {
  if (html !== undefined) writeAtomic(html, reviewPage(review));
  if (junit !== undefined) writeAtomic(junit, reviewJunit(review));
  if (markdown !== undefined) writeAtomic(markdown, reviewMarkdown(review));
  if (sarif !== undefined) writeAtomic(sarif, reviewSarif(review, folderInRepository(root)));
}

function answerOf(review: Review, flags: Flags): Answer {
  const failing = failingRuns(review, flags.failOn);
  const text = reviewText(reviewIn(review, choiceOf(flags)), flags.details ?? DETAILS) + failedLine(flags.failOn, failing);
  return { text, json: review, passed: failing.length === 0 && review.suggestion?.found === undefined };
}

interface Chosen {
  readonly base: string;
  readonly head: string;
  readonly names: readonly string[];
  readonly scenarios: Scenarios;
}

/** Builds both sides, compares them and writes the reports. @param targets files of the reports */
async function buildAndCompare(
  job: Job,
  flags: Flags,
  { base, head, names, scenarios }: Chosen,
  targets: readonly string[],
  engine: ReviewEngine,
): Promise<Answer> {
  const { project, progress } = job;
  progress.show(`building ${base} and ${head}`);
  const [baseBuild, headBuild] = await Promise.all([findBuild(base, project.root), findBuild(head, project.root)]);
  const sides = { base: sideOf(baseBuild, flags.baseParameters), head: sideOf(headBuild, flags.parameters) };
  const binaries = [baseBuild.file, headBuild.file].flatMap((file) => [file, `${file}.map`]);
  for (const file of targets) refuseOverwritingInput(file, ...binaries);
  const vectors = { base: vectorsOf(baseBuild, project), head: vectorsOf(headBuild, project) };
  try {
    const chosen = chooseVectors(job, names, flags, vectors);
    const review = await withSuggestion(job, await reviewAll(job, sides, scenarios, chosen, engine), sides, chosen, flags);
    writeReports(review, flags, project.root);
    return answerOf(review, flags);
  } finally {
    vectors.base?.close();
    vectors.head?.close();
  }
}

async function compareBuilds(job: Job, flags: Flags, base: string, head: string, names: string[]): Promise<Answer> {
  const { project } = job;
  checkFlags(flags, RULES);
  // A metric that does not exist is said before builds are compiled.
  choiceOf(flags);
  const scenarios = readScenarios(job, flags);
  const { html, junit, markdown, sarif } = flags;
  const targets = [html, junit, markdown, sarif].filter((file) => file !== undefined);
  refuseSameTarget(...targets);
  // What is wrong with them is said before builds are compiled.
  const isAll = names.length === 0 && scenarios.length === 0;
  const known = readKnown(project, isAll ? vectorNames(project) : names, [base, head]);
  for (const file of targets) refuseOverwritingInput(file, ...inputsOf(known, scenarios, flags, base, head));
  // Its threads start while builds are compiled and files are read.
  const engine = reviewEngine(known.length + scenarios.length);
  try {
    return await buildAndCompare(job, flags, { base, head, names, scenarios }, targets, engine);
  } finally {
    await engine.close();
  }
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
