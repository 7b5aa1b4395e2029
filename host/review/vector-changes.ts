import { InputError } from '../common/input-error.js';
import { openRecording } from '../recording/reader.js';
import type { Controller } from '../runner/wasm-runner.js';
import type { Acceptance } from '../vector/acceptance.js';
import { compareHistories } from '../vector/history.js';
import { computesAccepted } from '../vector/replay-vector.js';
import { acceptanceProblem, type VectorCase } from '../vector/vector.js';
import type { AcceptanceFacts, VectorChange, VectorDifference } from './review.js';
import type { SideVectors } from './side-vectors.js';

/** The vectors of both sides of a review. */
export interface BothVectors {
  readonly base: SideVectors;
  readonly head: SideVectors;
}

export const factsOf = ({ date, by, committer, reason, signals }: Acceptance): AcceptanceFacts => ({
  date,
  by,
  committer,
  reason,
  signals,
});

/** The acceptance of what a controller computes for a vector; null if nobody has accepted that. */
export function acceptanceOf(controller: Controller, vector: VectorCase): AcceptanceFacts | null {
  try {
    const last = vector.acceptances?.at(-1);
    return last !== undefined && computesAccepted(controller, vector) ? factsOf(last) : null;
  } catch (error) {
    if (error instanceof InputError) return null;
    throw error;
  }
}

const TEXTS = ['title', 'why', 'origin', 'rows', 'tickHz'] as const;

/** What differs between two versions of a vector, besides accepted outputs. */
function differencesOf(base: VectorCase, head: VectorCase, hasOtherInputs: boolean): VectorDifference[] {
  const texts = TEXTS.flatMap((what): VectorDifference[] =>
    base[what] === head[what] ? [] : [{ what, base: String(base[what]), head: String(head[what]) }],
  );
  const [before, after] = [base.parameters ?? {}, head.parameters ?? {}];
  const text = (value: number | string | undefined): string | undefined => (value === undefined ? undefined : String(value));
  const parameters = [...new Set([...Object.keys(before), ...Object.keys(after)])].flatMap((name): VectorDifference[] =>
    before[name] === after[name] ? [] : [{ what: 'parameter', name, base: text(before[name]), head: text(after[name]) }],
  );
  return [...texts, ...(hasOtherInputs ? [{ what: 'inputs' } as const] : []), ...parameters];
}

/** Reads a version of a vector and opens its inputs. Returns what is wrong with one that is invalid. */
export function readVersion(side: SideVectors, name: string): VectorCase | string {
  try {
    const read = side.read(name);
    openRecording(read.inputFile);
    return read;
  } catch (error) {
    if (error instanceof InputError) return error.details.problem;
    throw error;
  }
}

/** A vector on one side only. */
function onOneSide(side: SideVectors, name: string, change: 'added' | 'removed'): VectorChange {
  const read = readVersion(side, name);
  if (typeof read === 'string') return { name, title: '', change, differences: [], accepted: [], problems: [read] };
  const problem = change === 'added' ? acceptanceProblem(read)?.details.problem : undefined;
  const accepted = change === 'added' ? (read.acceptances ?? []).map(factsOf) : [];
  return { name, title: read.title, change, differences: [], accepted, problems: problem === undefined ? [] : [problem] };
}

/** A vector on both sides; undefined if nothing but its formatting differs. */
function onBothSides({ base, head }: BothVectors, baseName: string, name: string): VectorChange | undefined {
  const isRenamed = baseName !== name;
  const isSame = (file: 'case.yaml' | 'expected.csv' | 'input.mcap'): boolean => base.id(baseName, file) === head.id(name, file);
  if (!isRenamed && isSame('case.yaml') && isSame('expected.csv') && isSame('input.mcap')) return undefined;
  const [before, after] = [readVersion(base, baseName), readVersion(head, name)];
  const renamed = isRenamed ? { baseName } : {};
  if (typeof before === 'string' || typeof after === 'string') {
    const problems = [typeof before === 'string' ? `base: ${before}` : '', typeof after === 'string' ? after : ''].filter(Boolean);
    const title = typeof after === 'string' ? '' : after.title;
    return { name, title, change: isRenamed ? 'renamed' : 'changed', ...renamed, differences: [], accepted: [], problems };
  }
  const differences = differencesOf(before, after, !isSame('input.mcap'));
  const history = compareHistories(before.acceptances ?? [], after.acceptances ?? []);
  const problem = acceptanceProblem(after)?.details.problem;
  const problems = [...history.problems, ...(problem === undefined ? [] : [problem])];
  if (!isRenamed && differences.length + problems.length + history.added.length === 0) return undefined;
  const isAccepted = differences.length + problems.length === 0;
  const change = isRenamed ? 'renamed' : isAccepted ? 'accepted' : 'changed';
  return { name, title: after.title, change, ...renamed, differences, accepted: history.added.map(factsOf), problems };
}

/** Vectors of head that base has under another name, with the same inputs: name → its name on base. */
export function renamedVectors({ base, head }: BothVectors): Map<string, string> {
  const gone = new Map(
    base.names.filter((name) => !head.names.includes(name)).flatMap((name) => [[base.id(name, 'input.mcap') ?? name, name]]),
  );
  return new Map(
    head.names.flatMap((name): [string, string][] => {
      const other = base.names.includes(name) ? undefined : gone.get(head.id(name, 'input.mcap') ?? '');
      return other === undefined ? [] : [[name, other]];
    }),
  );
}

/** What became of the vectors between base and head, by name; those that are the same are not listed. */
export function vectorChanges(sides: BothVectors): VectorChange[] {
  const { base, head } = sides;
  const renamed = renamedVectors(sides);
  const wereRenamed = new Set(renamed.values());
  const changes = head.names.flatMap((name): VectorChange[] => {
    const baseName = base.names.includes(name) ? name : renamed.get(name);
    const change = baseName === undefined ? onOneSide(head, name, 'added') : onBothSides(sides, baseName, name);
    return change === undefined ? [] : [change];
  });
  const removed = base.names.filter((name) => !head.names.includes(name) && !wereRenamed.has(name));
  return [...changes, ...removed.map((name) => onOneSide(base, name, 'removed'))].sort((a, b) => (a.name < b.name ? -1 : 1));
}
