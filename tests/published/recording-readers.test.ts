/**
 * Reads a recording with independent programs: @mcap/core with the decompressors of @mcap/support, the ROS 2 interface parser
 * @foxglove/rosmsg and the CDR reader @foxglove/rosmsg2-serialization.
 */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { parse } from '@foxglove/rosmsg';
import { MessageReader } from '@foxglove/rosmsg2-serialization';
import { McapStreamReader, type TypedMcapRecord } from '@mcap/core';
import { loadDecompressHandlers } from '@mcap/support';
import { beforeAll, describe, expect, it } from 'vitest';
import { describeContract } from '../../host/contract/contract.js';
import { RecordingWriter } from '../../host/recording/writer.js';
import { temporaryFolder } from '../support/temporary-folder.js';

type RecordOf<T extends TypedMcapRecord['type']> = Extract<TypedMcapRecord, { type: T }>;

const folder = temporaryFolder();

const path = join(folder, 'run.mcap');
const contract = describeContract();
let records: TypedMcapRecord[] = [];

function all<T extends TypedMcapRecord['type']>(type: T): RecordOf<T>[] {
  return records.filter((record): record is RecordOf<T> => record.type === type);
}

/** Records two rows. The bytes are written by hand from the tables in shared/records.ts. */
function writeRecording(): void {
  const input = new Uint8Array(20 + 2 * 12);
  const view = new DataView(input.buffer);
  view.setFloat32(0, 450.5, true); // targetLoadN
  view.setFloat32(4, -0, true); // oilTemperatureC
  view.setUint16(8, 2376, true); // railCounts
  view.setUint16(10, 12800, true); // supplyMv
  view.setUint16(14, 65535, true); // groundSpeedMmPerS
  view.setUint8(16, 1); // lowered
  view.setFloat32(20, -125.5, true); // soilAheadN of row 1
  view.setUint16(24, 1032, true); // loadCounts of row 1
  view.setUint16(36, 1033, true); // loadCounts of row 2
  view.setUint8(42, 1); // enabled of row 2
  const output = new Uint8Array(8 + 2 * 8);
  new DataView(output.buffer).setUint32(0, 0x80000001, true); // faults
  output[8 + 8 + 5] = 2; // supplyOrder of row 2
  const writer = RecordingWriter.create(path, { contract, rows: 2, tickHz: 1000, messages: ['input', 'output'], about: { title: 'Test' } });
  for (let tick = 0; tick <= 3000; tick++) {
    writer.write('input', tick, input);
    if (tick % 1000 === 0) writer.write('output', tick, output);
  }
  writer.close();
}

function decode(message: RecordOf<'Message'>): Record<string, unknown> {
  const channel = all('Channel').find(({ id }) => id === message.channelId);
  const schema = all('Schema').find(({ id }) => id === channel?.schemaId);
  const definitions = parse(new TextDecoder().decode(schema?.data), { ros2: true });
  return new MessageReader(definitions).readMessage(message.data);
}

beforeAll(async () => {
  writeRecording();
  const reader = new McapStreamReader({ decompressHandlers: await loadDecompressHandlers(), validateCrcs: true });
  reader.append(readFileSync(path));
  records = [];
  for (let record = reader.nextRecord(); record !== undefined; record = reader.nextRecord()) records.push(record);
  expect(reader.done()).toBe(true);
});

describe('an independent MCAP reader', () => {
  it('finds every message with its tick and time', () => {
    const messages = all('Message');
    expect(messages).toHaveLength(3005);
    const time = 946_684_803_000_000_000n; // 3 s after 2000-01-01, midnight UTC
    expect(messages.at(-1)).toMatchObject({ sequence: 3000, logTime: time, publishTime: time });
    expect(messages.map(({ sequence }) => sequence)).toEqual(messages.map(({ sequence }) => sequence).sort((a, b) => a - b));
  });

  it('finds the metadata of the recording', () => {
    expect(all('Header')[0]).toMatchObject({ profile: 'latchbench', library: expect.stringMatching(/^latchbench \d+\.\d+\.\d+$/) });
    const [metadata] = all('Metadata');
    expect(metadata?.name).toBe('latchbench');
    expect(Object.fromEntries(metadata?.metadata ?? [])).toMatchObject({
      contractHash: contract.hash,
      rows: '2',
      tickHz: '1000',
      startTime: '2000-01-01T00:00:00Z',
      'about.title': 'Test',
    });
    const [statistics] = all('Statistics');
    expect(statistics).toMatchObject({ messageCount: 3005n, channelCount: 2, chunkCount: 4 });
    expect(Object.fromEntries(statistics?.channelMessageCounts ?? [])).toEqual({ 1: 3001n, 2: 4n });
  });

  it('finds schemas and channels once before the first message and once in the summary', () => {
    expect(all('Schema').map(({ name, encoding }) => `${name} ${encoding}`)).toEqual([
      'latchbench/msg/Input ros2msg',
      'latchbench/msg/Output ros2msg',
      'latchbench/msg/Input ros2msg',
      'latchbench/msg/Output ros2msg',
    ]);
    expect(all('Channel').map(({ topic, messageEncoding }) => `${topic} ${messageEncoding}`)).toEqual([
      '/input cdr',
      '/output cdr',
      '/input cdr',
      '/output cdr',
    ]);
  });
});

describe('an independent ROS 2 message reader', () => {
  it('decodes an input with the right values', () => {
    const message = decode(all('Message').find(({ channelId }) => channelId === 1) as RecordOf<'Message'>);
    expect(message).toMatchObject({
      target_load_n: 450.5,
      rail_counts: 2376,
      supply_mv: 12800,
      reservoir_mv: 0,
      ground_speed_mm_per_s: 65535,
      lowered: 1,
      enabled: 0,
    });
    expect(message.oil_temperature_c).toBe(-0);
    expect(message.row_1).toMatchObject({ soil_ahead_n: -125.5, load_counts: 1032, enabled: 0 });
    expect(message.row_2).toMatchObject({ soil_ahead_n: 0, load_counts: 1033, enabled: 1 });
  });

  it('decodes an output with the right values', () => {
    const message = decode(all('Message').find(({ channelId }) => channelId === 2) as RecordOf<'Message'>);
    expect(message).toMatchObject({ faults: 0x80000001, row_1: { supply_order: 0 }, row_2: { supply_order: 2 } });
  });
});
