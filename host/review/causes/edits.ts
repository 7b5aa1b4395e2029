import { CONTROLLER } from '../../build/controller.js';
import type { SourceTree } from '../../build/sources.js';
import type { ChangedLines, LineRange } from '../review.js';
import { align } from '../trace/align.js';

/*
 * A change as edits, each of which can be put back alone: adjacent lines that differ, line by line where as many lines came as went.
 * Edits that share a name which only one of the two versions has, such as a new function and its calls, belong together.
 */

/** Lines that are put back together. */
export interface Edit {
  readonly lines: readonly ChangedLines[];
}

/** Written from the contract, which both builds carry: records must keep the layout that their build describes. */
const GENERATED = `${CONTROLLER}/generated/`;

const NAME = /[A-Za-z_$][\w$]*/g;
const COMMENT = /\/\*[\s\S]*?\*\/|\/\/.*/g;

const linesOf = (text: string): string[] => text.split('\n');
const textIn = (text: string, { from, count }: LineRange): string =>
  linesOf(text)
    .slice(from - 1, from - 1 + count)
    .join('\n');

/** The text with every line, and comments left out. */
export const withoutComments = (text: string): string => text.replace(COMMENT, (comment) => comment.replace(/[^\n]/g, ''));

/** What the compiler sees of some lines, apart from white space. */
const codeIn = (text: string, lines: LineRange): string => textIn(withoutComments(text), lines).replace(/\s+/g, '');

/** Adjacent lines that differ, in one file. */
export function hunksOf(file: string, base: string, head: string): ChangedLines[] {
  const hunks: ChangedLines[] = [];
  let open: { base: LineRange; head: LineRange } | undefined;
  let [at, other] = [1, 1];
  const close = (): void => {
    if (open !== undefined) hunks.push({ file, ...open });
    open = undefined;
  };
  for (const [left, right] of align(linesOf(base), linesOf(head))) {
    if (left !== undefined && right !== undefined) close();
    else {
      open ??= { base: { from: at, count: 0 }, head: { from: other, count: 0 } };
      const side = left === undefined ? 'head' : 'base';
      open = { ...open, [side]: { ...open[side], count: open[side].count + 1 } };
    }
    if (left !== undefined) at += 1;
    if (right !== undefined) other += 1;
  }
  close();
  return hunks;
}

/** A statement that ends on its own line, so that it can be put back without its neighbours. */
const isWhole = (text: string): boolean => /[;{}]\s*$/.test(withoutComments(text)) && !/^\s*[?:|&.+)]/.test(text);

/** Divides a hunk of as many old as new lines, all of them whole statements, into its lines. */
function dividedHunk({ file, base, head }: ChangedLines, before: string, after: string): ChangedLines[] {
  const all = [...linesOf(textIn(before, base)), ...linesOf(textIn(after, head))];
  if (base.count !== head.count || !all.every(isWhole)) return [{ file, base, head }];
  return Array.from({ length: base.count }, (_, index) => ({
    file,
    base: { from: base.from + index, count: 1 },
    head: { from: head.from + index, count: 1 },
  }));
}

const namesIn = (text: string): string[] => withoutComments(text).match(NAME) ?? [];

/** Joins edits that share a name which only one version has. */
function joined(hunks: readonly ChangedLines[], base: SourceTree, head: SourceTree): Edit[] {
  const namesOf = (tree: SourceTree): Set<string> => new Set([...tree.values()].flatMap(namesIn));
  const [before, after] = [namesOf(base), namesOf(head)];
  const groups: { lines: ChangedLines[]; names: Set<string> }[] = [];
  for (const hunk of hunks) {
    const texts = [textIn(base.get(hunk.file) ?? '', hunk.base), textIn(head.get(hunk.file) ?? '', hunk.head)];
    const names = new Set(texts.flatMap(namesIn).filter((name) => before.has(name) !== after.has(name)));
    const same = groups.filter((group) => [...names].some((name) => group.names.has(name)));
    for (const group of same) groups.splice(groups.indexOf(group), 1);
    groups.push({
      lines: [...same.flatMap(({ lines }) => lines), hunk],
      names: new Set([...same.flatMap((group) => [...group.names]), ...names]),
    });
  }
  return groups.map(({ lines }) => ({ lines }));
}

/** The edits that lead from base to head, without those of comments, white space and generated files. */
export function editsBetween(base: SourceTree, head: SourceTree): Edit[] {
  const files = [...new Set([...base.keys(), ...head.keys()])].filter((file) => !file.startsWith(GENERATED)).sort();
  const hunks = files.flatMap((file) => {
    const [before, after] = [base.get(file) ?? '', head.get(file) ?? ''];
    if (before === after) return [];
    return hunksOf(file, before, after)
      .flatMap((hunk) => dividedHunk(hunk, before, after))
      .filter((hunk) => codeIn(before, hunk.base) !== codeIn(after, hunk.head));
  });
  return joined(hunks, base, head);
}

/** The sources of head with some edits put back to what base has. */
export function putBackEdits(base: SourceTree, head: SourceTree, edits: readonly Edit[]): SourceTree {
  const result = new Map(head);
  const byFile = new Map<string, ChangedLines[]>();
  for (const one of edits.flatMap(({ lines }) => lines)) byFile.set(one.file, [...(byFile.get(one.file) ?? []), one]);
  for (const [file, changes] of byFile) {
    const lines = linesOf(head.get(file) ?? '');
    for (const change of [...changes].sort((a, b) => b.head.from - a.head.from || b.base.from - a.base.from)) {
      const old = change.base.count === 0 ? [] : linesOf(textIn(base.get(file) ?? '', change.base));
      lines.splice(change.head.from - 1, change.head.count, ...old);
    }
    if (!base.has(file) && lines.join('').trim() === '') result.delete(file);
    else result.set(file, lines.join('\n'));
  }
  return result;
}

const isIn = ({ from, count }: LineRange, line: number): boolean => from <= line && line < from + count;

/** The edit that contains a line of base or of head. */
export const editAt = (edits: readonly Edit[], side: 'base' | 'head', file: string, line: number): Edit | undefined =>
  edits.find(({ lines }) => lines.some((one) => one.file === file && isIn(one[side], line)));
