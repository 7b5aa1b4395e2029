import type { SourceTree } from '../../build/sources.js';
import { align } from './align.js';

/** Which lines of two versions of a file belong together. */
export interface LineMatch {
  /** Lines of the new version that the old one has not, from 1; where lines were only taken away, the one that follows. */
  readonly changed: ReadonlySet<number>;
  /** The old version's line → the new version's; a line that was taken away goes to the one in its place. */
  readonly newOf: ReadonlyMap<number, number>;
}

export function matchLines(old: string, fresh: string): LineMatch {
  const changed = new Set<number>();
  const newOf = new Map<number, number>();
  let next = 1;
  for (const [at, other] of align(old.split('\n'), fresh.split('\n'))) {
    if (at === undefined || other === undefined) changed.add(other === undefined ? next : other + 1);
    if (at !== undefined) newOf.set(at + 1, next);
    if (other !== undefined) next = other + 2;
  }
  return { changed, newOf };
}

/** Whether a line of the old version and one of the new are the same, or stand in the same changed place. */
export function isSameLine({ changed, newOf }: LineMatch, old: number, fresh: number): boolean {
  const begin = newOf.get(old) ?? 0;
  if (begin === fresh) return true;
  if (begin > fresh) return false;
  for (let line = begin; line <= fresh; line++) if (!changed.has(line)) return false;
  return true;
}

/** Matches of the files that both trees have and that are not the same. */
export function matchSources(old: SourceTree, fresh: SourceTree): ReadonlyMap<string, LineMatch> {
  const matches = new Map<string, LineMatch>();
  for (const [file, text] of fresh) {
    const before = old.get(file);
    if (before !== undefined && before !== text) matches.set(file, matchLines(before, text));
  }
  return matches;
}

/** Line at which a module's constant is declared, from 1; undefined where it can't be found. A comment declares nothing. */
export function declarationLine(text: string, name: string): number | undefined {
  const index = text.split('\n').findIndex((line) => line.match(/^(?:export\s+)?const\s+([\w$]+)/)?.[1] === name);
  return index < 0 ? undefined : index + 1;
}
