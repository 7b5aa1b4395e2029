import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { crc32 } from 'node:zlib';
import { McapRecordBuilder } from '@mcap/core';
import { describe, expect, it } from 'vitest';
import { describeContract } from '../../../host/contract/contract.js';
import { messageBytes, writeMessage } from '../../../host/contract/messages.js';
import { compress, layoutHash, readLayout } from '../../../host/recording/format.js';
import { openRecording } from '../../../host/recording/reader.js';
import { recoverRecording } from '../../../host/recording/recover.js';
import { temporaryFolder } from '../../support/temporary-folder.js';

const contract = describeContract();
const folder = temporaryFolder();
const ROWS = 2;
const BYTES = messageBytes(contract, 'input', ROWS);

/** The definition of inputs as it was before each row got its own field. */
const WITH_ARRAY = writeMessage(contract, 'input', ROWS).replace('RowInput row_1\nRowInput row_2\n', 'RowInput[2] rows\n');

const payloadOf = (tick: number): Uint8Array => new Uint8Array(BYTES).map((_, at) => tick + at);

/** A recording as they were before they had indexes and a start time: log times from 0, the summary not grouped. */
function writeOlder(name: string, ticks: number): string {
  const chunk = new McapRecordBuilder();
  for (let tick = 0; tick < ticks; tick++) {
    const time = BigInt(tick) * 1_000_000n;
    const data = new Uint8Array([0, 1, 0, 0, ...payloadOf(tick)]);
    chunk.writeMessage({ channelId: 1, sequence: tick, logTime: time, publishTime: time, data });
  }
  const lastTime = BigInt(ticks - 1) * 1_000_000n;
  const putChannel = (to: McapRecordBuilder): void => {
    to.writeSchema({ id: 1, name: 'latchbench/msg/Input', encoding: 'ros2msg', data: Buffer.from(WITH_ARRAY) });
    const metadata = new Map([['layoutHash', layoutHash(WITH_ARRAY)]]);
    to.writeChannel({ id: 1, schemaId: 1, topic: '/input', messageEncoding: 'cdr', metadata });
  };
  const file = new McapRecordBuilder();
  file.writeMagic();
  file.writeHeader({ profile: '', library: 'latchbench 0.1.0' });
  const metadata = { contractHash: contract.hash, rows: String(ROWS), tickHz: '1000', version: '0.1.0', 'about.title': 'A drive' };
  file.writeMetadata({ name: 'latchbench', metadata: new Map(Object.entries(metadata)) });
  putChannel(file);
  file.writeChunk({
    messageStartTime: 0n,
    messageEndTime: lastTime,
    uncompressedSize: BigInt(chunk.length),
    uncompressedCrc: crc32(chunk.buffer),
    compression: 'zstd',
    records: compress(chunk.buffer),
  });
  file.writeDataEnd({ dataSectionCrc: crc32(file.buffer) });
  const summaryStart = file.length;
  putChannel(file);
  file.writeStatistics({
    messageCount: BigInt(ticks),
    schemaCount: 1,
    channelCount: 1,
    attachmentCount: 0,
    metadataCount: 1,
    chunkCount: 1,
    messageStartTime: 0n,
    messageEndTime: lastTime,
    channelMessageCounts: new Map([[1, BigInt(ticks)]]),
  });
  file.writeFooter({ summaryStart: BigInt(summaryStart), summaryOffsetStart: 0n, summaryCrc: 0 });
  const bytes = Buffer.from(file.buffer);
  bytes.writeUInt32LE(crc32(bytes.subarray(summaryStart, -4)), bytes.length - 4);
  const path = join(folder, name);
  writeFileSync(path, Buffer.concat([bytes, bytes.subarray(0, 8)]));
  return path;
}

const readAll = (path: string): { tick: number; payload: Uint8Array }[] =>
  Array.from(openRecording(path, contract).messages(), ({ tick, payload }) => ({ tick, payload: payload.slice() }));

describe('a recording without indexes and start time', () => {
  it('is read, and starts in 1970', () => {
    const path = writeOlder('older.mcap', 50);
    expect(openRecording(path, contract)).toMatchObject({ startNs: 0n, counts: { input: 50 }, about: { title: 'A drive' } });
    expect(readAll(path)).toEqual(Array.from({ length: 50 }, (_, tick) => ({ tick, payload: payloadOf(tick) })));
  });

  it('gets indexes when it is recovered', () => {
    const path = writeOlder('before.mcap', 50);
    const saved = join(folder, 'after.mcap');
    expect(recoverRecording(path, saved)).toEqual({ recovered: 50, lost: 0 });
    expect(readAll(saved)).toEqual(readAll(path));
    expect(openRecording(saved, contract).startNs).toBe(0n);
  });
});

describe('a schema with an array of rows', () => {
  it('has the layout and the hash of one with a field for each row', () => {
    const schema = writeMessage(contract, 'input', ROWS);
    expect(WITH_ARRAY).not.toBe(schema);
    expect([layoutHash(WITH_ARRAY), readLayout(WITH_ARRAY)]).toEqual([layoutHash(schema), readLayout(schema)]);
  });

  it('is refused if its rows are not numbered from 1 on', () => {
    const schema = writeMessage(contract, 'input', 3).replace('row_3', 'row_4');
    expect(() => readLayout(schema)).toThrow('the rows of the schema are not numbered from 1');
  });
});
