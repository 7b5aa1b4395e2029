import { Noise } from '../noise.js';
import { COMMANDS, wordsOf } from './commands.js';
import type { Malformed } from './malformed.js';

/** The same bytes each time. */
function noise(count: number): Uint8Array {
  const bytes = new Uint8Array(count);
  new Noise(1).fill(bytes);
  return bytes;
}

/** Files that no command can read as what it expects. */
const FILES = {
  'empty.txt': '',
  'noise.bin': noise(5000),
  'folder/kept.txt': '',
  'text.txt': 'This is no file of ours.\n',
};
const BAD_INPUTS = ['missing.file', 'folder', 'empty.txt', 'noise.bin', 'text.txt', 'text.txt/below', '/dev/null', `${'y'.repeat(300)}.x`];

/** Arguments and flags that name a file to read: the command's words before it, and after. */
const INPUTS: readonly (readonly [before: string, after?: string])[] = [
  ['parameters'],
  ['simulate', '-o run.mcap'],
  ['simulate target-step --parameters'],
  ['simulate target-step --controller'],
  ['size', '--html sheet.html'],
  ['size default --search', '-o found'],
  ['replay relatch-at-rest --controller'],
  ['compare . . relatch-at-rest --parameters'],
  ['compare . . relatch-at-rest --base-parameters'],
  ['find-change relatch-at-rest --from HEAD --parameters'],
  ['watch relatch-at-rest --verdicts 1 --parameters'],
  ['contest target-step --strategies cascade --parameters'],
  ['fit', '-o fitted.yaml'],
  ['import', '--map map.yaml -o log.mcap'],
  ['import log.csv -o log.mcap --map'],
  ['export', '-o out.csv'],
  ['recover', '-o saved.mcap'],
  ['add never-made --title A --why A --by A --reason A --from'],
];

const words = (line: string): string[] => line.split(' ').filter((word) => word !== '');
/** A path as a name cannot be mistaken. */
const asPath = (file: string): string => (file.startsWith('/') ? file : `./${file}`);

function malformedInputs(): Malformed[] {
  const others = { 'log.csv': 't,load\n0,1\n', 'map.yaml': 'rows: 1\nrate: { hz: 1 }\nsignals: []\n' };
  return INPUTS.flatMap(([before, after = '']) =>
    BAD_INPUTS.map((file) => ({
      kind: 'file to read',
      mistake: file.startsWith('y') ? 'a very long name' : file,
      detail: before,
      files: { ...others, ...FILES },
      argv: [...words(before), asPath(file), ...words(after)],
      places: [file.startsWith('y') ? 'yyyyyyyyyy' : asPath(file)],
    })),
  );
}

/** Vectors are folders. */
const malformedVectors = (): Malformed[] =>
  ['missing-folder', 'folder', 'text.txt', 'text.txt/below', '/dev/null'].flatMap((file) =>
    (['replay', 'accept', 'shrink', 'find-change'] as const).map((name) => {
      const command = COMMANDS.find((one) => one.words[0] === name) ?? COMMANDS[0];
      const argv = wordsOf({ ...(command as (typeof COMMANDS)[number]), arguments: [asPath(file)] });
      return { kind: 'vector to read', mistake: file, detail: name, files: FILES, argv, places: [file] };
    }),
  );

const NAMES = [
  '../x',
  '../../etc/x',
  '/tmp/x',
  'a/b',
  'A',
  'two words',
  '.hidden',
  '..',
  '.',
  'a--b',
  'a-',
  'ä',
  'x'.repeat(101),
  'a\\b',
  'con:',
];

/** Commands that make a vector, and how its name is given. */
const MAKERS: readonly (readonly [name: string, line: (name: string) => string[]])[] = [
  [
    'add',
    (name) => [
      'add',
      name,
      ...words('--title A --why A --by A --reason A --from'),
      COMMANDS.find(({ words: [one] }) => one === 'add')?.given.from ?? '',
    ],
  ],
  ['simulate', (name) => [...words('simulate target-step --by A --reason A --record-vector'), name]],
  ['shrink', (name) => [...words('shrink relatch-at-rest --against . --by A --reason A --name'), name]],
];

const malformedNames = (): Malformed[] =>
  MAKERS.flatMap(([command, line]) =>
    NAMES.map((name) => ({
      kind: 'name of a new vector',
      mistake: name.length > 100 ? 'too long' : name,
      detail: command,
      files: {},
      argv: line(name),
      places: ['the name of the new vector is'],
    })),
  );

/** Returns paths and names that cannot be read, or that would be elsewhere. */
export const malformedPaths = (): Malformed[] => [...malformedInputs(), ...malformedVectors(), ...malformedNames()];
