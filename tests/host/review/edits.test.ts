import { describe, expect, it } from 'vitest';
import { editAt, editsBetween, putBackEdits } from '../../../host/review/causes/edits.js';

const FILE = 'assembly/controller/a.ts';
const tree = (...lines: string[]) => new Map([[FILE, lines.join('\n')]]);
const editsOf = (base: string[], head: string[]) => editsBetween(tree(...base), tree(...head));
/** Lines of each edit: first and number of base, first and number of head. */
const rangesOf = (base: string[], head: string[]) =>
  editsOf(base, head).map(({ lines }) => lines.map((one) => [one.base.from, one.base.count, one.head.from, one.head.count]));

describe('editsBetween', () => {
  it.each([
    ['a changed line', ['a();', 'b();', 'c();'], ['a();', 'B();', 'c();'], [[[2, 1, 2, 1]]]],
    ['an added line', ['a();', 'c();'], ['a();', 'b();', 'c();'], [[[2, 0, 2, 1]]]],
    ['a removed line', ['a();', 'b();', 'c();'], ['a();', 'c();'], [[[2, 1, 2, 0]]]],
    ['adjacent statements, one by one', ['a(1);', 'b(1);'], ['a(2);', 'b(2);'], [[[1, 1, 1, 1]], [[2, 1, 2, 1]]]],
    ['a statement of two lines as one', ['a(1,', '  1);'], ['a(2,', '  2);'], [[[1, 2, 1, 2]]]],
    [
      'lines that share a new name as one',
      ['a(1);', 'b();', 'c(1);'],
      ['a(fresh);', 'b();', 'c(fresh);'],
      [
        [
          [1, 1, 1, 1],
          [3, 1, 3, 1],
        ],
      ],
    ],
    ['no comment and no white space', ['a();', '/* one', 'two */', 'b(1);'], ['a();  // why', '/* three', 'four */', 'b( 1 );'], []],
    ['the code beside a comment', ['a(); // x', 'b();'], ['a(1); // y', 'b();'], [[[1, 1, 1, 1]]]],
  ])('finds %s', (_, base, head, expected) => {
    expect(rangesOf(base, head)).toEqual(expected);
  });

  it('leaves generated files alone', () => {
    const path = 'assembly/controller/generated/records.ts';
    expect(editsBetween(new Map([[path, 'a();']]), new Map([[path, 'b();']]))).toEqual([]);
  });
});

describe('putBackEdits', () => {
  const base = tree('one();', 'a(1);', 'b(1);', 'gone();', 'last();');
  const head = tree('one();', 'a(2);', 'b(2);', 'last();', 'added();');

  it('puts back one edit and leaves the others', () => {
    const edits = editsBetween(base, head);
    const texts = edits.map((edit) => putBackEdits(base, head, [edit]).get(FILE)?.split('\n'));
    expect(texts).toContainEqual(['one();', 'a(2);', 'b(2);', 'last();']);
    expect(putBackEdits(base, head, edits)).toEqual(base);
  });

  it('removes a file that base does not have, and restores one that head does not have', () => {
    const other = new Map([['assembly/controller/b.ts', 'x();']]);
    expect(putBackEdits(new Map(), other, editsBetween(new Map(), other))).toEqual(new Map());
    expect(putBackEdits(other, new Map(), editsBetween(other, new Map()))).toEqual(other);
  });

  it('finds the edit of a line on either side', () => {
    const edits = editsBetween(tree('a(1);', 'b();'), tree('b();'));
    expect(editAt(edits, 'base', FILE, 1)).toBe(edits[0]);
    expect(editAt(edits, 'head', FILE, 1)).toBeUndefined();
  });
});
