import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { PROJECT } from '../project.js';
import { type HostileFile, SCENARIO, SECRET } from './hostile-file.js';

const VECTOR = join(PROJECT.vectors, 'relatch-at-rest');
const CASE = readFileSync(join(VECTOR, 'case.yaml'), 'utf8');
const EXPECTED = readFileSync(join(VECTOR, 'expected.csv'), 'utf8');
const RECORDING = { linkTo: join(VECTOR, 'input.mcap') };

/** A file of the user, beside the stranger's folder. */
const MINE = { '../mine.yaml': `${SECRET}: 1\n`, '../mine.csv': `${SECRET},${SECRET}2\n1,2\n`, '../mine.txt': `${SECRET}\n` };

/** Files that name a file of the user: its content must not be shown. */
const LEAKS: readonly (readonly [string, readonly string[], HostileFile['files']])[] = [
  ['a machine', ['simulate', '%/s.yaml'], { 's.yaml': `${SCENARIO}machine: ../mine.yaml\n` }],
  ['a machine that is only text', ['simulate', '%/s.yaml'], { 's.yaml': `${SCENARIO}machine: ../mine.txt\n` }],
  ['a machine by a link', ['simulate', '%/s.yaml'], { 's.yaml': `${SCENARIO}machine: ./m.yaml\n`, 'm.yaml': { linkTo: '../mine.yaml' } }],
  ['a machine in JSON', ['simulate', '%/s.yaml', '--json'], { 's.yaml': `${SCENARIO}machine: ../mine.yaml\n` }],
  ['heights', ['simulate', '%/s.yaml'], { 's.yaml': `${SCENARIO}field: { profile: { file: ../mine.csv, distance: d, height: h } }\n` }],
  [
    'heights in JSON',
    ['simulate', '%/s.yaml', '--json'],
    { 's.yaml': `${SCENARIO}field: { profile: { file: ../mine.txt, distance: d, height: h } }\n` },
  ],
  ['a case.yaml', ['replay', '%'], { 'case.yaml': { linkTo: '../mine.yaml' }, 'input.mcap': RECORDING, 'expected.csv': EXPECTED }],
  ['an expected.csv', ['replay', '%'], { 'case.yaml': CASE, 'input.mcap': RECORDING, 'expected.csv': { linkTo: '../mine.csv' } }],
  ['an input.mcap', ['replay', '%'], { 'case.yaml': CASE, 'input.mcap': { linkTo: '../mine.txt' }, 'expected.csv': EXPECTED }],
  [
    'the scenario of a catalogue',
    ['size', 'default', '--search', '%/c.yaml'],
    {
      'c.yaml': 'title: A\nscenario: ../mine.yaml\nchoices:\n  hose:\n    each: row\n    options: [{ name: a, cost: 2, hoseLengthM: 2 }]\n',
    },
  ],
  ['a scenario of the system', ['simulate', '%/s.yaml'], { 's.yaml': `${SCENARIO}machine: /proc/self/environ\n` }],
  ['the passwords', ['simulate', '%/s.yaml'], { 's.yaml': `${SCENARIO}machine: /etc/passwd\n` }],
];

/** Links at which a command would write. */
const LINKS: readonly (readonly [string, readonly string[], HostileFile['files']])[] = [
  [
    'accept, case.yaml',
    ['accept', '%', '--by', 'A', '--reason', 'A'],
    { 'case.yaml': { linkTo: '../mine.yaml' }, 'input.mcap': RECORDING, 'expected.csv': EXPECTED },
  ],
  [
    'accept, expected.csv',
    ['accept', '%', '--by', 'A', '--reason', 'A'],
    { 'case.yaml': CASE, 'input.mcap': RECORDING, 'expected.csv': { linkTo: '../mine.csv' } },
  ],
  [
    'accept, a dangling link',
    ['accept', '%', '--by', 'A', '--reason', 'A'],
    { 'case.yaml': CASE, 'input.mcap': RECORDING, 'expected.csv': { linkTo: '../new.csv' } },
  ],
  ['replay --record', ['replay', 'relatch-at-rest', '--record', '%'], { 'relatch-at-rest.mcap': { linkTo: '../mine.txt' } }],
  [
    'replay --record, a dangling link',
    ['replay', 'relatch-at-rest', '--record', '%'],
    { 'relatch-at-rest.mcap': { linkTo: '../new.mcap' } },
  ],
  [
    'size --search',
    ['size', 'default', '--search', 'row-hydraulics', '--tries', '1', '-o', '%'],
    { 'search.json': { linkTo: '../mine.yaml' } },
  ],
  ['import, a device', ['import', '%/l.csv', '--map', '%/m.yaml', '-o', '/dev/full'], {}],
  ['export, a pipe', ['export', 'vectors/cases/relatch-at-rest/input.mcap', '-o', '%/p'], { p: { pipe: true } }],
];

/** Names that a shell or a parser of options would act on, in commands that are shown. */
const NAMES: readonly string[] = [
  '$(touch owned)',
  '`touch owned`',
  "a'b",
  'a b',
  '-rf',
  '--help',
  'a;touch owned',
  'a\ntouch owned',
  '{0}',
  '%s%n',
  '__proto__',
  'constructor',
];

/** Titles that look like other output, and like a command to a server that runs tests. */
const LINES: readonly string[] = ['A\n1 vector: 1 same', 'A\n::add-mask::x', 'A\r\n::stop-commands::x'];

/** Files that reach beyond their folder. */
export const elsewhere = (): HostileFile[] => [
  ...LEAKS.map(([name, argv, files]): HostileFile => ({ group: 'leak', name, argv, files: { ...MINE, ...files } })),
  ...LINKS.map(([name, argv, files]): HostileFile => ({ group: 'link', name, argv, files: { ...MINE, ...files } })),
  ...LINES.map(
    (line): HostileFile => ({
      group: 'name',
      name: `a title: ${line}`,
      argv: ['size', '%/m.yaml'],
      files: { 'm.yaml': `title: ${JSON.stringify(line)}\n` },
    }),
  ),
  ...NAMES.flatMap((name): HostileFile[] => [
    {
      group: 'name',
      name: `a vector: ${name}`,
      argv: ['replay', `%/${name}`],
      files: {
        [`${name}/case.yaml`]: CASE.replace(/acceptances:[\s\S]*/, ''),
        [`${name}/input.mcap`]: RECORDING,
        [`${name}/expected.csv`]: EXPECTED,
      },
    },
    { group: 'name', name: `a key: ${name}`, argv: ['size', '%/m.yaml'], files: { 'm.yaml': `title: A\n${JSON.stringify(name)}: 1\n` } },
    { group: 'name', name: `a commit: ${name}`, argv: ['compare', `./${name}`, '.', 'relatch-at-rest'] },
  ]),
];
