import { describe, expect, it } from 'vitest';
import { fileChanges, replacedLines } from '../../../host/review/source-change.js';

const files = (sources: Record<string, string>, settings = '{}') => ({
  sources: new Map(Object.entries(sources).map(([name, text]) => [`assembly/controller/${name}`, text])),
  settings,
});

describe('changed lines', () => {
  it.each([
    ['none', 'a\nb\n', 'a\nb\n', []],
    ['replaced', 'a\nb\nc\n', 'a\nB\nc\n', [{ baseLine: 2, removed: ['b'], headLine: 2, added: ['B'] }]],
    ['added', 'a\nc\n', 'a\nb\nc\n', [{ baseLine: 2, removed: [], headLine: 2, added: ['b'] }]],
    ['removed at the end', 'a\nb\n', 'a\n', [{ baseLine: 2, removed: ['b'], headLine: 2, added: [] }]],
    [
      'in two places, the second one later in head',
      'a\nb\nc\nd\n',
      'x\na\nb\nc\ny\n',
      [
        { baseLine: 1, removed: [], headLine: 1, added: ['x'] },
        { baseLine: 4, removed: ['d'], headLine: 5, added: ['y'] },
      ],
    ],
  ])('%s', (_, base, head, expected) => {
    expect(replacedLines(base, head)).toEqual(expected);
  });
});

describe('changed files', () => {
  it('are added, removed, changed or renamed; generated ones are left out', () => {
    const base = files({ 'same.ts': 'x\n', 'gone.ts': 'x\n', 'old.ts': '1\n2\n3\n4\n', 'generated/records.ts': 'old\n' });
    const head = files({ 'same.ts': 'x\n', 'more.ts': 'y\n', 'new.ts': '1\n2\n3\nfour\n', 'generated/records.ts': 'new\n' }, '{ }');
    expect(fileChanges(base, head).map(({ lines: _, ...change }) => change)).toEqual([
      { path: 'asconfig.json', change: 'changed', basePath: undefined, addedLines: 1, removedLines: 1 },
      { path: 'assembly/controller/gone.ts', change: 'removed', basePath: undefined, addedLines: 0, removedLines: 1 },
      { path: 'assembly/controller/more.ts', change: 'added', basePath: undefined, addedLines: 1, removedLines: 0 },
      { path: 'assembly/controller/new.ts', change: 'renamed', basePath: 'assembly/controller/old.ts', addedLines: 1, removedLines: 1 },
    ]);
  });
});
