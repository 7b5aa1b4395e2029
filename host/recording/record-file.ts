import { closeSync, readSync } from 'node:fs';
import { crc32 } from 'node:zlib';
import { isKnownOpcode, MCAP_MAGIC } from '@mcap/core';
import { InputError, openToRead } from '../common/input-error.js';
import { RECORD_BYTES_MAX, RECORD_HEAD_BYTES, TWO_TO_32 } from './format.js';

/** The window holds the largest record that is believed, with its head. */
const WINDOW_BYTES = 2 * RECORD_BYTES_MAX;

/**
 * Walks through the records of an MCAP file from its start, in one window of fixed size. After `next` the record's
 * kind and content are in `op`, `at` and `length`; they hold until the next call. By hand and not with
 * McapStreamReader: that one copies each chunk several times and makes an object of each message.
 */
export class RecordFile {
  readonly file: string;
  /** Bytes of the whole file. */
  readonly size: number;
  readonly window = new Uint8Array(WINDOW_BYTES);
  readonly view = new DataView(this.window.buffer);
  op = 0;
  /** Where the record's content starts in the window. */
  at = 0;
  /** Bytes of the record's content. */
  length = 0;
  /** Where the record starts in the file. */
  position = 0;
  /** CRC-32 of everything before the record. */
  crc = 0;
  readonly #fd: number;
  #start = 0;
  #end = 0;
  #recordEnd = 0;

  /** @throws InputError when there is no such file, or it doesn't start as an MCAP file does. */
  constructor(file: string) {
    this.file = file;
    const { fd, size } = openToRead(file);
    this.#fd = fd;
    this.size = size;
    const magicMissing = !this.#have(MCAP_MAGIC.length) || MCAP_MAGIC.some((byte, index) => this.window[index] !== byte);
    if (magicMissing) {
      this.close();
      throw new InputError({ file, byte: 0, what: 'file that does not start with the MCAP magic', allowed: 'a recording (MCAP)' });
    }
    this.#recordEnd = MCAP_MAGIC.length;
  }

  close(): void {
    closeSync(this.#fd);
  }

  /** Goes to the next record. @throws InputError when it is cut off, too long or of no known kind. */
  next(): void {
    this.crc = crc32(this.window.subarray(this.#start, this.#recordEnd), this.crc);
    this.position += this.#recordEnd - this.#start;
    this.#start = this.#recordEnd;
    if (!this.#have(RECORD_HEAD_BYTES)) throw this.#cutOff();
    this.op = this.view.getUint8(this.#start);
    if (!isKnownOpcode(this.op)) throw this.wrong('record kind', this.op, 'the kinds 1 to 15 of an MCAP file');
    const length = this.view.getUint32(this.#start + 1, true) + TWO_TO_32 * this.view.getUint32(this.#start + 5, true);
    if (length > RECORD_BYTES_MAX) throw this.wrong('record length', length, `at most ${RECORD_BYTES_MAX} bytes`);
    if (!this.#have(RECORD_HEAD_BYTES + length)) throw this.#cutOff();
    this.at = this.#start + RECORD_HEAD_BYTES;
    this.length = length;
    this.#recordEnd = this.at + length;
  }

  /** The record with its head, as a view. */
  record(): Uint8Array {
    return this.window.subarray(this.#start, this.#recordEnd);
  }

  /** An InputError about this record. */
  wrong(what: string, value: unknown, allowed: string): InputError {
    return new InputError({ file: this.file, byte: this.position, what, value, allowed });
  }

  #cutOff(): InputError {
    return new InputError({ file: this.file, byte: this.position, what: 'record cut off', allowed: 'a recording that was closed' });
  }

  /** Fills the window until `count` bytes follow its start. False at the end of the file. */
  #have(count: number): boolean {
    if (this.#end - this.#start >= count) return true;
    this.window.copyWithin(0, this.#start, this.#end);
    this.#end -= this.#start;
    this.#start = 0;
    while (this.#end < count) {
      const got = readSync(this.#fd, this.window, this.#end, WINDOW_BYTES - this.#end, null);
      if (got === 0) return false;
      this.#end += got;
    }
    return true;
  }
}
