import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { copyFileSync, existsSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { McapRecordBuilder, Opcode } from '@mcap/core';
import { afterAll, describe, expect, it } from 'vitest';
import { InputError } from '../../../host/common/input-error.js';
import { ROOT } from '../../../host/common/project.js';
import { type Contract, describeContract } from '../../../host/contract/contract.js';
import { MESSAGES, type MessageName, messageBytes, messageRecords, writeMessage } from '../../../host/contract/messages.js';
import { layoutHash, readLayout, timeOfTick } from '../../../host/recording/format.js';
import { openRecording } from '../../../host/recording/reader.js';
import { recoverRecording } from '../../../host/recording/recover.js';
import { RecordingWriter } from '../../../host/recording/writer.js';

const contract = describeContract();
const folder = mkdtempSync(join(tmpdir(), 'latchbench-recording-'));
afterAll(() => rmSync(folder, { recursive: true }));

let files = 0;
const newFile = (): string => join(folder, `${++files}.mcap`);
const partials = (): string[] => readdirSync(folder).filter((name) => name.includes('.partial'));

/** A payload that differs from tick to tick in every byte position that a row has. */
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
  readonly message: MessageName;
  readonly tick: number;
  readonly bytes: string;
}

/** What can be read, and the error that ended it. */
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

/** Where each record of an MCAP file stands, by its op and length alone. */
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

function errorOf(run: () => unknown): InputError {
  try {
    run();
  } catch (error) {
    if (error instanceof InputError) return error;
    throw error;
  }
  throw new Error('no error was thrown');
}

/** Numbers from 0 to 1: mulberry32, so that a failure can be repeated. */
function seeded(seed: number): () => number {
  let state = seed;
  return () => {
    state = (state + 0x6d2b79f5) | 0;
    let mixed = Math.imul(state ^ (state >>> 15), 1 | state);
    mixed = (mixed + Math.imul(mixed ^ (mixed >>> 7), 61 | mixed)) ^ mixed;
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4294967296;
  };
}

// 24 rows: 9 + 22 + 4 + (20 + 24 · 8) = 247 bytes a message; 65536 / 247 = 265.3, so 265 messages fill a chunk.
const ROWS = 24;
const PER_CHUNK = 265;
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

