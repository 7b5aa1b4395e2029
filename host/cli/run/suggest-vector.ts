import { relative } from 'node:path';
import { InputError } from '../../common/input-error.js';
import { identifyRun } from '../../contract/run-identity.js';
import type { Review, Suggestion } from '../../review/review.js';
import type { Sides } from '../../review/review-task.js';
import { classText } from '../../review/shrink/difference-class.js';
import type { Shrunk } from '../../review/shrink/shrink.js';
import { addShrunkVector, defaultName, type Subject, shrinkSubject } from '../../review/shrink/shrink-vector.js';
import { type SearchResult, suggestForReview } from '../../review/suggest/suggest-for-review.js';
import { readScenario, scenarioNames } from '../../simulate/scenario.js';
import { newVectorFolder } from '../../vector/add.js';
import { readVector, type VectorCase, vectorNames } from '../../vector/vector.js';
import { type Job, today } from '../context.js';
import { currentPlant } from './binaries.js';

/** Ticks of all rows: about twenty seconds. */
const ROW_TICKS = 12_000_000;
const SEED = 1;

interface Flags {
  readonly suggestTicks?: number;
  readonly suggestSeed?: number;
  readonly by?: string;
  readonly reason?: string;
}

/** Writes the vector if it is to be kept. Returns where it is. */
function keep({ project, cwd }: Job, subject: Subject, shrunk: Shrunk, { by, reason }: Flags): string | undefined {
  if (by === undefined || reason === undefined) return undefined;
  const folder = newVectorFolder(project, defaultName(subject));
  addShrunkVector(subject, shrunk, folder, { by, reason, date: today() });
  return relative(cwd, folder);
}

/** Shrinks what was found, so that it can be understood and kept. */
function shrinkFound(job: Job, { against }: SearchResult, subject: Subject, flags: Flags): Pick<Suggestion, 'reason' | 'found'> {
  const { inputs, difference, vector, accepted } = subject;
  const found = {
    against,
    verdict: difference.class.kind,
    difference: classText(difference.class),
    from: vector.name,
    ranWith: identifyRun(subject.builds.head.controller.description.contract, vector.values),
  };
  job.progress.show('shrinking what was found');
  try {
    const shrunk = shrinkSubject(subject, true, (step, ticks) => job.progress.show(`shrinking: ${step}, ${ticks} ticks left`));
    const kept = keep(job, subject, shrunk, flags);
    const sizes = { before: { rows: inputs.layout.rows, ticks: shrunk.before.ticks }, after: shrunk.after };
    return { found: { ...found, shrunk: sizes, vector: kept, accepts: accepted === 'base' ? against : accepted } };
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    return { reason: error.message, found };
  }
}

/**
 * Looks for inputs that show what no run of a review shows, and makes a vector of them if asked to.
 * @param named vectors of the review, which need not be in the project
 */
export async function suggestVector(
  job: Job,
  review: Review,
  sides: Sides,
  named: readonly VectorCase[],
  flags: Flags,
): Promise<Suggestion> {
  const { project, progress } = job;
  const { suggestTicks: rowTicks = ROW_TICKS, suggestSeed: seed = SEED } = flags;
  const all = [...named, ...vectorNames(project).map((name) => readVector(project, name))];
  const vectors = [...new Map(all.map((vector) => [vector.inputFile, vector])).values()];
  const scenarios = scenarioNames(project).map((name) => readScenario(project, name));
  const input = { vectors, scenarios, plant: await currentPlant(job), seed, rowTicks };
  const result = await suggestForReview(review, sides, input, (share) => progress.show(`looking for inputs: ${Math.round(100 * share)} %`));
  if (typeof result === 'string') return { edits: [], seed, tried: 0, rowTicks: 0, reason: result };
  const facts = { edits: result.edits, seed, tried: result.tried, rowTicks: result.rowTicks };
  return result.subject === undefined ? facts : { ...facts, ...shrinkFound(job, result, result.subject, flags) };
}
