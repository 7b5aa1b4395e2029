import type { SourceTree } from '../../build/sources.js';
import type { Edit } from '../causes/edits.js';
import type { Interest } from './mutations.js';

/** Lines around an edit that are its neighbourhood: about a function. */
const NEAR_LINES = 12;
/** Lines around a use of one of its names. */
const USE_LINES = 2;

/** Parts of a name that tell what it is about: `supplyLowMv` → `supply`; short ones are in too many names. */
const partsOf = (name: string): string[] =>
  name
    .replace(/([a-z0-9])([A-Z])/g, '$1 $2')
    .toLowerCase()
    .split(/[^a-z0-9]+/)
    .filter((part) => part.length > 4);

interface Text {
  readonly names: ReadonlySet<string>;
  readonly parts: ReadonlySet<string>;
}

const NAME = /[A-Za-z_$][\w$]*/g;

function namesOf(lines: readonly string[]): Text {
  const names = new Set(lines.flatMap((line) => line.match(NAME) ?? []));
  return { names, parts: new Set([...names].flatMap(partsOf)) };
}

/** A name in more lines than this says little about an edit. */
const USES_MAX = 30;

/** Lines around the uses of the names in some text: what an edited value decides is often elsewhere. */
function aroundUses({ names }: Text, trees: readonly SourceTree[]): string[] {
  const lines = trees.flatMap((tree) => [...tree.values()].map((text) => text.split('\n')));
  const uses = new Map<string, [file: readonly string[], line: number][]>();
  for (const file of lines)
    for (const [line, text] of file.entries())
      for (const name of new Set(text.match(NAME))) if (names.has(name)) uses.set(name, [...(uses.get(name) ?? []), [file, line]]);
  const rare = [...uses.values()].filter((places) => places.length <= USES_MAX);
  return rare.flatMap((places) => places.flatMap(([file, line]) => file.slice(Math.max(0, line - USE_LINES), line + USE_LINES + 1)));
}

/** How much a signal or parameter is worth changing: by its name, or parts of it, in the edits, around them, where their names are used, and in their files. */
export function interestOf(edits: readonly Edit[], base: SourceTree, head: SourceTree): Interest {
  const around = (lines: number): string[] =>
    edits
      .flatMap((edit) => edit.lines)
      .flatMap(({ file, ...ranges }) =>
        (
          [
            [base, ranges.base],
            [head, ranges.head],
          ] as const
        ).flatMap(([tree, { from, count }]) =>
          (tree.get(file) ?? '').split('\n').slice(Math.max(0, from - 1 - lines), from - 1 + count + lines),
        ),
      );
  const own = namesOf(around(0));
  const places = [own, namesOf(around(NEAR_LINES)), namesOf(aroundUses(own, [base, head])), namesOf(around(Number.MAX_SAFE_INTEGER))];
  return (name) => {
    const parts = partsOf(name);
    return places.reduce((sum, place) => sum + (place.names.has(name) ? 8 : 0) + parts.filter((part) => place.parts.has(part)).length, 1);
  };
}
