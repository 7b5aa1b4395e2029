import type { SourceTree } from '../../build/sources.js';
import { align } from './align.js';

/** Matching lines of two versions of a file. */
export interface LineMatch {
  /** Lines of head that base does not have, from 1; if lines were only removed, the line that follows. */
  readonly changed: ReadonlySet<number>;
  /** Lines of base that head does not have, and of head that base does not have. */
  readonly removed: ReadonlySet<number>;
  readonly added: ReadonlySet<number>;
  /** Line of base → line of head; a removed line maps to the line in its place. */
  readonly headOf: ReadonlyMap<number, number>;
}

export function matchLines(base: string, head: string): LineMatch {
  const changed = new Set<number>();
  const removed = new Set<number>();
  const added = new Set<number>();
  const headOf = new Map<number, number>();
  let next = 1;
  for (const [at, other] of align(base.split('\n'), head.split('\n'))) {
    if (at === undefined || other === undefined) changed.add(other === undefined ? next : other + 1);
    if (at !== undefined) headOf.set(at + 1, next);
    if (at !== undefined && other === undefined) removed.add(at + 1);
    if (at === undefined) added.add(other + 1);
    if (other !== undefined) next = other + 2;
  }
  return { changed, removed, added, headOf };
}

/** Whether a line of base and one of head are the same, or in the same changed place. */
export function isSameLine({ changed, headOf }: LineMatch, base: number, head: number): boolean {
  const first = headOf.get(base) ?? 0;
  if (first === head) return true;
  if (first > head) return false;
  for (let line = first; line <= head; line++) if (!changed.has(line)) return false;
  return true;
}

/** Matches of the files that both trees have, without those that are equal. */
export function matchSources(base: SourceTree, head: SourceTree): ReadonlyMap<string, LineMatch> {
  const matches = new Map<string, LineMatch>();
  for (const [file, text] of head) {
    const before = base.get(file);
    if (before !== undefined && before !== text) matches.set(file, matchLines(before, text));
  }
  return matches;
}

/** Names in the initial value of the constant that a line declares. */
export const namesInValue = (line: string): string[] =>
  line
    .replace(/^.*?=/, '')
    .replace(/\/\/.*/, '')
    .match(/[A-Za-z_$][\w$]*/g) ?? [];

/** Line that declares a constant of a module, from 1; undefined if it is not found. Comments are skipped. */
export function declarationLine(text: string, name: string): number | undefined {
  const index = text.split('\n').findIndex((line) => line.match(/^(?:export\s+)?const\s+([\w$]+)/)?.[1] === name);
  return index < 0 ? undefined : index + 1;
}
