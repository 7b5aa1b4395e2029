import { crc32 } from 'node:zlib';
import { MCAP_MAGIC, Opcode } from '@mcap/core';
import { InputError } from '../common/input-error.js';
import { InputFile } from '../common/read-file.js';
import { RECORD_HEAD_BYTES } from './format.js';
import { notARecording } from './head.js';
import { parseRecords } from './parse-records.js';
import { RECOVER_HINT, RecordFile } from './record-file.js';

/** summary start, summary offset start (8 each), checksum (4): MCAP specification, "Footer". */
const FOOTER_BYTES = RECORD_HEAD_BYTES + 20;
const BLOCK_BYTES = 1 << 20;

/** Yields the bytes from `from` to `to` of an open file in blocks; the next block replaces the last one. */
function* blocksOf(open: InputFile, from: number, to: number): Generator<Buffer, void, undefined> {
  const block = Buffer.alloc(Math.min(BLOCK_BYTES, to - from));
  for (let at = from; at < to; ) {
    const got = open.readAt(at, block.subarray(0, to - at));
    if (got === 0) return;
    yield block.subarray(0, got);
    at += got;
  }
}

/** Checks the footer and the checksum of the summary. Returns the offset of the summary. */
function checkTail(open: InputFile): number {
  const { file, size } = open;
  const damaged = (byte: number, problem: string): InputError => new InputError({ file, byte, problem, hint: RECOVER_HINT });
  const footerAt = size - MCAP_MAGIC.length - FOOTER_BYTES;
  const footer = Buffer.concat([...blocksOf(open, Math.max(0, footerAt), size)]);
  const magic = footer.subarray(-MCAP_MAGIC.length);
  const closed = footerAt > 0 && footer[0] === Opcode.FOOTER && MCAP_MAGIC.every((byte, index) => magic[index] === byte);
  if (!closed) throw damaged(size, 'the file is truncated: its end is missing');
  const start = Number(footer.readBigUInt64LE(RECORD_HEAD_BYTES));
  if (!(start > 0 && start <= footerAt)) throw damaged(footerAt, `the footer places the summary at byte ${start}`);
  const crcAt = size - MCAP_MAGIC.length - 4;
  let crc = 0;
  for (const block of blocksOf(open, start, crcAt)) crc = crc32(block, crc);
  if (footer.readUInt32LE(crcAt - footerAt) !== crc) throw damaged(start, 'the checksum of the summary is wrong');
  return start;
}

/** Reads the statistics, which stand before the long part of the summary. */
function readStatistics(file: string, from: number): Uint8Array {
  const records = new RecordFile(file, from);
  try {
    do {
      records.next();
      if (records.op === Opcode.FOOTER) throw new Error('the summary has no statistics');
    } while (records.op !== Opcode.STATISTICS);
    return records.record();
  } finally {
    records.close();
  }
}

/**
 * Reads the number of messages of each channel from the summary at the end of the file. The rest of the summary, indexes for other
 * programs, is only checked for its checksum.
 * @throws InputError if the end is missing or damaged
 */
export function readCounts(file: string): ReadonlyMap<number, number> {
  const open = new InputFile(file, 'recording');
  try {
    const statistics = parseRecords(readStatistics(file, checkTail(open))).Statistics?.[0];
    return new Map([...(statistics?.channelMessageCounts ?? [])].map(([id, count]) => [id, Number(count)]));
  } catch (error) {
    if (error instanceof InputError) throw error;
    throw notARecording(file, open.size, error);
  } finally {
    open.close();
  }
}
