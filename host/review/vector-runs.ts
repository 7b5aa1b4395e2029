import type { Project } from '../common/project.js';
import { isVectorPath, readVector, type VectorCase, vectorNames } from '../vector/vector.js';
import type { VectorChange } from './review.js';
import type { SideVectors } from './side-vectors.js';
import { readVersion, renamedVectors } from './vector-changes.js';

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
  const hasSame = (file: 'case.yaml' | 'input.mcap'): boolean => base.id(baseName, file) === head.id(name, file);
  const hasSameInputs = hasSame('input.mcap');
  if (own !== undefined && hasSameInputs && hasSame('case.yaml')) return runs;
  const before = readVersion(base, baseName);
  if (typeof before === 'string') return runs;
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

/**
 * The vectors whose accepted outputs head should compute, by the names of the runs; null where there is none. A vector as base has it
 * counts as accepted with a later acceptance of it on head.
 */
export const acceptedVectors = (runs: readonly VectorRun[], changes: readonly VectorChange[]): Map<string, VectorCase | null> =>
  new Map(
    runs.map(({ vector, onHead }) => {
      const isAccepted = vector === onHead || changes.some(({ name, accepted }) => name === onHead?.name && accepted.length > 0);
      return [vector.name, isAccepted ? (onHead ?? null) : null];
    }),
  );
