import { CSV, fill, type HostileFile, MAP, SCENARIO } from './hostile-file.js';

const MIB = 1 << 20;
const lines = (count: number, line: (index: number) => string): string => Array.from({ length: count }, (_, index) => line(index)).join('');

/** Texts that take a parser long, at the largest size that is read; some of them with the square of their length. */
const YAML_TEXTS: readonly (readonly [string, string])[] = [
  ['many keys', lines(90_000, (index) => `k${index}: 1\n`)],
  ['as many keys as are read', lines(14_000, (index) => `k${index}: 1\n`)],
  ['one key many times', fill('title: 1\n', MIB)],
  ['brackets', fill('[', MIB)],
  ['braces', fill('{a: ', MIB)],
  ['dashes', fill('- ', MIB)],
  ['explicit keys', fill('? ', MIB)],
  ['explicit keys below each other', lines(1400, (index) => `${' '.repeat(index)}? a\n`)],
  ['keys below each other', lines(1400, (index) => `${' '.repeat(index)}a:\n`)],
  ['a list', `[${fill('a,', MIB - 2)}]`],
  ['commas', `[${fill(',', MIB - 2)}]`],
  ['quotes', fill('"', MIB)],
  ['escapes', `a: "${fill('\\x41', MIB - 8)}"`],
  ['empty lines in quotes', `a: "${fill('\n', MIB - 8)}"`],
  ['empty lines in a block', `a: |\n${fill('\n', MIB - 8)}`],
  ['folded lines', `a: >\n${fill(' x\n', MIB - 8)}`],
  ['lines of plain text', `a: ${fill('x\n ', MIB - 8)}`],
  ['anchors', lines(40_000, (index) => `- &a${index} 1\n`)],
  ['aliases', `- &a 1\n${fill('- *a\n', MIB - 8)}`],
  [
    'aliases of aliases',
    lines(30, (index) => (index === 0 ? 'a0: &a0 [x]\n' : `a${index}: &a${index} [*a${index - 1}, *a${index - 1}]\n`)),
  ],
  ['tags', fill('!!str ', MIB)],
  ['documents', fill('---\n', MIB)],
  ['directives', fill('%YAML 1.2\n', MIB)],
  ['comments', fill('#\n', MIB)],
  ['one comment', `#${fill('#', MIB - 1)}`],
  ['digits', `title: A\nvalve: { moveMs: ${fill('1', 9000)}x }\n`],
  ['digits in quotes', `title: A\nvalve: { moveMs: "${fill('1', 9000)} bar" }\n`],
  ['spaces in a quantity', `title: A\nvalve: { moveMs: "1 a${fill(' ', 9000)}b" }\n`],
  ['a long name', `${fill('x', 1000)}: 1\n`],
  ['a long title', `title: "${fill('x', MIB - 20)}"\n`],
];

const CSV_TEXTS: readonly (readonly [string, string])[] = [
  ['a quote that is not closed', `t,load\n0,"${fill('x\n', 4 * MIB)}`],
  ['doubled quotes', `t,load\n0,"${fill('""', 4 * MIB)}`],
  ['misplaced quotes', `t,load\n${fill('"1"x,2\n', 4 * MIB)}`],
  ['quotes', `t,load\n${fill('"', 4 * MIB)}`],
  ['commas', `t,load\n${fill(',', 4 * MIB)}`],
  ['many columns', `t,load${fill(',c', MIB - 20)}\n`],
  ['different columns', `t,load${lines(90_000, (index) => `,c${index}`)}\n0\n`],
  ['a long name', `t,${fill('x', MIB - 20)}\n0,1\n`],
  ['delimiters of all kinds', `${fill(',;\t|', MIB - 20)}\n`],
  ['empty lines', `t,load\n${fill('\n', MIB)}`],
  ['carriage returns', `t,load\n${fill('\r', 4 * MIB)}`],
  ['digits', `t,load\n0,${fill('1', 500_000)}x\n`],
  ['spaces before a number', `t,load\n0,${fill(' ', 500_000)}x\n`],
  ['time in digits', `t,load\n${fill('1', 500_000)}:x,1\n`],
  ['zero bytes', fill('\0', 4 * MIB)],
];

/** Work that a few lines demand. */
const WORK: readonly (readonly [string, Omit<HostileFile, 'group' | 'name'>])[] = [
  ['48 rows for six hours', { argv: ['simulate', '%/s.yaml'], files: { 's.yaml': 'title: A\nstory: A\nrows: 48\nseconds: 21600\n' } }],
  ['10 000 seeds', { argv: ['simulate', '%/s.yaml', '--seeds', '10000'], files: { 's.yaml': SCENARIO.replace('0.05', '600') } }],
  [
    'a gap of a day',
    { argv: ['import', '%/l.csv', '--map', '%/m.yaml', '-o', '%/o.mcap'], files: { 'l.csv': 't,load\n0,1\n86400,1\n', 'm.yaml': MAP } },
  ],
  ['a million tries', { argv: ['size', 'default', '--search', 'row-hydraulics', '--tries', '1000000'] }],
  [
    'a thousand events on all rows',
    {
      argv: ['simulate', '%/s.yaml'],
      files: {
        's.yaml': `title: A\nstory: A\nrows: 48\nseconds: 600\nevents:\n${lines(1001, (index) => `  - { what: load-offset, atS: ${index / 10}, row: all, forS: 0.01 }\n`)}`,
      },
    },
  ],
];

/** Texts and numbers that would take long. */
export const slowTexts = (): HostileFile[] => [
  ...YAML_TEXTS.map(([what, text]) => ({
    group: 'time',
    name: `a machine: ${what}`,
    argv: ['size', '%/f.yaml'],
    files: { 'f.yaml': text },
  })),
  ...CSV_TEXTS.map(([what, text]) => ({
    group: 'time',
    name: `a log: ${what}`,
    argv: ['import', '%/l.csv', '--map', '%/m.yaml', '-o', '%/o.mcap'],
    files: { 'l.csv': text, 'm.yaml': MAP },
  })),
  {
    group: 'time',
    name: 'an error with many names',
    argv: ['import', '%/l.csv', '--map', '%/m.yaml', '-o', '%/o.mcap'],
    files: { 'l.csv': CSV, 'm.yaml': MAP.replace('column: load', `column: ${fill('x', 1900)}`) },
  },
  ...WORK.map(([name, one]) => ({ group: 'work', name, ...one })),
];
