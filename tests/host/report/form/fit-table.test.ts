import { describe, expect, it } from 'vitest';
import { colours, terminalText } from '../../../../host/report/form/colours.js';
import { textTable } from '../../../../host/report/form/text-table.js';

const COLUMNS = [
  { title: 'run' },
  { title: 'force, N', isNumber: true },
  { title: 'hash', isOptional: true },
  { title: 'first difference' },
  { title: '' },
];
const ROWS = [
  ['long-name-of-a-run', '12 345', '0123456789ab', 'row 3 loadN 12 345 to 12 346 at the same tick', colours.red('NOT MET')],
  ['short', '5', 'ab'],
];
const TABLE = textTable(COLUMNS, ROWS);

const lines = (columns: number): string[] => terminalText(`before\n${TABLE}after`, { columns }).split('\n');

describe('a table on a terminal', () => {
  it('that is wide enough is not changed', () => {
    expect(lines(200)).toEqual([
      'before',
      'run                 force, N  hash          first difference',
      'long-name-of-a-run    12 345  0123456789ab  row 3 loadN 12 345 to 12 346 at the same tick  NOT MET',
      'short                      5  ab',
      'after',
    ]);
    expect(lines(Number.POSITIVE_INFINITY)).toEqual(lines(200));
  });

  it('wraps text first', () => {
    expect(lines(84)).toEqual([
      'before',
      'run                 force, N  hash          first difference',
      'long-name-of-a-run    12 345  0123456789ab  row 3 loadN 12 345 to 12 346 at  NOT MET',
      '                                            the same tick',
      'short                      5  ab',
      'after',
    ]);
  });

  it('then leaves out optional columns and names them', () => {
    expect(lines(60)).toEqual([
      'before',
      'run                 force, N  first difference',
      'long-name-of-a-run    12 345  row 3 loadN 12 345 to  NOT MET',
      '                              12 346 at the same',
      '                              tick',
      'short                      5',
      '(no room for hash)',
      'after',
    ]);
  });

  it.each([10, 20, 30, 40, 50, 60, 70, 80])('of %i columns never breaks a number', (columns) => {
    const text = lines(columns).join('\n');
    for (const number of ['12 345', '12 346']) expect(text).toContain(number);
  });

  it('keeps tables apart that follow each other, and spaces before them', () => {
    const other = textTable([{ title: 'a long title of a column' }, { title: 'b' }], [['1', '2']]);
    const text = terminalText(`${TABLE}${other}`.replaceAll(/^/gm, '  '), { columns: 40 });
    expect(text).toContain('\n  a long title of a column  b\n  1                         2\n');
  });
});
