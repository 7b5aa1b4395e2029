import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describeContract } from '../../../host/contract/contract.js';
import { messageBytes } from '../../../host/contract/messages.js';
import { RecordingWriter } from '../../../host/recording/writer.js';
import { CSV, type HostileFile, MAP, SCENARIO } from './hostile-file.js';

/** What a terminal or a reader would act on: ECMA-48 sequences, those of terminals, C1 forms of them, and Unicode's marks. */
const TEXTS: readonly (readonly [string, string])[] = [
  ['a title', '\u001b]0;owned\u0007'],
  ['the clipboard', '\u001b]52;c;cm0gLXJmCg==\u0007'],
  ['a hyperlink', '\u001b]8;;https://a.example\u001b\\here\u001b]8;;\u001b\\'],
  ['a cleared screen', '\u001b[2J\u001b[H'],
  ['our own colour', '\u001b[32msame\u001b[39m'],
  ['invisible text', '\u001b[8mhidden\u001b[28m'],
  ['an answer of the terminal', '\u001b[6n'],
  ['a sequence of one character', '\u009b31m'],
  ['an overwritten line', 'bad\rgood'],
  ['erased letters', 'bad\b\b\bgood'],
  ['text that runs backwards', 'a\u202eevil\u202c'],
  ['an isolate', 'a\u2066evil\u2069'],
  ['a letter without width', 'load\u200bN'],
  ['a line end of Unicode', 'a\u2028b'],
  ['an invisible tag', 'a\u{e0041}\u{e0042}'],
];

/** A text as it is written in double quotes in YAML. */
const escaped = (text: string): string =>
  JSON.stringify(text).replace(/[\u007f-\uffff]/g, (one) => `\\u${one.charCodeAt(0).toString(16).padStart(4, '0')}`);

type Place = readonly [name: string, make: (text: string) => Omit<HostileFile, 'group' | 'name'>];

const PLACES: readonly Place[] = [
  ['a title', (text) => ({ argv: ['simulate', '%/s.yaml'], files: { 's.yaml': `title: ${text}\n` } })],
  ['a comment', (text) => ({ argv: ['size', '%/m.yaml'], files: { 'm.yaml': `title: A # ${text}\n` } })],
  ['an escaped story', (text) => ({ argv: ['simulate', '%/s.yaml'], files: { 's.yaml': SCENARIO.replace('Invented.', escaped(text)) } })],
  ['an escaped key', (text) => ({ argv: ['size', '%/m.yaml'], files: { 'm.yaml': `title: A\n${escaped(text)}: 1\n` } })],
  [
    'a column',
    (text) => ({
      argv: ['import', '%/l.csv', '--map', '%/map.yaml', '-o', '%/o.mcap'],
      files: { 'l.csv': CSV.replace('load', `"${text}"`), 'map.yaml': MAP },
    }),
  ],
  [
    'a cell',
    (text) => ({
      argv: ['import', '%/l.csv', '--map', '%/map.yaml', '-o', '%/o.mcap', '--json'],
      files: { 'l.csv': CSV.replace('1201', `"${text}"`), 'map.yaml': MAP },
    }),
  ],
  ['the name of a file', (text) => ({ argv: ['simulate', `%/${text.replaceAll('/', '')}.yaml`] })],
  ['a setting', (text) => ({ argv: ['simulate', 'target-step', '--set', `deadbandN=${text}`] })],
  ['a flag', (text) => ({ argv: ['replay', `--${text}`] })],
];

/** A recording about which the text says something. */
function recordingAbout(text: string): Uint8Array {
  const folder = mkdtempSync(join(tmpdir(), 'latchbench-test-'));
  const file = join(folder, 'r.mcap');
  try {
    const contract = describeContract();
    const writer = RecordingWriter.create(file, {
      contract,
      rows: 1,
      tickHz: 1000,
      messages: ['input'],
      about: { title: text, source: text },
    });
    for (let tick = 0; tick < 20; tick++) writer.write('input', tick, new Uint8Array(messageBytes(contract, 'input', 1)));
    writer.close();
    return readFileSync(file);
  } finally {
    rmSync(folder, { recursive: true });
  }
}

const SHOWS: readonly (readonly [string, readonly string[]])[] = [
  ['a recording that is shown', ['show', '%/r.mcap']],
  ['a recording that is shown in JSON', ['show', '%/r.mcap', '--json']],
];

/** Each text in each place where a command reads one. */
export const hostileTexts = (): HostileFile[] =>
  TEXTS.flatMap(([what, text]) => {
    const recording = recordingAbout(text);
    return [
      ...PLACES.map(([place, make]): HostileFile => ({ group: 'text', name: `${place}: ${what}`, ...make(text) })),
      ...SHOWS.map(
        ([place, argv]): HostileFile => ({ group: 'text', name: `${place}: ${what}`, argv, files: { 'r.mcap': recording }, statuses: [0] }),
      ),
    ];
  });
