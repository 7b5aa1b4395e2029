import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { PROJECT } from '../project.js';
import type { Malformed } from './malformed.js';

const LINES = 200;
/** The beginning of a real log: the measured series. */
const LOG = readFileSync(join(PROJECT.root, 'vectors/measured/kobe-vertical-acceleration.csv'), 'utf8').split('\n').slice(0, LINES);
const GROUND = readFileSync(join(PROJECT.root, 'vectors/scenarios/profiles/sines-with-a-furrow.csv'), 'utf8').split('\n').slice(0, LINES);

const MAP = `rows: 1
time: { column: t_s, unit: ms }
signals:
  - { signal: loadCounts, row: 1, column: acc_nm_s2, unit: N, scale: 0.015, offset: 450 }
`;
const SCENARIO = `title: Made up
story: Invented.
rows: 4
seconds: 0.5
field:
  profile: { file: ground.csv, distance: x_m, height: [row1_mm, row2_mm, row3_mm, row4_mm] }
drive:
  - { atS: 0, speedMps: 3 }
`;

/** A table, and the command that reads it. */
interface Table {
  readonly kind: string;
  readonly path: string;
  readonly lines: readonly string[];
  readonly files: Readonly<Record<string, string>>;
  readonly argv: readonly string[];
}

const TABLES: readonly Table[] = [
  {
    kind: 'log (CSV)',
    path: 'log.csv',
    lines: LOG,
    files: { 'map.yaml': MAP },
    argv: ['import', 'log.csv', '--map', 'map.yaml', '-o', 'log.mcap'],
  },
  {
    kind: 'profile (CSV)',
    path: 'ground.csv',
    lines: GROUND,
    files: { 'field.yaml': SCENARIO },
    argv: ['simulate', 'field.yaml', '-o', 'run.mcap'],
  },
];

/** A table with a mistake, and the line, from 1, that the error must name; with what is mapped missing, the other file. */
interface Mutant {
  readonly bytes: string | Uint8Array;
  readonly line: number | 'elsewhere';
}

type Mutation = readonly [mistake: string, make: (lines: readonly string[], at: number) => Mutant];

const text = (lines: readonly string[]): string => `${lines.join('\n')}\n`;

/** Replaces the line at an index. */
const replaced = (lines: readonly string[], at: number, change: (line: string) => string): Mutant => ({
  bytes: text(lines.map((line, index) => (index === at ? change(line) : line))),
  line: at + 1,
});

/** Replaces a cell, counted from 0; −1 is the last one. */
const cell = (mistake: string, column: number, value: string | ((cell: string) => string)): Mutation => [
  mistake,
  (lines, at) =>
    replaced(lines, at, (line) => {
      const cells = line.split(',');
      const index = column < 0 ? cells.length + column : column;
      cells[index] = typeof value === 'string' ? value : value(cells[index] ?? '');
      return cells.join(',');
    }),
];

const inLatin1 = (lines: readonly string[], at: number): Mutant => ({
  bytes: Buffer.concat([
    Buffer.from(text(lines.slice(0, at))),
    Buffer.from([0x35, 0xb0, 0x2c, 0x31, 0x0a]),
    Buffer.from(text(lines.slice(at))),
  ]),
  line: at + 1,
});

