import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { FILE_BYTES_MAX } from '../../../host/common/read-file.js';
import { PROJECT } from '../project.js';
import { CSV, type HostileFile, MAP, type Made, SCENARIO } from './hostile-file.js';

const VECTOR = join(PROJECT.vectors, 'relatch-at-rest');
const CASE = readFileSync(join(VECTOR, 'case.yaml'), 'utf8');
const EXPECTED = readFileSync(join(VECTOR, 'expected.csv'), 'utf8');
const RECORDING = join(VECTOR, 'input.mcap');

/** Each place where a command reads a file, which is called `bad`. */
const READERS: readonly (readonly [name: string, argv: readonly string[], files?: HostileFile['files']])[] = [
  ['a scenario', ['simulate', '%/bad']],
  ['parameters of a simulation', ['simulate', 'target-step', '--parameters', '%/bad']],
  ['a controller', ['simulate', 'target-step', '--controller', '%/bad']],
  ['the machine of a scenario', ['simulate', '%/s.yaml'], { 's.yaml': `${SCENARIO}machine: ./bad\n` }],
  ['heights', ['simulate', '%/s.yaml'], { 's.yaml': `${SCENARIO}field: { profile: { file: bad, distance: d, height: h } }\n` }],
  ['a machine', ['size', '%/bad']],
  ['a catalogue', ['size', 'default', '--search', '%/bad']],
  ['the scenario of a contest', ['contest', '%/bad', '--strategies', 'cascade,threshold']],
  ['a contender', ['contest', 'target-step', '--strategies', 'cascade', '--parameters', 'x=%/bad']],
  ['a log', ['import', '%/bad', '--map', '%/map.yaml', '-o', '%/o.mcap'], { 'map.yaml': MAP }],
  ['a mapping', ['import', '%/log.csv', '--map', '%/bad', '-o', '%/o.mcap'], { 'log.csv': CSV }],
  ['a recording to export', ['export', '%/bad', '-o', '%/o.csv']],
  ['a recording to recover', ['recover', '%/bad', '-o', '%/o.mcap']],
  ['a recording to plot', ['plot', '%/bad', '-o', '%/o.svg']],
  ['a recording to add', ['add', 'hostile-one', '--from', '%/bad', '--title', 'A', '--why', 'A', '--by', 'A', '--reason', 'A']],
  ['parameters to list', ['parameters', '%/bad']],
  ['a build', ['compare', '%/b.wasm', '.', 'relatch-at-rest'], { 'b.wasm': { linkTo: 'bad' } }],
  ['a case.yaml', ['replay', '%'], { 'case.yaml': { linkTo: 'bad' } }],
  ['an expected.csv', ['replay', '%'], { 'case.yaml': CASE, 'input.mcap': { linkTo: RECORDING }, 'expected.csv': { linkTo: 'bad' } }],
  ['an input.mcap', ['replay', '%'], { 'case.yaml': CASE, 'expected.csv': EXPECTED, 'input.mcap': { linkTo: 'bad' } }],
];

const IRREGULAR: readonly (readonly [string, Made])[] = [
  ['an endless device', { linkTo: '/dev/zero' }],
  ['a device that waits', { linkTo: '/dev/ptmx' }],
  ['a pipe that nobody writes to', { pipe: true }],
  ['a link to itself', { linkTo: 'bad' }],
  ['a folder', { linkTo: '.' }],
];

/** Each reader with each kind of thing that is no regular file. */
export const irregularFiles = (): HostileFile[] =>
  READERS.flatMap(([reader, argv, files = {}]) =>
    IRREGULAR.map(([what, made]) => ({ group: 'no regular file', name: `${reader}: ${what}`, argv, files: { ...files, bad: made } })),
  );

const HUGE = FILE_BYTES_MAX.recording * 4;

/** Each reader with a file that is far too large, and empty on the disk; and with one that says nothing of its size. */
export const hugeFiles = (): HostileFile[] =>
  READERS.flatMap(([reader, argv, files = {}]) => [
    { group: 'size', name: `${reader}: of 256 GiB`, argv, files: { ...files, bad: { emptyBytes: HUGE } } },
    { group: 'size', name: `${reader}: zeros up to the limit`, argv, files: { ...files, bad: { emptyBytes: 64 << 20 } } },
    { group: 'size', name: `${reader}: of the system, without a size`, argv, files: { ...files, bad: { linkTo: '/proc/self/environ' } } },
  ]);
