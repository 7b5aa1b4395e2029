import { closeSync, readSync } from 'node:fs';
import { crc32 } from 'node:zlib';
import { MCAP_MAGIC, Opcode } from '@mcap/core';
import { InputError, openToRead } from '../common/input-error.js';
import { RECORD_BYTES_MAX, RECORD_HEAD_BYTES } from './format.js';
import { parseRecords } from './parse-records.js';

const FOOTER_BYTES = RECORD_HEAD_BYTES + 20;

/** Bytes from `from` to `to` of an open file. */
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

/** The summary with the footer and the magic, after a look at its checksum. */
function readTailBytes(file: string, fd: number, size: number): Buffer {
  const wrong = (byte: number, what: string, allowed: string): InputError => new InputError({ file, byte, what, allowed });
  const footerAt = size - MCAP_MAGIC.length - FOOTER_BYTES;
  const footer = readRange(fd, Math.max(0, footerAt), size);
  const magic = footer.subarray(-MCAP_MAGIC.length);
  const closed = footerAt > 0 && footer[0] === Opcode.FOOTER && MCAP_MAGIC.every((byte, index) => magic[index] === byte);
  if (!closed) throw wrong(size, 'end of file without a footer', 'a recording that was closed: recover it first');
  const start = Number(footer.readBigUInt64LE(RECORD_HEAD_BYTES));
  if (!(start > 0 && start <= footerAt && footerAt - start <= RECORD_BYTES_MAX)) {
    throw wrong(footerAt, `summary said to start at byte ${start}`, 'a place shortly before the footer');
  }
  const tail = readRange(fd, start, size);
  const covered = tail.subarray(0, -MCAP_MAGIC.length - 4);
  const found = tail.readUInt32LE(covered.length);
  if (crc32(covered) !== found) throw wrong(start, 'summary with a wrong checksum', 'a recording that is whole: recover it first');
  return tail;
}

/**
 * How many messages each channel holds, from the summary at the end of the file.
 * @throws InputError when the end is missing or damaged.
 */
export function readCounts(file: string): ReadonlyMap<number, number> {
  const { fd, size } = openToRead(file);
  try {
    const statistics = parseRecords(readTailBytes(file, fd, size)).Statistics?.[0];
    if (statistics === undefined) throw new Error('no statistics in the summary');
    return new Map([...statistics.channelMessageCounts].map(([id, count]) => [id, Number(count)]));
  } catch (error) {
    if (error instanceof InputError) throw error;
    throw new InputError({ file, byte: size, what: (error as Error).message, allowed: 'a recording made by latchbench' });
  } finally {
    closeSync(fd);
  }
}