/** Mistakes at one line. */
const AT_A_LINE: readonly Mutation[] = [
  cell('text for a number', -1, 'abc'),
  cell('text for the first number', 0, 'abc'),
  cell('no number', -1, ''),
  cell('not a number', -1, 'NaN'),
  cell('infinity', -1, '-inf'),
  cell('far too large', -1, '1e39'),
  cell('beyond floating point', -1, '1e400'),
  cell('a hexadecimal number', -1, '0x1F'),
  cell('a decimal comma', -1, '4,5'),
  cell('a decimal comma in quotes', -1, '"4,5"'),
  cell('a unit in a cell', -1, (one) => `${one} N`),
  cell('a thousands separator', -1, "1'000"),
  cell('very long text', -1, 'x'.repeat(100_000)),
  cell('one cell too many', -1, (one) => `${one},1`),
  cell('a stray quote', -1, (one) => `"${one}"5`),
  cell('a decreasing first column', 0, '-99'),
  ['one cell too few', (lines, at) => replaced(lines, at, (line) => line.slice(0, line.lastIndexOf(',')))],
  ['a doubled line', (lines, at) => ({ bytes: text([...lines.slice(0, at), lines[at - 1] ?? '', ...lines.slice(at)]), line: at + 1 })],
  [
    'two lines swapped',
    (lines, at) => ({ bytes: text([...lines.slice(0, at), lines[at + 1] ?? '', lines[at] ?? '', ...lines.slice(at + 2)]), line: at + 2 }),
  ],
  ['the header again', (lines, at) => ({ bytes: text([...lines.slice(0, at), lines[0] ?? '', ...lines.slice(at)]), line: at + 1 })],
  ['prose between the lines', (lines, at) => ({ bytes: text([...lines.slice(0, at), 'End of pass 1', ...lines.slice(at)]), line: at + 1 })],
  ['an open quote', (lines, at) => replaced(lines, at, (line) => `"${line}`)],
  ['a merge conflict', (lines, at) => ({ bytes: text([...lines.slice(0, at), '<<<<<<< HEAD', ...lines.slice(at)]), line: at + 1 })],
  ['a character in Latin-1', inLatin1],
  ['another separator', (lines, at) => replaced(lines, at, (line) => line.replaceAll(',', ';'))],
];

const firstLine =
  (change: (header: string) => string): Mutation[1] =>
  (lines) =>
    replaced(lines, 0, change);

/** Mistakes of the whole table. */
const WHOLE: readonly Mutation[] = [
  ['an empty file', () => ({ bytes: '', line: 1 })],
  ['only a header', (lines) => ({ bytes: text(lines.slice(0, 1)), line: 2 })],
  ['an empty first line', (lines) => ({ bytes: `\n${text(lines)}`, line: 1 })],
  [
    'two columns of the same name',
    firstLine((header) => header.replace(/(,?)("?)([^",]+)("?)$/, (all) => `${all},${all.replace(',', '')}`)),
  ],
  [
    'no column of the mapped name',
    (lines) => ({ bytes: text(['a,b,c,d,e'.slice(0, 2 * (lines[0] ?? '').split(',').length - 1), ...lines.slice(1)]), line: 'elsewhere' }),
  ],
  ['no header', (lines) => ({ bytes: text(lines.slice(1)), line: 'elsewhere' })],
  ['UTF-16 without a mark', (lines) => ({ bytes: Buffer.from(text(lines), 'utf16le'), line: 1 })],
  ['a title above the header', (lines) => ({ bytes: `Pass 7\n${text(lines)}`, line: 'elsewhere' })],
  [
    'the end of the last line missing',
    (lines) => ({
      bytes: text(lines)
        .trimEnd()
        .replace(/,[^,]*$/, ''),
      line: lines.length,
    }),
  ],
];

function malformed(one: Table, mistake: string, { bytes, line }: Mutant): Malformed {
  const mapping = Object.keys(one.files)[0] ?? '';
  const places = line === 'elsewhere' ? [`${mapping}:`] : [`${one.path}:${line}:`];
  return { kind: one.kind, mistake, detail: places[0] ?? '', files: { ...one.files, [one.path]: bytes }, argv: one.argv, places };
}

/** Lines, as indices, at which each mistake is made: near the start, in the middle, and before the end. */
const AT = [2, 97, LINES - 3];

export const malformedTables = (): Malformed[] =>
  TABLES.flatMap((one) => [
    ...AT_A_LINE.flatMap(([mistake, make]) => AT.map((at) => malformed(one, mistake, make(one.lines, at)))),
    ...WHOLE.map(([mistake, make]) => malformed(one, mistake, make(one.lines, 0))),
  ]);
