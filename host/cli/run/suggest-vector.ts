import { relative } from 'node:path';
import { InputError } from '../../common/input-error.js';
import { shellWord } from '../../common/shell-word.js';
import { identifyRun } from '../../contract/run-identity.js';
import { parametersText } from '../../report/form/run-identity.js';
import { counted, grouped } from '../../report/form/text-table.js';
import type { Review } from '../../review/review.js';
import type { Sides } from '../../review/review-task.js';
import { classText } from '../../review/shrink/difference-class.js';
import type { Shrunk } from '../../review/shrink/shrink.js';
import { addShrunkVector, defaultName, type Subject, shrinkSubject } from '../../review/shrink/shrink-vector.js';
import { type ReviewSuggestion, suggestForReview } from '../../review/suggest/suggest-for-review.js';
import { readScenario, scenarioNames } from '../../simulate/scenario.js';
import { newVectorFolder } from '../../vector/add.js';
import { readVector, type VectorCase, vectorNames } from '../../vector/vector.js';
import { type Job, today } from '../context.js';
import { currentPlant } from './binaries.js';

/** Ticks of all rows: about ten seconds. */
const ROW_TICKS = 6_000_000;
const SEED = 1;

interface Flags {
  readonly suggestTicks?: number;
  readonly suggestSeed?: number;
  readonly by?: string;
  readonly reason?: string;
}

/** What a search for inputs came to. */
export interface SuggestAnswer {
  readonly isFound: boolean;
  readonly text: string;
  readonly json: object;
}

const placesOf = ({ edits }: ReviewSuggestion): string =>
  edits
    .flatMap(({ lines }) => lines)
    .map(({ file, head }) => `${file}:${head.from}`)
    .join(', ');

/** Writes the vector if it is to be kept. Returns where it is, and how to look at it or keep it. */
function keep({ project, cwd }: Job, subject: Subject, shrunk: Shrunk, { by, reason }: Flags): { text: string; vector?: string } {
  if (by === undefined || reason === undefined) return { text: 'to keep it as a vector, add --by NAME --reason TEXT' };
  const name = defaultName(subject);
  const folder = newVectorFolder(project, name);
  addShrunkVector(subject, shrunk, folder, { by, reason, date: today() });
  const vector = relative(cwd, folder);
  const { base, head } = subject.builds;
  const compare = [base?.name ?? '', head.name, name].map(shellWord).join(' ');
  return { text: `${vector} written; the outputs of base are accepted\nnpx latchbench compare ${compare}`, vector };
}

/** Shrinks what was found, so that it can be understood and kept. */
function tell(job: Job, found: ReviewSuggestion, subject: Subject, flags: Flags, seed: number): SuggestAnswer {
  const { inputs, difference, vector } = subject;
  job.progress.show('shrinking what was found');
  let shrunk: Shrunk;
  try {
    shrunk = shrinkSubject(subject, true, (step, ticks) => job.progress.show(`shrinking: ${step}, ${ticks} ticks left`));
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    const text = `the builds differ: ${classText(difference.class)}, but it makes no vector: ${error.message}\n`;
    return { isFound: true, text, json: { difference, from: vector.name, seed } };
  }
  const { parameters } = identifyRun(subject.builds.head.controller.description.contract, vector.values);
  const kept = keep(job, subject, shrunk, flags);
  const { before, after } = shrunk;
  const text = [
    `the builds differ: ${classText(difference.class)}; found with ${counted(found.tried, 'input')}, seed ${seed}, from ${vector.name}`,
    `  shrunk from ${grouped(before.ticks)} to ${counted(after.ticks, 'tick')}, from ${inputs.layout.rows} to ${counted(after.rows, 'row')}`,
    `  ${parametersText(parameters)}`,
    `  ${kept.text.replace('\n', '\n  ')}`,
    '',
  ].join('\n');
  return {
    isFound: true,
    text,
    json: { difference, from: vector.name, parameters: vector.parameters, seed, before, after, vector: kept.vector },
  };
}

/**
 * Looks for inputs that show what no run of a review shows, and makes a vector of them if asked to.
 * @param named vectors of the review, which need not be in the project
 * @throws InputError if the vector cannot be written
 */
export async function suggestVector(
  job: Job,
  review: Review,
  sides: Sides,
  named: readonly VectorCase[],
  flags: Flags,
): Promise<SuggestAnswer> {
  const { project, progress } = job;
  const { suggestTicks: rowTicks = ROW_TICKS, suggestSeed: seed = SEED } = flags;
  const all = [...named, ...vectorNames(project).map((name) => readVector(project, name))];
  const vectors = [...new Map(all.map((vector) => [vector.inputFile, vector])).values()];
  const scenarios = scenarioNames(project).map((name) => readScenario(project, name));
  const input = { vectors, scenarios, plant: await currentPlant(job), seed, rowTicks };
  const found = await suggestForReview(review, sides, input, (share) => progress.show(`looking for inputs: ${Math.round(100 * share)} %`));
  if (typeof found === 'string') return { isFound: false, text: `nothing to look for: ${found}\n`, json: { reason: found } };
  if (found.subject !== undefined) return tell(job, found, found.subject, flags, seed);
  const tried = `${grouped(found.tried)} inputs, ${grouped(found.rowTicks)} ticks of rows, seed ${seed}`;
  const text = `no inputs were found on which the builds differ by ${placesOf(found)}: ${tried}. --suggest-ticks looks further, --suggest-seed elsewhere.\n`;
  return { isFound: false, text, json: { tried: found.tried, rowTicks: found.rowTicks, seed, edits: found.edits } };
}
