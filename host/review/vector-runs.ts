import { InputError } from '../common/input-error.js';
import type { Project } from '../common/project.js';
import type { Controller } from '../runner/wasm-runner.js';
import { replayVector } from '../vector/replay-vector.js';
import { isVectorPath, readVector, type VectorCase, vectorNames } from '../vector/vector.js';
import type { AcceptanceFacts, Review, RunReview, VectorChange } from './review.js';
import type { SideVectors } from './side-vectors.js';
import { factsOf, readVersion, renamedVectors } from './vector-changes.js';

/** A vector to run on both builds. */
export interface VectorRun {
  readonly vector: VectorCase;
  /** The same vector as head has it, whose accepted outputs count; undefined if head has none. */
  readonly onHead: VectorCase | undefined;
}

/** The vectors of the sides that have some. */
export interface SomeVectors {
  readonly base: SideVectors | undefined;
  readonly head: SideVectors | undefined;
}

const hasSameRun = (one: VectorCase, other: VectorCase): boolean =>
  one.rows === other.rows && JSON.stringify(sortedValues(one)) === JSON.stringify(sortedValues(other));

const sortedValues = ({ values }: VectorCase): unknown => Object.entries(values).sort(([a], [b]) => (a < b ? -1 : 1));

/** Runs of a name: the vector of head, and that of base if head does not have it or has changed what it runs. */
function runsOf(project: Project, { base, head }: SomeVectors, name: string, baseName: string): VectorRun[] {
  const isOnHead = head?.names.includes(name) ?? false;
  const isOnBase = base?.names.includes(baseName) ?? false;
  const onHead = isOnHead && head !== undefined ? head.read(name) : undefined;
  const isGone = onHead === undefined && isOnBase && head !== undefined;
  const own = isGone ? undefined : (onHead ?? readVector(project, name));
  const runs = own === undefined ? [] : [{ vector: own, onHead: own }];
  if (base === undefined || !isOnBase || head === undefined) return runs;
  const before = readVersion(base, baseName);
  if (typeof before === 'string') return runs;
  const hasSameInputs = base.id(baseName, 'input.mcap') === head.id(name, 'input.mcap');
  if (own !== undefined && hasSameInputs && hasSameRun(before, own)) return runs;
  return [...runs, { vector: { ...before, name: `${baseName} (as in base)` }, onHead: own }];
}

/**
 * The vectors to run: those that are named, or all of both sides. A vector that head does not have, or with other inputs or
 * parameters, runs as base has it too: otherwise a change could pass with the vector that shows it.
 * @throws InputError if a name is unknown, or a vector of head is invalid
 */
export function vectorRuns(project: Project, names: readonly string[], sides: SomeVectors): VectorRun[] {
  const { base, head } = sides;
  const renamed = base === undefined || head === undefined ? new Map<string, string>() : renamedVectors({ base, head });
  const wereRenamed = new Set(renamed.values());
  const all = new Set([...(head?.names ?? vectorNames(project)), ...(base?.names ?? []).filter((name) => !wereRenamed.has(name))]);
  return (names.length > 0 ? names : [...all].sort()).flatMap((name) => {
    if (!isVectorPath(name)) return runsOf(project, sides, name, renamed.get(name) ?? name);
    const vector = readVector(project, name);
    return [{ vector, onHead: vector }];
  });
}

/** The acceptance of what a controller computes for a vector; null if nobody has accepted that. */
function acceptanceOf(controller: Controller, vector: VectorCase): AcceptanceFacts | null {
  try {
    const last = vector.acceptances?.at(-1);
    return last !== undefined && replayVector(controller, vector).verdict === 'same' ? factsOf(last) : null;
  } catch (error) {
    if (error instanceof InputError) return null;
    throw error;
  }
}

/**
 * Adds to each vector's run that differs who accepted what head computes. A vector as base has it counts as accepted with a later
 * acceptance of it on head. Runs with a parameter file are nobody's.
 */
export function addAcceptances(
  review: Review,
  runs: readonly VectorRun[],
  changes: readonly VectorChange[],
  head: Controller,
): readonly RunReview[] {
  const byName = new Map(runs.map((run) => [run.vector.name, run]));
  return review.runs.map((run) => {
    const known = byName.get(run.name);
    if (run.kind !== 'vector' || run.verdict === 'same' || known === undefined) return run;
    const { vector, onHead } = known;
    const isOfBase = vector !== onHead;
    const isAccepted = !isOfBase || changes.some(({ name, accepted }) => name === onHead?.name && accepted.length > 0);
    const isOwn = onHead !== undefined && isAccepted && review.head.parameters === undefined;
    return { ...run, acceptance: isOwn ? acceptanceOf(head, onHead) : null };
  });
}
