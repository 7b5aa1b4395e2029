/**
 * Reads recordings with the indexed reader of @mcap/core, which goes by the indexes alone as viewers do, and compares each value with
 * that of our own reader, which goes by no index. ROS 2 messages are decoded with @foxglove/rosmsg and its CDR reader.
 */
import { readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { crc32 } from 'node:zlib';
import { parse } from '@foxglove/rosmsg';
import { MessageReader } from '@foxglove/rosmsg2-serialization';
import { McapIndexedReader, McapStreamReader, type McapTypes, Opcode } from '@mcap/core';
import { loadDecompressHandlers } from '@mcap/support';
import { describe, expect, it } from 'vitest';
import { dataViewOf } from '../../host/common/data-view.js';
import { describeContract } from '../../host/contract/contract.js';
import { readField } from '../../host/contract/fields.js';
import { messageBytes, messageRecords, type RecordingMessage } from '../../host/contract/messages.js';
import { openRecording } from '../../host/recording/reader.js';
import { RecordingWriter } from '../../host/recording/writer.js';
import { PROJECT } from '../support/project.js';
import { refusalOf } from '../support/refusal.js';
import { temporaryFolder } from '../support/temporary-folder.js';

const contract = describeContract();
const folder = temporaryFolder();
const decompressHandlers = await loadDecompressHandlers();

/** 2026-04-30, 07:12:00.25 UTC: 20573 days of 86,400 s after 1970, and 25,920.25 s. */
const START_NS = 1_777_533_120_250_000_000n;
const ROWS = 3;
const TICKS = 2500;
const KINDS: readonly RecordingMessage[] = ['input', 'output', 'truth'];

/** Finite values that differ from field to field and from tick to tick. */
function payloadOf(message: RecordingMessage, tick: number): Uint8Array {
  const payload = new Uint8Array(messageBytes(contract, message, ROWS));
  for (let at = 0; at < payload.length; at++) payload[at] = (Math.imul(tick + 1, 31 + at) >>> 3) & 0x3f;
  return payload;
}

function record(name: string): string {
  const path = join(folder, name);
  const options = { contract, rows: ROWS, tickHz: 1000, startNs: START_NS, messages: KINDS, about: { title: 'A drive' } };
  const writer = RecordingWriter.create(path, options);
  for (let tick = 0; tick < TICKS; tick++)
    for (const message of KINDS) if (message !== 'output' || tick % 7 === 0) writer.write(message, tick, payloadOf(message, tick));
  writer.close();
  return path;
}

function openIndexed(file: string): Promise<McapIndexedReader> {
  const bytes = readFileSync(file);
  const readable = {
    size: async () => BigInt(bytes.length),
    read: async (from: bigint, size: bigint) => bytes.subarray(Number(from), Number(from + size)),
  };
  return McapIndexedReader.Initialize({ readable, decompressHandlers });
}

type Range = Parameters<McapIndexedReader['readMessages']>[0];

async function messagesOf(reader: McapIndexedReader, range: Range = {}): Promise<McapTypes.Message[]> {
  const found: McapTypes.Message[] = [];
  for await (const message of reader.readMessages({ validateCrcs: true, ...range })) found.push(message);
  return found;
}

/** Parses a file, or a part of it; a chunk is followed by its messages. */
function recordsIn(bytes: Uint8Array, noMagicPrefix = false): McapTypes.TypedMcapRecord[] {
  const reader = new McapStreamReader({ noMagicPrefix, includeChunks: true, decompressHandlers });
  reader.append(bytes);
  const found: McapTypes.TypedMcapRecord[] = [];
  for (let one = reader.nextRecord(); one !== undefined; one = reader.nextRecord()) found.push(one);
  return found;
}

const file = record('drive.mcap');

describe('an indexed reader', () => {
  it('finds every topic with its schema and its units', async () => {
    const { channelsById, schemasById, header } = await openIndexed(file);
    expect(header).toMatchObject({ profile: 'latchbench', library: expect.stringMatching(/^latchbench \d/) });
    const channels = [...channelsById.values()];
    expect(channels.map(({ topic, schemaId }) => [topic, schemasById.get(schemaId)?.name])).toEqual([
      ['/input', 'latchbench/msg/Input'],
      ['/output', 'latchbench/msg/Output'],
      ['/truth', 'latchbench/msg/Truth'],
    ]);
    const units = Object.fromEntries(channels[0]?.metadata ?? []);
    expect(units).toMatchObject({
      'unit.target_load_n': 'N',
      'unit.oil_temperature_c': '°C',
      'unit.supply_mv': 'mV',
      'unit.row.load_counts': 'counts',
    });
    expect(units).not.toHaveProperty('unit.lowered');
  });

  it('finds the metadata, with the start as a date', async () => {
    const found: McapTypes.Metadata[] = [];
    for await (const one of (await openIndexed(file)).readMetadata({ name: 'latchbench' })) found.push(one);
    expect(found).toHaveLength(1);
    expect(Object.fromEntries(found[0]?.metadata ?? [])).toMatchObject({
      startTime: '2026-04-30T07:12:00.25Z',
      tickHz: '1000',
      rows: '3',
      'about.title': 'A drive',
    });
  });

  it('counts the messages, and places the chunks in time without overlap', async () => {
    const { statistics, chunkIndexes } = await openIndexed(file);
    const lastTime = START_NS + 2_499_000_000n;
    expect(statistics).toMatchObject({
      messageCount: BigInt(2 * TICKS + 358),
      chunkCount: chunkIndexes.length,
      metadataCount: 1,
      messageStartTime: START_NS,
      messageEndTime: lastTime,
      channelMessageCounts: new Map([
        [1, 2500n],
        [2, 358n],
        [3, 2500n],
      ]),
    });
    expect(chunkIndexes.length).toBeGreaterThan(5);
    expect([chunkIndexes[0]?.messageStartTime, chunkIndexes.at(-1)?.messageEndTime]).toEqual([START_NS, lastTime]);
    for (const [index, one] of chunkIndexes.slice(1).entries())
      expect(one.messageStartTime).toBeGreaterThanOrEqual(chunkIndexes[index]?.messageEndTime ?? 0n);
  });

  it('yields the messages of our own reader, in the same order, with the same bytes', async () => {
    const found = await messagesOf(await openIndexed(file));
    let at = 0;
    let same = 0;
    for (const { message, tick, payload } of openRecording(file, contract).messages()) {
      const { sequence, logTime, channelId, data = new Uint8Array() } = found[at++] ?? {};
      const isSame = sequence === tick && channelId === KINDS.indexOf(message) + 1 && Buffer.compare(data.subarray(4), payload) === 0;
      if (isSame && logTime === START_NS + BigInt(tick) * 1_000_000n) same++;
    }
    expect([at, same]).toEqual([5358, 5358]);
    expect(found).toHaveLength(at);
  });

  it.each([
    [
      'a range of time',
      { startTime: START_NS + 999_500_000n, endTime: START_NS + 1_002_000_000n },
      [1000, 1000, 1001, 1001, 1001, 1002, 1002],
    ],
    ['a range of time backwards', { startTime: START_NS + 2_497_500_000n, reverse: true }, [2499, 2499, 2499, 2498, 2498]],
    ['a topic', { topics: ['/output'], startTime: START_NS + 1_995_000_000n, endTime: START_NS + 2_010_000_000n }, [1995, 2002, 2009]],
    ['a time after the end', { startTime: START_NS + 2_499_000_001n }, []],
  ])('seeks to %s', async (_, range, ticks) => {
    expect((await messagesOf(await openIndexed(file), range)).map(({ sequence }) => sequence)).toEqual(ticks);
  });

  it('gets a recording without messages, which has no chunk', async () => {
    const path = join(folder, 'empty.mcap');
    RecordingWriter.create(path, { contract, rows: 1, tickHz: 1000, messages: ['input'] }).close();
    const reader = await openIndexed(path);
    expect([reader.chunkIndexes, await messagesOf(reader)]).toEqual([[], []]);
    expect([...reader.summaryOffsetsByOpcode.keys()]).not.toContain(Opcode.CHUNK_INDEX);
  });

  it('has an index of each chunk that is true to it', async () => {
    const bytes = readFileSync(file);
    const { chunkIndexes } = await openIndexed(file);
    const places = placesOf(bytes, Opcode.CHUNK);
    expect(chunkIndexes.map(({ chunkStartOffset }) => Number(chunkStartOffset))).toEqual(places.map(({ at }) => at));
    const records = recordsIn(bytes);
    const chunks = records.filter((one) => one.type === 'Chunk');
    const messageIndexes = records.filter((one) => one.type === 'MessageIndex');
    for (const [index, { at, end }] of places.entries()) {
      const chunk = chunks[index];
      const one = chunkIndexes[index];
      expect(one).toMatchObject({
        chunkLength: BigInt(end - at),
        messageStartTime: chunk?.messageStartTime,
        messageEndTime: chunk?.messageEndTime,
        compression: 'zstd',
        compressedSize: BigInt(chunk?.records.length ?? 0),
        uncompressedSize: chunk?.uncompressedSize,
      });
      const ofChunk = messageIndexes.slice(KINDS.length * index, KINDS.length * (index + 1));
      const times = ofChunk.flatMap(({ records: entries }) => entries.map(([time]) => time)).sort((a, b) => Number(a - b));
      expect([times[0], times.at(-1)]).toEqual([chunk?.messageStartTime, chunk?.messageEndTime]);
      expect([...(one?.messageIndexOffsets ?? [])].map(([id]) => id)).toEqual([1, 2, 3]);
      for (const [id, offset] of one?.messageIndexOffsets ?? [])
        expect([bytes[Number(offset)], bytes.readUInt16LE(Number(offset) + 9)]).toEqual([Opcode.MESSAGE_INDEX, id]);
    }
  });

  it('finds each group of the summary where its offset says', async () => {
    const bytes = readFileSync(file);
    const { summaryOffsetsByOpcode } = await openIndexed(file);
    const groups = [...summaryOffsetsByOpcode.values()];
    expect(groups.map(({ groupOpcode }) => groupOpcode)).toEqual([
      Opcode.SCHEMA,
      Opcode.CHANNEL,
      Opcode.STATISTICS,
      Opcode.CHUNK_INDEX,
      Opcode.METADATA_INDEX,
    ]);
    for (const { groupOpcode, groupStart, groupLength } of groups) {
      const group = recordsIn(bytes.subarray(Number(groupStart), Number(groupStart + groupLength)), true);
      expect(new Set(group.map(({ type }) => type)).size).toBe(1);
      expect(bytes[Number(groupStart)]).toBe(groupOpcode);
    }
  });

  it('decodes every field to the value that our own reader has, with rows from 1', async () => {
    const reader = await openIndexed(file);
    const ours = openRecording(file, contract);
    const kept = [...ours.messages({ toTick: 70 })].length;
    const found = (await messagesOf(reader)).slice(0, kept);
    let at = 0;
    let values = 0;
    const decoders = [...reader.channelsById.values()].map(({ schemaId }) => {
      const definition = new TextDecoder().decode(reader.schemasById.get(schemaId)?.data);
      return new MessageReader(parse(definition, { ros2: true }));
    });
    const snake = (name: string): string => name.replace(/([a-z0-9])([A-Z])/g, '$1_$2').toLowerCase();
    for (const { message, payload } of ours.messages({ toTick: 70 })) {
      const one = found[at++];
      const decoded = decoders[(one?.channelId ?? 0) - 1]?.readMessage(one?.data ?? new Uint8Array()) as Record<string, never>;
      const { bank, row } = messageRecords(contract, message);
      expect(Object.keys(decoded)).toEqual([...bank.fields.map(({ name }) => snake(name)), 'row_1', 'row_2', 'row_3']);
      const view = dataViewOf(payload);
      const expected = (record: typeof row, recordAt: number): Record<string, number> =>
        Object.fromEntries(record.fields.map((field) => [snake(field.name), readField(view, recordAt, field)]));
      const rows = [0, 1, 2].map((index) => [`row_${index + 1}`, expected(row, bank.size + index * row.size)]);
      expect(decoded).toEqual({ ...expected(bank, 0), ...Object.fromEntries(rows) });
      values += bank.fields.length + ROWS * row.fields.length;
    }
    expect(values).toBeGreaterThan(7000);
  });

  it("opens each vector's inputs, with as many messages as our own reader counts", async () => {
    const names = readdirSync(PROJECT.vectors);
    expect(names.length).toBeGreaterThan(20);
    for (const name of names) {
      const input = join(PROJECT.vectors, name, 'input.mcap');
      const { count, startNs } = openRecording(input, contract);
      const { statistics, chunkIndexes } = await openIndexed(input);
      expect([statistics?.messageCount, statistics?.messageStartTime]).toEqual([BigInt(count), startNs]);
      expect(chunkIndexes, name).toHaveLength(statistics?.chunkCount ?? 0);
    }
  });
});

/** The records of a kind in an MCAP file, by op and length alone. */
function placesOf(bytes: Buffer, op: number): { at: number; end: number }[] {
  const found: { at: number; end: number }[] = [];
  for (let at = 8; at + 9 <= bytes.length - 8; ) {
    const end = at + 9 + Number(bytes.readBigUInt64LE(at + 1));
    if (bytes[at] === op) found.push({ at, end });
    at = end;
  }
  return found;
}

describe('our own reader', () => {
  const intact = readFileSync(file);
  const [messageIndex] = placesOf(intact, Opcode.MESSAGE_INDEX);
  const [chunkIndex] = placesOf(intact, Opcode.CHUNK_INDEX);
  const [dataEnd] = placesOf(intact, Opcode.DATA_END);

  /** The recording with zeros in an index. */
  function withoutIndex(name: string, place: { at: number; end: number } | undefined, isForged: boolean): string {
    const bytes = Buffer.from(intact);
    bytes.fill(0, (place?.at ?? 0) + 15, place?.end);
    if (isForged) {
      const end = dataEnd?.at ?? 0;
      bytes.writeUInt32LE(crc32(bytes.subarray(0, end)), end + 9);
      bytes.writeUInt32LE(crc32(bytes.subarray(end + 13, bytes.length - 12)), bytes.length - 12);
    }
    const path = join(folder, name);
    writeFileSync(path, bytes);
    return path;
  }

  const readAll = (path: string): string[] =>
    Array.from(openRecording(path, contract).messages(), ({ message, tick, payload }) => `${message} ${tick} ${crc32(payload)}`);

  it.each([
    ['a message index', messageIndex, 'the checksum of the file is'],
    ['a chunk index', chunkIndex, 'the checksum of the summary is wrong'],
  ])('notices damage in %s', (_, place, words) => {
    expect(refusalOf(() => readAll(withoutIndex('damaged.mcap', place, false))).message).toContain(words);
  });

  it.each([
    ['a message index', messageIndex],
    ['a chunk index', chunkIndex],
  ])('does not believe %s with valid checksums', (_, place) => {
    expect(readAll(withoutIndex('forged.mcap', place, true))).toEqual(readAll(file));
  });
});
