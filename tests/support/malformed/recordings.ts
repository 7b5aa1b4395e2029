import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { McapWriter } from '@mcap/core';
import type { Noise } from '../noise.js';
import { PROJECT } from '../project.js';
import type { Malformed } from './malformed.js';

const RECORDING = readFileSync(join(PROJECT.vectors, 'load-sensor-frozen', 'input.mcap'));
const PATH = 'run.mcap';

/** Commands that read a recording to its end. */
const READERS: readonly (readonly string[])[] = [
  ['show', PATH],
  ['export', PATH, '-o', 'out.csv'],
  ['plot', PATH, '-o', 'out.svg'],
  ['fit', PATH, '-o', 'fitted.yaml'],
];

const malformed = (mistake: string, detail: string, bytes: Uint8Array, argv: readonly string[], place = `${PATH}: byte `): Malformed => ({
  kind: 'recording (MCAP)',
  mistake,
  detail: `${argv[0]}, ${detail}`,
  files: { [PATH]: bytes },
  argv,
  places: [place],
});

/** A recording of another program: one message with the given names. */
async function foreign(profile: string, topic: string, schema: string): Promise<Uint8Array> {
  const parts: Uint8Array[] = [];
  let size = 0n;
  const writable = {
    position: () => size,
    write: async (bytes: Uint8Array) => {
      parts.push(bytes.slice());
      size += BigInt(bytes.length);
    },
  };
  const writer = new McapWriter({ writable, useChunks: false });
  await writer.start({ profile, library: 'another program' });
  const schemaId = await writer.registerSchema({ name: 'pkg/Message', encoding: 'ros2msg', data: Buffer.from(schema) });
  const channelId = await writer.registerChannel({ schemaId, topic, messageEncoding: 'cdr', metadata: new Map() });
  await writer.addMessage({ channelId, sequence: 0, logTime: 0n, publishTime: 0n, data: new Uint8Array(8) });
  await writer.end();
  return Buffer.concat(parts);
}

/** A copy with some bytes replaced. */
function withBytes(at: number, bytes: Uint8Array): Uint8Array {
  const copy = Buffer.from(RECORDING);
  copy.set(bytes, at);
  return copy;
}

/** Returns recordings that are cut off, damaged, or of another program, each read by one or several commands. */
export async function malformedRecordings(noise: Noise): Promise<Malformed[]> {
  const size = RECORDING.length;
  const between = (low: number, high: number): number => Math.floor(noise.between(low, high));
  const cuts = [9, 40, ...Array.from({ length: 10 }, () => between(100, size - 100)), size - 1];
  const flips = Array.from({ length: 12 }, () => between(size / 10, (size * 9) / 10));
  const others: [string, Uint8Array][] = [
    ['a recording of another program', await foreign('ros2', '/tf', 'float64 x\n')],
    ['a recording with our topic alone', await foreign('', '/input', 'float64 x\n')],
    ['another magic number', withBytes(0, Buffer.from('\x89MCAP1\r\n', 'latin1'))],
    ['a picture', Buffer.from('\x89PNG\r\n\x1a\n0123456789', 'latin1')],
    ['text', Buffer.from('t,load\n0,1200\n')],
    ['zeros', new Uint8Array(4096)],
  ];
  return [
    ...cuts.flatMap((at) => READERS.map((argv) => malformed('cut off', `at ${at}`, RECORDING.subarray(0, at), argv))),
    ...flips.map((at, index) =>
      malformed('a bit flipped', `at ${at}`, withBytes(at, Uint8Array.of((RECORDING[at] ?? 0) ^ 0x10)), READERS[index % 3] ?? []),
    ),
    ...others.flatMap(([mistake, bytes]) => READERS.map((argv) => malformed(mistake, '', bytes, argv))),
    ...READERS.slice(0, 3).map((argv) => malformed('half of it zeros', '', withBytes(size / 2, new Uint8Array(size / 4)), argv)),
    ...READERS.map((argv) => malformed('an empty file', '', new Uint8Array(), argv, `${PATH}:`)),
    malformed('recovered without one message', 'cut at 300', RECORDING.subarray(0, 300), ['recover', PATH, '-o', 'saved.mcap']),
    malformed('recovered from text', '', Buffer.from('a,b\n'), ['recover', PATH, '-o', 'saved.mcap']),
  ];
}