describe('a recording', () => {
  it('gives back every message in order, with ticks and bytes', () => {
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

  it('says what it holds before the first message is read', () => {
    const recording = openRecording(record(newFile(), 3, 40, ['input', 'probe']), contract);
    expect(recording.rows).toBe(3);
    expect(recording.tickHz).toBe(1000);
    expect(recording.contractHash).toBe(contract.hash);
    expect(recording.about).toEqual({ title: 'A drive' });
    expect(recording.version).toMatch(/^\d+\.\d+\.\d+$/);
    expect(recording.counts).toEqual({ input: 40, probe: 40 });
    expect(recording.count).toBe(80);
    expect(recording.channels.map(({ message, layout }) => [message, layout.bytes])).toEqual([
      ['input', 20 + 3 * 8],
      ['probe', 40 + 3 * 164],
    ]);
  });

  it('may hold no message at all', () => {
    const recording = openRecording(record(newFile(), 1, 0), contract);
    expect(recording.count).toBe(0);
    expect([...recording.messages()]).toEqual([]);
  });

  it('keeps the bits of not-a-number and of minus zero', () => {
    const path = newFile();
    const writer = RecordingWriter.create(path, { contract, rows: 1, tickHz: 1000, messages: ['input'] });
    const payload = new Uint8Array(28);
    payload.set([0x45, 0x23, 0xc1, 0x7f, 0, 0, 0, 0x80]);
    writer.write('input', 0, payload);
    writer.close();
    expect(readAll(path).read[0]?.bytes).toMatch(/^4523c17f00000080/);
  });

  it('is the same file, byte for byte, when the same calls are made again', () => {
    expect(readFileSync(record(newFile(), 3, 500)).equals(readFileSync(record(newFile(), 3, 500)))).toBe(true);
  });

  it.each([
    ['fills a chunk up to 64 KiB', ROWS, 1000, [265, 265, 265, 205]],
    ['begins a new chunk after a second', 1, 2500, [1000, 1000, 500]],
  ])('%s', (_, rows, ticks, expected) => {
    const bytes = readFileSync(record(newFile(), rows, ticks));
    const size = 35 + 20 + rows * 8;
    // The size before compression stands 16 bytes behind the start of the content.
    expect(chunksIn(bytes).map(({ at }) => Number(bytes.readBigUInt64LE(at + 9 + 16)) / size)).toEqual(expected);
  });

  it('has no message index and no chunk index', () => {
    const ops = new Set(recordsIn(readFileSync(record(newFile(), 3, 100))).map(({ op }) => op));
    expect([...ops].sort((a, b) => a - b)).toEqual([1, 2, 3, 4, 6, 11, 12, 15]);
  });
});

describe('the generator of messages', () => {
  it('uses one payload for each kind of message again and again, at a multiple of 8', () => {
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
  ])('yields %s', (_, choice, first, last, count) => {
    const path = record(newFile(), ROWS, TICKS, ['input', 'output']);
    const ticks = [...openRecording(path).messages(choice)].length;
    const seen: number[] = [];
    for (const { tick } of openRecording(path).messages(choice)) seen.push(tick);
    expect([seen[0], seen.at(-1), ticks]).toEqual([first, last, count]);
  });

  it.skipIf(process.platform !== 'linux')('closes the file when it is left early', () => {
    const path = record(newFile(), 3, 10);
    const before = readdirSync('/proc/self/fd').length;
    for (const { tick } of openRecording(path).messages()) if (tick === 2) break;
    expect(readdirSync('/proc/self/fd')).toHaveLength(before);
  });

  it('needs no more memory for 600,000 messages than for the first thousand', () => {
    const path = newFile();
    const writer = RecordingWriter.create(path, { contract, rows: ROWS, tickHz: 1000, messages: ['input'] });
    const payload = payloadOf('input', ROWS, 1);
    for (let tick = 0; tick < 600_000; tick++) writer.write('input', tick, payload);
    writer.close();
    let start = 0;
    let most = 0;
    for (const { tick } of openRecording(path).messages()) {
      if (tick % 1000 !== 999) continue;
      const { rss } = process.memoryUsage();
      if (start === 0) start = rss;
      most = Math.max(most, rss);
    }
    // Unpacked, the messages are 148 MB.
    expect(start).toBeGreaterThan(0);
    expect(most - start).toBeLessThan(64e6);
  }, 60_000);
});

describe('the writer', () => {
  it('writes under another name until it is closed', () => {
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

  it('does not overwrite what an interrupted writer left', () => {
    const path = newFile();
    writeFileSync(`${path}.partial`, 'left');
    const writer = RecordingWriter.create(path, { contract, rows: 1, tickHz: 1000, messages: ['input'] });
    expect(writer.path).toBe(`${path}.partial-2`);
    writer.close();
    expect(readFileSync(`${path}.partial`, 'utf8')).toBe('left');
    rmSync(`${path}.partial`);
  });

  it.each([
    ['a kind of message that was not announced', 'output', 6, 16, 'the recording was made without output messages'],
    ['a payload that is too short', 'input', 6, 27, 'input has 27 bytes, not 28'],
    ['a payload that is too long', 'input', 6, 29, 'input has 29 bytes, not 28'],
    ['a tick that goes back', 'input', 4, 28, 'input at tick 4 after tick 5'],
    ['a second message of the same tick', 'input', 5, 28, 'input at tick 5 after tick 5'],
    ['half a tick', 'input', 5.5, 28, 'input at tick 5.5 after tick 5'],
    ['a tick of more than 32 bits', 'input', 4294967296, 28, 'input at tick 4294967296 after tick 5'],
    ['not a number', 'input', Number.NaN, 28, 'input at tick NaN after tick 5'],
  ] as const)('refuses %s', (_, message, tick, bytes, words) => {
    const writer = RecordingWriter.create(newFile(), { contract, rows: 1, tickHz: 1000, messages: ['input'] });
    writer.write('input', 5, new Uint8Array(28));
    expect(() => writer.write(message, tick, new Uint8Array(bytes))).toThrow(words);
    writer.abandon();
  });

  it('says which folder is missing', () => {
    const path = join(folder, 'nowhere', 'run.mcap');
    const options = { contract, rows: 1, tickHz: 1000, messages: ['input'] } as const;
    const error = errorOf(() => RecordingWriter.create(path, options));
    expect(error.message).toBe(`${path}: not found — allowed: a folder that can be written to`);
  });
});

describe('the reader refuses', () => {
  const sound = record(newFile(), ROWS, TICKS);
  const bytes = readFileSync(sound);
  const chunks = chunksIn(bytes);
  const secondChunk = chunks[1]?.at ?? 0;
  const dataEnd = recordsIn(bytes).find(({ op }) => op === Opcode.DATA_END)?.at ?? 0;

  /** The sound file with some bytes set. */
  function damaged(...changes: [at: number, byte: number][]): string {
    const path = newFile();
    const copy = Buffer.from(bytes);
    for (const [at, byte] of changes) copy[at] = byte;
    writeFileSync(path, copy);
    return path;
  }

  it.each([
    ['a file without the magic', () => damaged([0, 0]), 'byte 0: file that does not start with the MCAP magic'],
    ['a record of no known kind', () => damaged([8, 0x7f]), 'byte 8: record kind 127'],
    ['a length that no record has', () => damaged([14, 1]), 'byte 8: record length 1099511627'],
    ['a changed bit in a chunk', () => damaged([secondChunk + 70, (bytes[secondChunk + 70] ?? 0) ^ 1]), `byte ${secondChunk}: `],
    ['a changed checksum of a chunk', () => damaged([secondChunk + 33, 1]), `byte ${secondChunk}: checksum of a chunk `],
    ['another compression', () => damaged([secondChunk + 41, 0x78]), `byte ${secondChunk}: compression "xstd" — allowed: zstd`],
    ['a chunk that unpacks to gigabytes', () => damaged([secondChunk + 29, 1]), `byte ${secondChunk}: unpacked size 4295032751`],
    [
      'a changed checksum of the file',
      () => damaged([dataEnd + 9, (bytes[dataEnd + 9] ?? 0) ^ 1]),
      `byte ${dataEnd}: checksum of the file `,
    ],
    [
      'a changed summary',
      () => damaged([dataEnd + 40, (bytes[dataEnd + 40] ?? 0) ^ 1]),
      `byte ${dataEnd + 13}: summary with a wrong checksum`,
    ],
  ])('%s', (_, make, words) => {
    expect(readAll(make()).error?.message).toContain(words);
  });

  it('an empty file', () => {
    const path = newFile();
    writeFileSync(path, '');
    const words = `${path}: byte 0: file that does not start with the MCAP magic — allowed: a recording (MCAP)`;
    expect(errorOf(() => openRecording(path)).message).toBe(words);
  });

  it('a file that is missing, and a folder', () => {
    expect(errorOf(() => openRecording('nowhere.mcap')).message).toBe('nowhere.mcap: not found — allowed: a file that can be read');
    expect(errorOf(() => openRecording(folder)).message).toBe(`${folder}: a folder — allowed: a file that can be read`);
  });

  it('a file without its end, at its last byte', () => {
    const path = newFile();
    writeFileSync(path, bytes.subarray(0, bytes.length - 1));
    const words = `${path}: byte ${bytes.length - 1}: end of file without a footer — allowed: a recording that was closed: recover it first`;
    expect(errorOf(() => openRecording(path)).message).toBe(words);
  });

  it('an MCAP file that another program wrote', () => {
    const path = newFile();
    const builder = new McapRecordBuilder();
    builder.writeMagic();
    builder.writeHeader({ profile: '', library: 'another' });
    builder.writeDataEnd({ dataSectionCrc: 0 });
    writeFileSync(path, builder.buffer);
    // Magic 8, header 9 + 4 + 4 + 7.
    expect(errorOf(() => openRecording(path)).message).toContain('byte 32: no metadata record “latchbench”');
  });

  it('a layout that is not the contract’s, and names both hashes', () => {
    const records = contract.records.map((one) =>
      one.name === 'RowInput' ? { ...one, fields: one.fields.map((field) => ({ ...field, name: `other${field.name}` })) } : one,
    );
    const other: Contract = { ...contract, records };
    const [here, there] = [contract, other].map((one) => layoutHash(writeMessage(one, 'input', ROWS)));
    const words = `${sound}: byte 0: layout hash of input messages "${here}" — allowed: ${there}, that of this contract`;
    expect(errorOf(() => openRecording(sound, other)).message).toBe(words);
    expect(here).not.toBe(there);
  });
});

describe('the reader refuses a sound chunk that holds', () => {
  const head = readFileSync(record(newFile(), 1, 0));
  const headEnd = recordsIn(head).find(({ op }) => op === Opcode.DATA_END)?.at ?? 0;

  interface Odd {
    readonly channelId?: number;
    readonly tick?: number;
    readonly time?: number;
    readonly data?: Uint8Array;
  }

  const cdr = (bytes: number): Uint8Array => new Uint8Array([0, 1, 0, 0, ...new Uint8Array(bytes)]);

  /** The head of a real recording, one chunk of our own, and an end that says so much. */
  async function craft(messages: readonly Odd[]): Promise<string> {
    const { compress } = await import('@foxglove/wasm-zstd');
    const { crc32 } = await import('node:zlib');
    const inner = new McapRecordBuilder();
    for (const { channelId = 1, tick = 0, time = tick * 1e6, data = cdr(28) } of messages) {
      inner.writeMessage({ channelId, sequence: tick, logTime: BigInt(time), publishTime: BigInt(time), data });
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

  it('nothing odd: the crafted file itself is sound', async () => {
    expect(readAll(await craft([{ tick: 0 }, { tick: 7 }])).read.map(({ tick }) => tick)).toEqual([0, 7]);
  });

  it.each<[string, readonly Odd[], string]>([
    ['ticks that go back', [{ tick: 5 }, { tick: 4 }], 'input tick 4 — allowed: ticks after 5'],
    ['a tick twice', [{ tick: 5 }, { tick: 5 }], 'input tick 5 — allowed: ticks after 5'],
    ['a log time that is not its tick’s', [{ tick: 5, time: 5_000_001 }], 'log time of tick 5 5000001 — allowed: 5000000 ns'],
    ['a channel that was never said', [{ channelId: 9 }], 'channel 9 — allowed: a channel said before the first message'],
    ['a message of the wrong length', [{ data: cdr(27) }], 'message length 53 — allowed: 54'],
    ['big-endian data', [{ data: new Uint8Array(32) }], 'CDR header 0 — allowed: little-endian plain CDR'],
  ])('%s', async (_, messages, words) => {
    expect(readAll(await craft(messages)).error?.message).toContain(`byte ${headEnd}: ${words}`);
  });
});

describe('a damaged recording', () => {
  const sound = record(newFile(), ROWS, TICKS);
  const bytes = readFileSync(sound);
  const chunks = chunksIn(bytes);
  const whole = readAll(sound).read;

  it('is refused after each of 200 seeded truncations, and recovered up to the last whole chunk', () => {
    const random = seeded(1);
    let recovered = 0;
    for (let turn = 0; turn < 200; turn++) {
      const length = Math.floor(random() * bytes.length);
      const cut = newFile();
      const saved = newFile();
      writeFileSync(cut, bytes.subarray(0, length));
      expect(readAll(cut).error, `seed 1, turn ${turn}`).toBeDefined();
      const intact = chunks.filter(({ end }) => end <= length).length;
      const kept = Math.min(TICKS, intact * PER_CHUNK);
      if (kept === 0) {
        errorOf(() => recoverRecording(cut, saved));
        expect(existsSync(saved)).toBe(false);
      } else {
        expect(recoverRecording(cut, saved).kept).toBe(kept);
        expect(readAll(saved)).toEqual({ read: whole.slice(0, kept) });
        recovered++;
      }
    }
    expect(recovered).toBeGreaterThan(100);
    expect(partials()).toEqual([]);
  }, 60_000);

  it('is refused after each of 50 seeded changes of one bit, and never yields a wrong message', () => {
    const random = seeded(2);
    for (let turn = 0; turn < 50; turn++) {
      const at = Math.floor(random() * bytes.length);
      const copy = Buffer.from(bytes);
      copy[at] = (copy[at] ?? 0) ^ (1 << Math.floor(random() * 8));
      const path = newFile();
      writeFileSync(path, copy);
      const { read, error } = readAll(path);
      expect(error, `seed 2, turn ${turn}, byte ${at}`).toBeDefined();
      expect(read).toEqual(whole.slice(0, read.length));
    }
  }, 60_000);

  it('says how much is lost when its end is still sound', () => {
    const copy = Buffer.from(bytes);
    const at = chunks[1]?.at ?? 0;
    copy[at + 100] = (copy[at + 100] ?? 0) ^ 4;
    const path = newFile();
    const saved = newFile();
    writeFileSync(path, copy);
    expect(recoverRecording(path, saved)).toMatchObject({ kept: 265, lostAtLeast: 735, atByte: at });
    expect(openRecording(saved, contract).about).toEqual({ title: 'A drive' });
  });

  it('keeps everything when only its end is damaged', () => {
    const path = newFile();
    writeFileSync(path, bytes.subarray(0, -1));
    const saved = newFile();
    expect(recoverRecording(path, saved)).toEqual({ kept: 1000, atByte: bytes.length - 1, reason: 'end of file without a footer' });
    expect(readFileSync(saved).equals(bytes)).toBe(true);
  });

  it('is copied when there is no damage', () => {
    const saved = newFile();
    expect(recoverRecording(sound, saved)).toEqual({ kept: 1000, lostAtLeast: 0, atByte: bytes.length, reason: 'no damage' });
    expect(readFileSync(saved).equals(bytes)).toBe(true);
  });

  it('is not overwritten by its own recovery', () => {
    const words = `${sound}: output that is also an input — allowed: another file`;
    expect(errorOf(() => recoverRecording(sound, sound)).message).toBe(words);
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
    expect(recoverRecording(left, path)).toMatchObject({ kept: 2 * PER_CHUNK, reason: 'record cut off' });
    expect(readAll(path).read).toHaveLength(2 * PER_CHUNK);
  });

  it('may be killed outright', async () => {
    const path = newFile();
    const script = join(folder, 'endless.mts');
    const module = (name: string): string => JSON.stringify(pathToFileURL(join(ROOT, 'host', name)).href);
    writeFileSync(
      script,
      `const { RecordingWriter } = await import(${module('recording/writer.ts')});
       const { describeContract } = await import(${module('contract/contract.ts')});
       const writer = RecordingWriter.create(process.argv[2], { contract: describeContract(), rows: 24, tickHz: 1000, messages: ['input'] });
       for (let tick = 0; ; tick++) { writer.write('input', tick, new Uint8Array(212)); if (tick === 2000) console.log('going'); }`,
    );
    const child = spawn(process.execPath, ['--import', 'tsx', script, path], { cwd: ROOT, stdio: ['ignore', 'pipe', 'inherit'] });
    await once(child.stdout, 'data');
    child.kill('SIGKILL');
    await once(child, 'exit');
    expect(existsSync(path)).toBe(false);
    const saved = newFile();
    const { kept } = recoverRecording(`${path}.partial`, saved);
    // 2000 = 7 whole chunks of 265 and a rest.
    expect(kept).toBeGreaterThanOrEqual(7 * PER_CHUNK);
    expect(openRecording(saved, contract).count).toBe(kept);
    rmSync(`${path}.partial`);
  }, 30_000);
});

describe('a schema text', () => {
  it.each(Object.keys(MESSAGES) as MessageName[])('of %s messages reads back as the contract’s records', (message) => {
    const layout = readLayout(writeMessage(contract, message, 7));
    const { bank, row } = messageRecords(contract, message);
    const records = [bank, row];
    const told = (fields: readonly { name: string; type: string; unit: string; offset: number }[] | undefined): unknown =>
      fields?.map(({ name, type, unit, offset }) => ({ name, type, unit, offset }));
    expect([told(layout.bank.fields), told(layout.row.fields)]).toEqual(records.map((one) => told(one.fields)));
    expect([layout.rows, layout.bytes]).toEqual([7, messageBytes(contract, message, 7)]);
  });

  it('has a hash that does not hang on its comments', () => {
    expect(layoutHash('uint8 a # none: one\nuint8 b\n')).toBe(layoutHash('uint8 a # none: another\nuint8 b\n'));
    expect(layoutHash('uint8 a\n')).not.toBe(layoutHash('uint16 a\n'));
  });
});
