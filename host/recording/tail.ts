import { closeSync, readSync } from 'node:fs';
import { crc32 } from 'node:zlib';
import { MCAP_MAGIC, Opcode } from '@mcap/core';
import { InputError, openToRead } from '../common/input-error.js';
import { RECORD_BYTES_MAX, RECORD_HEAD_BYTES } from './format.js';
import { notARecording } from './head.js';
import { parseRecords } from './parse-records.js';
import { RECOVER_HINT } from './record-file.js';

const FOOTER_BYTES = RECORD_HEAD_BYTES + 20;

/** Reads the bytes from `from` to `to` of an open file. */
function readRange(fd: number, from: number, to: number): Buffer {
  const bytes = Buffer.alloc(to - from);
  let done = 0;
  while (done < bytes.length) {
    const got = readSync(fd, bytes, done, bytes.length - done, from + done);
    if (got === 0) break;
    done += got;
  }
  return bytes;
}

/** Reads the summary with the footer and the magic, and checks its checksum. */
function readTailBytes(file: string, fd: number, size: number): Buffer {
  const damaged = (byte: number, problem: string): InputError => new InputError({ file, byte, problem, hint: RECOVER_HINT });
  const footerAt = size - MCAP_MAGIC.length - FOOTER_BYTES;
  const footer = readRange(fd, Math.max(0, footerAt), size);
  const magic = footer.subarray(-MCAP_MAGIC.length);
  const closed = footerAt > 0 && footer[0] === Opcode.FOOTER && MCAP_MAGIC.every((byte, index) => magic[index] === byte);
  if (!closed) throw damaged(size, 'the file is truncated: its end is missing');
  const start = Number(footer.readBigUInt64LE(RECORD_HEAD_BYTES));
  if (!(start > 0 && start <= footerAt && footerAt - start <= RECORD_BYTES_MAX)) {
    throw damaged(footerAt, `the footer places the summary at byte ${start}`);
  }
  const tail = readRange(fd, start, size);
  const covered = tail.subarray(0, -MCAP_MAGIC.length - 4);
  const found = tail.readUInt32LE(covered.length);
  if (crc32(covered) !== found) throw damaged(start, 'the checksum of the summary is wrong');
  return tail;
}

/**
 * Reads the number of messages of each channel from the summary at the end of the file.
 * @throws InputError if the end is missing or damaged
 */
export function readCounts(file: string): ReadonlyMap<number, number> {
  const { fd, size } = openToRead(file);
  try {
    const statistics = parseRecords(readTailBytes(file, fd, size)).Statistics?.[0];
    if (statistics === undefined) throw new Error('the summary has no statistics');
    return new Map([...statistics.channelMessageCounts].map(([id, count]) => [id, Number(count)]));
  } catch (error) {
    if (error instanceof InputError) throw error;
    throw notARecording(file, size, error);
  } finally {
    closeSync(fd);
  }
}
