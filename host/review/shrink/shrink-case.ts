import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { InputError } from '../../common/input-error.js';
import { describeContract } from '../../contract/contract.js';
import type { AcceptanceResult, Approval } from '../../vector/accept.js';
import { addVector } from '../../vector/add.js';
import type { VectorCase } from '../../vector/vector.js';
import type { Build } from '../builds.js';
import { choiceOf } from '../compare.js';
import { classSlug, classText } from './difference-class.js';
import { type HeldInputs, readHeld, writeHeld } from './held-inputs.js';
import { type OnStep, type Shrunk, shrink } from './shrink.js';
import { type Shown, type SideName, Trials } from './trial.js';

/** Builds whose difference is to be kept; without an old one, a stop of the new one. */
export interface ShrinkBuilds {
  readonly old?: Build | undefined;
  readonly new: Build;
}

/** What is to be shrunk, and what it shows as it is. */
export interface Subject {
  readonly one: VectorCase;
  readonly builds: ShrinkBuilds;
  readonly held: HeldInputs;
  readonly shown: Shown;
  readonly trials: Trials;
  /** Side whose outputs a new vector would accept; undefined if neither will do. */
  readonly accepted: SideName | undefined;
}

/**
 * A vector's outputs are replayed by this checkout, so they must be those of a build with its contract; those of the old one where
 * possible, and of a side that ran to the end.
 */
function acceptedSide({ class: found }: Shown, builds: ShrinkBuilds): SideName | undefined {
  const { hash } = describeContract();
  const isSound = (side: SideName): boolean => {
    const hasStopped = found.kind === 'stopped' && (found.side === side || found.side === 'both');
    return builds[side]?.controller.description.contract.hash === hash && !hasStopped;
  };
  return (['old', 'new'] as const).find(isSound);
}

/**
 * Looks at a vector as it is.
 * @param tries runs that may be spent on it
 * @param onRun told of each of them
 * @throws InputError when there is nothing to shrink, or the recording is not in order
 */
export function subjectOf(one: VectorCase, builds: ShrinkBuilds, tries: number, onRun?: (count: number) => void): Subject {
  const held = readHeld(one.inputFile, describeContract());
  const { rows } = held.layout;
  if (rows !== one.rows) throw new InputError({ file: one.inputFile, what: 'rows', value: rows, allowed: `${one.rows}, as the case says` });
  const choice = (build: Build) => choiceOf({ build }, one.values);
  const old = builds.old === undefined ? undefined : choice(builds.old);
  const trials = new Trials({ old, new: choice(builds.new) }, tries, onRun);
  const shown = trials.look(held);
  if (shown === undefined) {
    const what = old === undefined ? 'no stop of the controller to shrink' : 'no difference to shrink';
    const allowed = old === undefined ? 'a vector over which it stops, or --against BUILD' : 'a vector over which the builds differ';
    throw new InputError({ file: one.caseFile, what, allowed });
  }
  if (shown.class.kind === 'stopped' && shown.class.side === 'both') {
    const what = `both builds stop at tick ${shown.tick}: no difference to shrink`;
    throw new InputError({ file: one.caseFile, what, allowed: 'a stop by itself: without --against' });
  }
  return { one, builds, held, shown, trials, accepted: acceptedSide(shown, builds) };
}

/** Name of the new vector if none is given. */
export const usualName = ({ one, shown }: Subject): string =>
  `${one.name
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, '-')
    .replace(/^-|-$/g, '')}-${classSlug(shown.class)}-shrunk`;

/**
 * Shrinks for a vector, or for the recording alone, where no side needs to tell anything of itself.
 * @throws InputError when no side's outputs can be accepted, or they prove nothing
 */
export function shrinkSubject({ one, held, shown, trials, accepted }: Subject, isForCase: boolean, onStep: OnStep): Shrunk {
  const inputsOnly = '-o FILE, for the inputs alone';
  if (isForCase && accepted === undefined) {
    const what = 'no build that runs to the end and has the contract of this checkout, so no outputs to accept';
    throw new InputError({ file: one.caseFile, what, allowed: inputsOnly });
  }
  const shrunk = shrink(held, shown, isForCase ? accepted : undefined, trials, onStep);
  if (shrunk !== undefined) return shrunk;
  const what = `no stroke and no change of a mode or fault of the ${accepted} side after the start`;
  throw new InputError({ file: one.caseFile, what, allowed: inputsOnly });
}

const WORDS_MOST = 2000;
/** Digits of a hash that are enough for people. */
const SHORT = 10;

/** What is said of the result. */
const originOf = ({ one }: Subject): string => `Shrunk from ${one.name}. Origin of that: ${one.origin}`.slice(0, WORDS_MOST);

/** Writes the inputs alone. @throws InputError when the file can't be written */
export function writeShrunk(file: string, subject: Subject, { held, class: found }: Shrunk): void {
  writeHeld(file, held, describeContract(), { title: classText(found), source: originOf(subject) });
}

/** A build as it will still be known by when names have moved on. */
function lastingName({ asked, commit, controller }: Build): string {
  return commit === undefined ? `sources ${controller.description.sourceHash.slice(0, SHORT)}` : `${asked} (${commit.slice(0, SHORT)})`;
}

/** Makes a vector of the shrunk inputs with the accepted side's outputs. @throws InputError when the name is taken or no name */
export function addShrunkCase(subject: Subject, shrunk: Shrunk, folder: string, approval: Approval): AcceptanceResult {
  const { one, builds, accepted } = subject;
  const { controller } = builds[accepted ?? 'new'] ?? builds.new;
  const temporary = mkdtempSync(join(tmpdir(), 'latchbench-'));
  try {
    const recording = join(temporary, 'input.mcap');
    writeShrunk(recording, subject, shrunk);
    const against = builds.old === undefined ? '' : ` between ${lastingName(builds.old)} and ${lastingName(builds.new)}`;
    const why = `Inputs cut down as far as was found until they show little but this difference${against}.`;
    const title = `${classText(shrunk.class)}, shrunk from ${one.name}`;
    return addVector(controller, { folder, recording, title, why, origin: originOf(subject), parameters: one.parameters }, approval);
  } finally {
    rmSync(temporary, { recursive: true, force: true });
  }
}
