import { join } from 'node:path';
import { abbreviated } from '../../common/hash.js';
import { InputError } from '../../common/input-error.js';
import { makeTemporaryFolder, removeTemporaryFolder } from '../../common/unfinished.js';
import { describeContract } from '../../contract/contract.js';
import { checkFits } from '../../replay/replay.js';
import type { AcceptanceResult, Approval } from '../../vector/accept.js';
import { addVector } from '../../vector/add.js';
import type { VectorCase } from '../../vector/vector.js';
import type { Build } from '../builds.js';
import { configOf } from '../review-task.js';
import { classSlug, classText } from './difference-class.js';
import { type InputBuffer, readInputs, writeInputs } from './input-buffer.js';
import { type OnStep, type Shrunk, shrink } from './shrink.js';
import { type FoundDifference, type SideName, Trials } from './trial.js';

/** Builds whose difference is to be kept; without base, a stop of head. */
export interface ShrinkBuilds {
  readonly base?: Build | undefined;
  readonly head: Build;
}

/** What to shrink, and the difference that it shows. */
export interface Subject {
  readonly vector: VectorCase;
  readonly builds: ShrinkBuilds;
  readonly inputs: InputBuffer;
  readonly difference: FoundDifference;
  readonly trials: Trials;
  /** Side whose outputs the new vector accepts; undefined if neither can be. */
  readonly accepted: SideName | undefined;
}

/**
 * This checkout will replay the new vector, so its outputs must come from a build with the same contract that runs to the end; from
 * base if possible.
 */
function acceptedSide({ class: found }: FoundDifference, builds: ShrinkBuilds): SideName | undefined {
  const { hash } = describeContract();
  const isPossible = (side: SideName): boolean => {
    const hasStopped = found.kind === 'stopped' && (found.side === side || found.side === 'both');
    return builds[side]?.controller.description.contract.hash === hash && !hasStopped;
  };
  return (['base', 'head'] as const).find(isPossible);
}

function nothingToShrink(file: string, hasBase: boolean): InputError {
  if (hasBase) return new InputError({ file, problem: 'the builds do not differ on this vector' });
  return new InputError({
    file,
    problem: 'the controller does not stop on this vector',
    hint: 'Give a build to compare with: --against BUILD',
  });
}

/**
 * Finds the difference that a vector shows.
 * @param tries number of runs that may be spent on shrinking
 * @param onRun called before each of them
 * @throws InputError if there is nothing to shrink, or the recording is damaged
 */
export function subjectOf(vector: VectorCase, builds: ShrinkBuilds, tries: number, onRun?: (count: number) => void): Subject {
  const inputs = readInputs(vector.inputFile, describeContract());
  checkFits(vector.inputFile, { rows: inputs.layout.rows, tickHz: inputs.tickHz }, vector);
  return subjectWith(vector, builds, inputs, tries, onRun);
}

/** The difference that inputs show. `vector` says what they come from, and with which parameters they run. @throws InputError as `subjectOf` */
export function subjectWith(
  vector: VectorCase,
  builds: ShrinkBuilds,
  inputs: InputBuffer,
  tries: number,
  onRun?: (count: number) => void,
): Subject {
  const config = (build: Build) => configOf({ build }, vector.values);
  const base = builds.base === undefined ? undefined : config(builds.base);
  const trials = new Trials({ base, head: config(builds.head) }, tries, onRun);
  const difference = trials.find(inputs);
  if (difference === undefined) throw nothingToShrink(vector.caseFile, base !== undefined);
  if (difference.class.kind === 'stopped' && difference.class.side === 'both') {
    const problem = `both builds stop at tick ${difference.tick}, so there is no difference to shrink`;
    throw new InputError({ file: vector.caseFile, problem, hint: 'To shrink the stop of one build, leave out --against' });
  }
  return { vector, builds, inputs, difference, trials, accepted: acceptedSide(difference, builds) };
}

/** Default name of the new vector. */
export const defaultName = ({ vector, difference }: Subject): string =>
  `${vector.name
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, '-')
    .replace(/^-|-$/g, '')}-${classSlug(difference.class)}-shrunk`;

/**
 * Shrinks the inputs.
 * @param isForVector whether they become a vector: then the accepted side must show a significant change
 * @throws InputError if no side's outputs can be accepted, or nothing changes in them
 */
export function shrinkSubject({ vector, inputs, difference, trials, accepted }: Subject, isForVector: boolean, onStep: OnStep): Shrunk {
  const hint = 'To write the inputs without a vector, use -o FILE';
  if (isForVector && accepted === undefined) {
    const problem = 'there are no outputs to accept, because no build runs to the end with the contract of this checkout';
    throw new InputError({ file: vector.caseFile, problem, hint });
  }
  const shrunk = shrink(inputs, difference, isForVector ? accepted : undefined, trials, onStep);
  if (shrunk !== undefined) return shrunk;
  const problem = `no stroke, mode or fault of ${accepted} changes after the start`;
  throw new InputError({ file: vector.caseFile, problem, hint });
}

/** Maximum length of an origin. */
const ORIGIN_MAX = 2000;

const originOf = ({ vector }: Subject): string => `Shrunk from ${vector.name}, whose origin is: ${vector.origin}`.slice(0, ORIGIN_MAX);

/** Writes the inputs without a vector. @throws InputError if the file cannot be written */
export function writeShrunk(file: string, subject: Subject, { inputs, class: found }: Shrunk): void {
  writeInputs(file, inputs, describeContract(), { title: classText(found), source: originOf(subject) });
}

/** A name of a build that stays valid when branches move. */
function lastingName({ name, commit, controller }: Build): string {
  if (commit === undefined) return `sources ${abbreviated(controller.description.sourceHash)}`;
  return `${name} (${abbreviated(commit)})`;
}

/** Makes a vector of the shrunk inputs and the accepted side's outputs in a new folder. @throws InputError if the folder exists */
export function addShrunkVector(subject: Subject, shrunk: Shrunk, folder: string, approval: Approval): AcceptanceResult {
  const { vector, builds, accepted } = subject;
  const { controller } = builds[accepted ?? 'head'] ?? builds.head;
  const temporary = makeTemporaryFolder('latchbench-');
  try {
    const recording = join(temporary, 'input.mcap');
    writeShrunk(recording, subject, shrunk);
    const between = builds.base === undefined ? '' : ` between ${lastingName(builds.base)} and ${lastingName(builds.head)}`;
    const why = `Minimal inputs that show this difference${between}.`;
    const title = `${classText(shrunk.class)}, shrunk from ${vector.name}`;
    return addVector(controller, { folder, recording, title, why, origin: originOf(subject), parameters: vector.parameters }, approval);
  } finally {
    removeTemporaryFolder(temporary);
  }
}
