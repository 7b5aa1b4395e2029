import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { copyFileSync, existsSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { McapRecordBuilder, Opcode } from '@mcap/core';
import { describe, expect, it } from 'vitest';
import { InputError } from '../../../host/common/input-error.js';
import { type Contract, describeContract } from '../../../host/contract/contract.js';
import {
  type MessageName,
  messageBytes,
  messageRecords,
  RECORDING_MESSAGES,
  type RecordingMessage,
  writeMessage,
} from '../../../host/contract/messages.js';
import { layoutHash, readLayout, StartTime, timeOfTick } from '../../../host/recording/format.js';
import { openRecording } from '../../../host/recording/reader.js';
import { recoverRecording } from '../../../host/recording/recover.js';
import { RecordingWriter } from '../../../host/recording/writer.js';
import { PROJECT } from '../../support/project.js';
import { refusalOf } from '../../support/refusal.js';
import { temporaryFolder } from '../../support/temporary-folder.js';

const contract = describeContract();
const folder = temporaryFolder();

let files = 0;
const newFile = (): string => join(folder, `${++files}.mcap`);
const partials = (): string[] => readdirSync(folder).filter((name) => name.includes('.partial'));

/** A payload whose every byte differs from tick to tick. */
function payloadOf(message: MessageName, rows: number, tick: number): Uint8Array {
  const payload = new Uint8Array(messageBytes(contract, message, rows));
  for (let at = 0; at < payload.length; at++) payload[at] = Math.imul(tick + 1, 31 + at) >>> 3;
  return payload;
}

function record(path: string, rows: number, ticks: number, messages: readonly MessageName[] = ['input']): string {
  const writer = RecordingWriter.create(path, { contract, rows, tickHz: 1000, messages, about: { title: 'A drive' } });
  for (let tick = 0; tick < ticks; tick++) for (const message of messages) writer.write(message, tick, payloadOf(message, rows, tick));
  writer.close();
  return path;
}

interface Read {
  readonly message: RecordingMessage;
  readonly tick: number;
  readonly bytes: string;
}

/** Reads as many messages as possible, and the error that ended it. */
function readAll(path: string): { read: Read[]; error?: InputError } {
  const read: Read[] = [];
  try {
    for (const { message, tick, payload } of openRecording(path, contract).messages()) {
      read.push({ message, tick, bytes: Buffer.from(payload).toString('hex') });
    }
  } catch (error) {
    if (error instanceof InputError) return { read, error };
    throw error;
  }
  return { read };
}

/** Finds each record of an MCAP file by op and length alone. */
function recordsIn(bytes: Buffer): { op: number; at: number; end: number }[] {
  const found: { op: number; at: number; end: number }[] = [];
  for (let at = 8; at + 9 <= bytes.length - 8; ) {
    const end = at + 9 + Number(bytes.readBigUInt64LE(at + 1));
    found.push({ op: bytes[at] ?? 0, at, end });
    at = end;
  }
  return found;
}

const chunksIn = (bytes: Buffer): { at: number; end: number }[] => recordsIn(bytes).filter(({ op }) => op === Opcode.CHUNK);

/** Numbers from 0 to 1 by mulberry32, so that a failure can be repeated. */
function seeded(seed: number): () => number {
  let state = seed;
  return () => {
    state = (state + 0x6d2b79f5) | 0;
    let mixed = Math.imul(state ^ (state >>> 15), 1 | state);
    mixed = (mixed + Math.imul(mixed ^ (mixed >>> 7), 61 | mixed)) ^ mixed;
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4294967296;
  };
}

const RECOVER = 'Run `latchbench recover` to save the intact part.';

// 24 rows: 9 + 22 + 4 + (20 + 24 · 12) = 343 bytes a message; 65536 / 343 = 191.07, so 191 messages fill a chunk.

const ROWS = 24;
const PER_CHUNK = 191;
const TICKS = 1000;

describe('the time of a tick', () => {
  it.each([
    [0, 1000, 0],
    [1, 1000, 1_000_000],
    [1, 1500, 666_667],
    [2, 1500, 1_333_333],
    [3, 1500, 2_000_000],
    [172_800_000, 2000, 86_400_000_000_000],
    [4_294_967_295, 1000, 4_294_967_295_000_000],
  ])('of tick %i at %i Hz is %i ns', (tick, tickHz, time) => {
    expect(timeOfTick(tick, tickHz)).toBe(time);
  });
});

describe('a start time', () => {
  const starts = [0n, 1n, 0xffffffffn, 0x100000000n, 946_684_800_000_000_000n, 1_777_533_120_250_000_001n, 7_258_118_399_999_999_999n];
  const afters = [0, 1, 999_999, 0xffffffff, 0x100000000, 86_400_000_000_000, 4_294_967_295_000_000];

  it.each(starts)('of %s ns is added to the time of each tick as 64-bit integers are, and subtracted again', (ns) => {
    const view = new DataView(new ArrayBuffer(16));
    for (const after of afters) {
      const start = new StartTime(ns);
      start.write(view, 8, after);
      expect(view.getBigUint64(8, true)).toBe(ns + BigInt(after));
      expect(start.read(view, 8)).toBe(after);
    }
  });

  it('is later than a time before it', () => {
    const view = new DataView(new ArrayBuffer(8));
    view.setBigUint64(0, 5_000_000_000n, true);
    expect(new StartTime(12_000_000_000n).read(view, 0)).toBe(-7_000_000_000);
  });
});

describe('a recording', () => {
  it('returns every message in order, with tick and bytes', () => {
    const messages: MessageName[] = ['input', 'output', 'probe'];
    const { read, error } = readAll(record(newFile(), 3, 40, messages));
    expect(error).toBeUndefined();
    expect(read).toHaveLength(120);
    for (const [index, one] of read.entries()) {
      const message = messages[index % 3] ?? 'input';
      const tick = Math.floor(index / 3);
      expect(one).toEqual({ message, tick, bytes: Buffer.from(payloadOf(message, 3, tick)).toString('hex') });
    }
  });

  it('has a head that can be read before the first message', () => {
    const recording = openRecording(record(newFile(), 3, 40, ['input', 'probe']), contract);
    expect(recording.rows).toBe(3);
    expect(recording.tickHz).toBe(1000);
    expect(recording.contractHash).toBe(contract.hash);
    expect(recording.about).toEqual({ title: 'A drive' });
    expect(recording.version).toMatch(/^\d+\.\d+\.\d+$/);
    expect(recording.counts).toEqual({ input: 40, probe: 40 });
    expect(recording.count).toBe(80);
    expect(recording.channels.map(({ message, layout }) => [message, layout.bytes])).toEqual([
      ['input', 20 + 3 * 12],
      ['probe', 44 + 3 * 172],
    ]);
  });

  it('may have no messages', () => {
    const recording = openRecording(record(newFile(), 1, 0), contract);
    expect(recording.count).toBe(0);
    expect([...recording.messages()]).toEqual([]);
  });

  it('keeps the bits of NaN and -0', () => {
    const path = newFile();
    const writer = RecordingWriter.create(path, { contract, rows: 1, tickHz: 1000, messages: ['input'] });
    const payload = new Uint8Array(32);
    payload.set([0x45, 0x23, 0xc1, 0x7f, 0, 0, 0, 0x80]);
    writer.write('input', 0, payload);
    writer.close();
    expect(readAll(path).read[0]?.bytes).toMatch(/^4523c17f00000080/);
  });

  it('is the same file byte for byte after the same calls', () => {
    expect(readFileSync(record(newFile(), 3, 500)).equals(readFileSync(record(newFile(), 3, 500)))).toBe(true);
  });

  it.each([
    ['fills a chunk up to 64 KiB', 'input', ROWS, 1000, 20 + ROWS * 12, [191, 191, 191, 191, 191, 45]],
    ['starts a new chunk after a second', 'output', 1, 2500, 8 + 8, [1000, 1000, 500]],
  ] as const)('%s', (_, message, rows, ticks, payload, expected) => {
    const bytes = readFileSync(record(newFile(), rows, ticks, [message]));
    const size = 35 + payload;
    // The uncompressed size is 16 bytes after the start of the content.
    expect(chunksIn(bytes).map(({ at }) => Number(bytes.readBigUInt64LE(at + 9 + 16)) / size)).toEqual(expected);
  });

  it('has an index of each channel after each chunk, and a summary grouped by kind', () => {
    const ops = recordsIn(readFileSync(record(newFile(), 1, 1500, ['input', 'output']))).map(({ op }) => op);
    // 1 header, 12 metadata, 3 schema, 4 channel, 6 chunk, 7 message index, 15 end of data, 11 statistics, 8 chunk index,
    // 13 metadata index, 14 summary offset, 2 footer.
    // 67 + 51 bytes a tick: 555 ticks fill a chunk.
    const chunks = [6, 7, 7, 6, 7, 7, 6, 7, 7];
    const summary = [3, 3, 4, 4, 11, 8, 8, 8, 13];
    expect(ops).toEqual([1, 12, 3, 3, 4, 4, ...chunks, 15, ...summary, 14, 14, 14, 14, 14, 2]);
  });
});

describe('the message generator', () => {
  it('misses no message if a chunk claims to end too early', () => {
    const path = record(newFile(), ROWS, TICKS);
    const bytes = readFileSync(path);
    const second = chunksIn(bytes)[1]?.at ?? 0;
    // The end time is 8 bytes after the start of the content; its third byte counts 65,536 ns.
    bytes[second + 9 + 8 + 3] = (bytes[second + 9 + 8 + 3] ?? 0) - 4;
    writeFileSync(path, bytes);
    // Ticks 191 to 381 are in the second chunk, which now claims to end before tick 320.
    expect(() => [...openRecording(path).messages({ fromTick: 320, toTick: 330 })]).toThrow(
      /the last time in the index of a skipped chunk is 381000000; it must be before 320000000 ns, as the chunk says/,
    );
  });

  it('reuses one payload for each kind of message, at a multiple of 8', () => {
    const payloads: Record<string, Set<Uint8Array>> = { input: new Set(), output: new Set() };
    const path = record(newFile(), 5, 10, ['input', 'output']);
    for (const { message, payload } of openRecording(path).messages()) payloads[message]?.add(payload);
    for (const views of Object.values(payloads)) {
      expect(views.size).toBe(1);
      expect([...views][0]?.byteOffset ?? 1).toSatisfy((offset: number) => offset % 8 === 0);
    }
  });

  it.each([
    ['all', {}, 0, 999, 2000],
    ['from a tick on', { fromTick: 600 }, 600, 999, 800],
    ['up to a tick', { toTick: 3 }, 0, 3, 8],
    ['one tick', { fromTick: 500, toTick: 500 }, 500, 500, 2],
    ['one kind', { messages: ['output'] as const }, 0, 999, 1000],
  ])('yields %s', (_, filter, first, last, count) => {
    const path = record(newFile(), ROWS, TICKS, ['input', 'output']);
    const ticks: number[] = [];
    for (const { tick } of openRecording(path).messages(filter)) ticks.push(tick);
    expect([ticks[0], ticks.at(-1), ticks.length]).toEqual([first, last, count]);
  });

  it.skipIf(process.platform !== 'linux')('closes the file when the loop ends early', () => {
    const path = record(newFile(), 3, 10);
    const before = readdirSync('/proc/self/fd').length;
    for (const { tick } of openRecording(path).messages()) if (tick === 2) break;
    expect(readdirSync('/proc/self/fd')).toHaveLength(before);
  });
});

describe('the writer', () => {
  it('writes to a temporary name until it is closed', () => {
    const path = newFile();
    const writer = RecordingWriter.create(path, { contract, rows: 1, tickHz: 1000, messages: ['input'] });
    expect([existsSync(path), existsSync(`${path}.partial`)]).toEqual([false, true]);
    writer.close();
    expect([existsSync(path), existsSync(`${path}.partial`)]).toEqual([true, false]);
  });

  it('leaves nothing behind when it is abandoned', () => {
    const path = newFile();
    RecordingWriter.create(path, { contract, rows: 1, tickHz: 1000, messages: ['input'] }).abandon();
    expect([existsSync(path), existsSync(`${path}.partial`)]).toEqual([false, false]);
  });

  it('does not overwrite the partial file of an interrupted writer', () => {
    const path = newFile();
    writeFileSync(`${path}.partial`, 'left');
    const writer = RecordingWriter.create(path, { contract, rows: 1, tickHz: 1000, messages: ['input'] });
    expect(writer.path).toBe(`${path}.partial-2`);
    writer.close();
    expect(readFileSync(`${path}.partial`, 'utf8')).toBe('left');
    rmSync(`${path}.partial`);
  });

  it.each([
    ['a kind of message that was not declared', 'output', 6, 16, 'the recording was created without output messages'],
    ['a payload that is too short', 'input', 6, 31, 'the input payload has 31 bytes; it must have 32'],
    ['a payload that is too long', 'input', 6, 33, 'the input payload has 33 bytes; it must have 32'],
    ['a tick that goes backwards', 'input', 4, 32, 'the input tick is 4, after tick 5'],
    ['a second message of the same tick', 'input', 5, 32, 'the input tick is 5, after tick 5'],
    ['half a tick', 'input', 5.5, 32, 'the input tick is 5.5, after tick 5'],
    ['a tick of more than 32 bits', 'input', 4294967296, 32, 'the input tick is 4294967296, after tick 5'],
    ['NaN', 'input', Number.NaN, 32, 'the input tick is NaN, after tick 5'],
  ] as const)('refuses %s', (_, message, tick, bytes, words) => {
    const writer = RecordingWriter.create(newFile(), { contract, rows: 1, tickHz: 1000, messages: ['input'] });
    writer.write('input', 5, new Uint8Array(32));
    expect(() => writer.write(message, tick, new Uint8Array(bytes))).toThrow(words);
    writer.abandon();
  });

  it('names the file whose folder is missing', () => {
    const path = join(folder, 'nowhere', 'run.mcap');
    const options = { contract, rows: 1, tickHz: 1000, messages: ['input'] } as const;
    const error = refusalOf(() => RecordingWriter.create(path, options));
    expect(error.message).toBe(`${path}: its folder does not exist.`);
  });
});

describe('the reader refuses', () => {
  const intact = record(newFile(), ROWS, TICKS);
  const bytes = readFileSync(intact);
  const chunks = chunksIn(bytes);
  const secondChunk = chunks[1]?.at ?? 0;
  const dataEnd = recordsIn(bytes).find(({ op }) => op === Opcode.DATA_END)?.at ?? 0;

  /** The intact file with some bytes changed. */
  function damaged(...changes: [at: number, byte: number][]): string {
    const path = newFile();
    const copy = Buffer.from(bytes);
    for (const [at, byte] of changes) copy[at] = byte;
    writeFileSync(path, copy);
    return path;
  }

  it.each([
    ['a file without the magic', () => damaged([0, 0]), 'byte 0: this is not a recording (an MCAP file)'],
    ['a record of unknown kind', () => damaged([8, 0x7f]), 'byte 8: the record kind is 127; it must be one of the kinds 1 to 15'],
    ['a record that is too long', () => damaged([14, 1]), 'byte 8: the record length is 1099511627'],
    ['a changed bit in a chunk', () => damaged([secondChunk + 70, (bytes[secondChunk + 70] ?? 0) ^ 1]), `byte ${secondChunk}: `],
    ['a changed checksum of a chunk', () => damaged([secondChunk + 33, 1]), `byte ${secondChunk}: the checksum of a chunk is `],
    ['another compression', () => damaged([secondChunk + 41, 0x78]), `byte ${secondChunk}: the compression is "xstd"; it must be zstd.`],
    [
      'a chunk that unpacks to gigabytes',
      () => damaged([secondChunk + 29, 1]),
      `byte ${secondChunk}: the unpacked size of a chunk is 4295032809; it must be at most`,
    ],
    [
      'a changed checksum of the file',
      () => damaged([dataEnd + 9, (bytes[dataEnd + 9] ?? 0) ^ 1]),
      `byte ${dataEnd}: the checksum of the file is `,
    ],
    [
      'an end of data of another length',
      () => damaged([dataEnd + 1, 3]),
      `byte ${dataEnd}: the length of the end of data is 3; it must be 4.`,
    ],
    [
      'a changed summary',
      () => damaged([dataEnd + 40, (bytes[dataEnd + 40] ?? 0) ^ 1]),
      `byte ${dataEnd + 13}: the checksum of the summary is wrong. ${RECOVER}`,
    ],
  ])('%s', (_, make, words) => {
    expect(readAll(make()).error?.message).toContain(words);
  });

  it('an empty file', () => {
    const path = newFile();
    writeFileSync(path, '');
    const words = `${path}: the file is empty.`;
    expect(refusalOf(() => openRecording(path)).message).toBe(words);
  });

  it('a file that is missing, and a folder', () => {
    expect(refusalOf(() => openRecording('nowhere.mcap')).message).toBe('nowhere.mcap: no such file.');
    expect(refusalOf(() => openRecording(folder)).message).toBe(`${folder}: this is a folder; it must be a file.`);
  });

  it('a file without its end, at its last byte', () => {
    const path = newFile();
    writeFileSync(path, bytes.subarray(0, bytes.length - 1));
    const words = `${path}: byte ${bytes.length - 1}: the file is truncated: its end is missing. ${RECOVER}`;
    expect(refusalOf(() => openRecording(path)).message).toBe(words);
  });

  it('an MCAP file that another program wrote', () => {
    const path = newFile();
    const builder = new McapRecordBuilder();
    builder.writeMagic();
    builder.writeHeader({ profile: '', library: 'another' });
    builder.writeDataEnd({ dataSectionCrc: 0 });
    writeFileSync(path, builder.buffer);
    // Magic 8, header 9 + 4 + 4 + 7.
    expect(refusalOf(() => openRecording(path)).message).toContain(
      'byte 32: this is not a latchbench recording: the file has no metadata record "latchbench".',
    );
  });

  it('a layout other than the contract has, and names both hashes', () => {
    const records = contract.records.map((one) =>
      one.name === 'RowInput' ? { ...one, fields: one.fields.map((field) => ({ ...field, name: `other${field.name}` })) } : one,
    );
    const other: Contract = { ...contract, records };
    const [here, there] = [contract, other].map((one) => layoutHash(writeMessage(one, 'input', ROWS)));
    const words = `${intact}: byte 0: input messages have layout hash ${here}; it must be ${there}, the hash of this contract.`;
    expect(refusalOf(() => openRecording(intact, other)).message).toBe(words);
    expect(here).not.toBe(there);
  });
});

describe('the reader refuses an intact chunk that holds', () => {
  const head = readFileSync(record(newFile(), 1, 0));
  const headEnd = recordsIn(head).find(({ op }) => op === Opcode.DATA_END)?.at ?? 0;

  interface Odd {
    readonly channelId?: number;
    readonly tick?: number;
    readonly time?: number;
    readonly data?: Uint8Array;
  }

  const cdr = (bytes: number): Uint8Array => new Uint8Array([0, 1, 0, 0, ...new Uint8Array(bytes)]);

  /** The head of a real recording, one crafted chunk, and an end that matches it. */
  async function craft(messages: readonly Odd[]): Promise<string> {
    const { compress } = await import('@foxglove/wasm-zstd');
    const { crc32 } = await import('node:zlib');
    const inner = new McapRecordBuilder();
    for (const { channelId = 1, tick = 0, time = tick * 1e6, data = cdr(32) } of messages) {
      const logTime = 946_684_800_000_000_000n + BigInt(time); // from 2000-01-01
      inner.writeMessage({ channelId, sequence: tick, logTime, publishTime: logTime, data });
    }
    const outer = new McapRecordBuilder();
    outer.writeChunk({
      messageStartTime: 0n,
      messageEndTime: 0n,
      uncompressedSize: BigInt(inner.length),
      uncompressedCrc: crc32(inner.buffer),
      compression: 'zstd',
      records: compress(inner.buffer),
    });
    const path = newFile();
    writeFileSync(path, Buffer.concat([head.subarray(0, headEnd), outer.buffer, head.subarray(headEnd)]));
    // The summary moves behind the chunk: its place in the footer, then the checksum over both.
    const bytes = readFileSync(path);
    const summary = headEnd + outer.length + 13;
    bytes.writeBigUInt64LE(BigInt(summary), bytes.length - 28);
    bytes.writeUInt32LE(crc32(bytes.subarray(summary, bytes.length - 12)), bytes.length - 12);
    bytes.writeUInt32LE(crc32(bytes.subarray(0, summary - 13)), summary - 4);
    writeFileSync(path, bytes);
    return path;
  }

  it('nothing wrong: the crafted file itself is intact', async () => {
    expect(readAll(await craft([{ tick: 0 }, { tick: 7 }])).read.map(({ tick }) => tick)).toEqual([0, 7]);
  });

  it.each<[string, readonly Odd[], string]>([
    ['ticks that go backwards', [{ tick: 5 }, { tick: 4 }], 'the tick of an input message is 4; it must be later than 5.'],
    ['a tick twice', [{ tick: 5 }, { tick: 5 }], 'the tick of an input message is 5; it must be later than 5.'],
    [
      'a log time that does not match its tick',
      [{ tick: 5, time: 5_000_001 }],
      'the time of tick 5 after the start is 5000001; it must be 5000000 ns.',
    ],
    ['an undeclared channel', [{ channelId: 9 }], 'the channel of a message is 9; it must be declared before the first message.'],
    ['a message of the wrong length', [{ data: cdr(31) }], 'the message length is 57; it must be 58.'],
    ['big-endian data', [{ data: new Uint8Array(36) }], 'the CDR header is 0; it must be 256, little-endian plain CDR.'],
  ])('%s', async (_, messages, words) => {
    expect(readAll(await craft(messages)).error?.message).toContain(`byte ${headEnd}: ${words}`);
  });
});

describe('a damaged recording', () => {
  const intact = record(newFile(), ROWS, TICKS);
  const bytes = readFileSync(intact);
  const chunks = chunksIn(bytes);
  const all = readAll(intact).read;

  it('is refused after each of 200 seeded truncations, and recovered up to the last intact chunk', () => {
    const random = seeded(1);
    let recovered = 0;
    for (let turn = 0; turn < 200; turn++) {
      const length = Math.floor(random() * bytes.length);
      const cut = newFile();
      const saved = newFile();
      writeFileSync(cut, bytes.subarray(0, length));
      expect(readAll(cut).error, `seed 1, turn ${turn}`).toBeDefined();
      const chunksLeft = chunks.filter(({ end }) => end <= length).length;
      const messagesLeft = Math.min(TICKS, chunksLeft * PER_CHUNK);
      if (messagesLeft === 0) {
        refusalOf(() => recoverRecording(cut, saved));
        expect(existsSync(saved)).toBe(false);
      } else {
        expect(recoverRecording(cut, saved).recovered).toBe(messagesLeft);
        expect(readAll(saved)).toEqual({ read: all.slice(0, messagesLeft) });
        recovered++;
      }
    }
    expect(recovered).toBeGreaterThan(100);
    expect(partials()).toEqual([]);
  }, 60_000);

  it('is refused after each of 50 seeded bit flips, and never yields a wrong message', () => {
    const random = seeded(2);
    for (let turn = 0; turn < 50; turn++) {
      const at = Math.floor(random() * bytes.length);
      const copy = Buffer.from(bytes);
      copy[at] = (copy[at] ?? 0) ^ (1 << Math.floor(random() * 8));
      const path = newFile();
      writeFileSync(path, copy);
      const { read, error } = readAll(path);
      expect(error, `seed 2, turn ${turn}, byte ${at}`).toBeDefined();
      expect(read).toEqual(all.slice(0, read.length));
    }
  }, 60_000);

  it('has a known loss if its end is intact', () => {
    const copy = Buffer.from(bytes);
    const at = chunks[1]?.at ?? 0;
    copy[at + 100] = (copy[at + 100] ?? 0) ^ 4;
    const path = newFile();
    const saved = newFile();
    writeFileSync(path, copy);
    expect(recoverRecording(path, saved)).toMatchObject({ recovered: 191, lost: 809, damage: { atByte: at } });
    expect(openRecording(saved, contract).about).toEqual({ title: 'A drive' });
  });

  it('loses nothing if only its end is damaged', () => {
    const path = newFile();
    writeFileSync(path, bytes.subarray(0, -1));
    const saved = newFile();
    expect(recoverRecording(path, saved)).toEqual({
      recovered: 1000,
      damage: { reason: 'the file is truncated: its end is missing', atByte: bytes.length - 1 },
    });
    expect(readFileSync(saved).equals(bytes)).toBe(true);
  });

  it('is copied if there is no damage', () => {
    const saved = newFile();
    expect(recoverRecording(intact, saved)).toEqual({ recovered: 1000, lost: 0 });
    expect(readFileSync(saved).equals(bytes)).toBe(true);
  });

  it('is not overwritten by its own recovery', () => {
    const words = `${intact}: the output file is also an input. Choose another output file.`;
    expect(refusalOf(() => recoverRecording(intact, intact)).message).toBe(words);
  });
});

describe('an interrupted writer', () => {
  it('leaves a file that can be recovered up to its last chunk', () => {
    const path = newFile();
    const writer = RecordingWriter.create(path, { contract, rows: ROWS, tickHz: 1000, messages: ['input'] });
    for (let tick = 0; tick < 600; tick++) writer.write('input', tick, payloadOf('input', ROWS, tick));
    const left = newFile();
    copyFileSync(writer.path, left);
    writer.abandon();
    expect(recoverRecording(left, path)).toMatchObject({
      recovered: 3 * PER_CHUNK,
      damage: { reason: 'the file is truncated: this record is not complete' },
    });
    expect(readAll(path).read).toHaveLength(3 * PER_CHUNK);
  });

  it('may be killed', async () => {
    const path = newFile();
    const script = join(folder, 'endless.mts');
    const module = (name: string): string => JSON.stringify(pathToFileURL(join(PROJECT.root, 'host', name)).href);
    writeFileSync(
      script,
      `const { RecordingWriter } = await import(${module('recording/writer.ts')});
       const { describeContract } = await import(${module('contract/contract.ts')});
       const writer = RecordingWriter.create(process.argv[2], { contract: describeContract(), rows: 24, tickHz: 1000, messages: ['input'] });
       for (let tick = 0; ; tick++) { writer.write('input', tick, new Uint8Array(308)); if (tick === 2000) console.log('running'); }`,
    );
    const child = spawn(process.execPath, ['--import', 'tsx', script, path], { cwd: PROJECT.root, stdio: ['ignore', 'pipe', 'inherit'] });
    await once(child.stdout, 'data');
    child.kill('SIGKILL');
    await once(child, 'exit');
    expect(existsSync(path)).toBe(false);
    const saved = newFile();
    const { recovered } = recoverRecording(`${path}.partial`, saved);
    // 2000 messages are 10 full chunks of 191 and a rest.
    expect(recovered).toBeGreaterThanOrEqual(10 * PER_CHUNK);
    expect(openRecording(saved, contract).count).toBe(recovered);
    rmSync(`${path}.partial`);
  }, 30_000);
});

describe('a schema text', () => {
  it.each(Object.keys(RECORDING_MESSAGES) as RecordingMessage[])('of %s messages reads back as the records of the contract', (message) => {
    const layout = readLayout(writeMessage(contract, message, 7));
    const { bank, row } = messageRecords(contract, message);
    const records = [bank, row];
    const properties = (fields: readonly { name: string; type: string; unit: string; offset: number }[] | undefined): unknown =>
      fields?.map(({ name, type, unit, offset }) => ({ name, type, unit, offset }));
    expect([properties(layout.bank.fields), properties(layout.row.fields)]).toEqual(records.map((one) => properties(one.fields)));
    expect([layout.rows, layout.bytes]).toEqual([7, messageBytes(contract, message, 7)]);
  });

  it('is read in time that grows as its length, whatever its comments', () => {
    // A carriage return ends a line for a regular expression, but not in a schema.
    const comment = '#'.repeat(1 << 19);
    const start = performance.now();
    expect(layoutHash(`uint8 a ${comment}\r\nuint8 b\n`)).toBe(layoutHash('uint8 a\nuint8 b\n'));
    expect(() => readLayout(`${'='.repeat(1 << 19)}\n${comment}\n`)).toThrow('not a bank record with rows');
    expect(performance.now() - start).toBeLessThan(2000);
  });

  it('has a hash that does not depend on its comments', () => {
    expect(layoutHash('uint8 a # none: one\nuint8 b\n')).toBe(layoutHash('uint8 a # none: another\nuint8 b\n'));
    expect(layoutHash('uint8 a\n')).not.toBe(layoutHash('uint16 a\n'));
  });
});
