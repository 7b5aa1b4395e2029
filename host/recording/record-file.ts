import { crc32 } from 'node:zlib';
import { isKnownOpcode, MCAP_MAGIC } from '@mcap/core';
import { InputError, showValue } from '../common/input-error.js';
import { InputFile } from '../common/read-file.js';
import { RECORD_BYTES_MAX, RECORD_HEAD_BYTES, TWO_TO_32 } from './format.js';

/** The window holds the largest accepted record with its head. */
const WINDOW_BYTES = 2 * RECORD_BYTES_MAX;

export const RECOVER_HINT = 'Run `latchbench recover` to save the intact part';

/**
 * Reads the records of an MCAP file in order through one window of fixed size. After `next` the record's kind and
 * content are in `op`, `at` and `length`, valid until the next call. Not McapStreamReader, because it copies each chunk
 * several times and allocates an object for each message.
 */
export class RecordFile {
  readonly file: string;
  /** Size of the file, bytes. */
  readonly size: number;
  readonly window = new Uint8Array(WINDOW_BYTES);
  readonly view = new DataView(this.window.buffer);
  op = 0;
  /** Offset of the record's content in the window. */
  at = 0;
  /** Size of the record's content, bytes. */
  length = 0;
  /** Offset of the record in the file. */
  position = 0;
  /** CRC-32 of everything between where reading started and the record. */
  crc = 0;
  readonly #open: InputFile;
  #fileAt: number;
  #start = 0;
  #end = 0;
  #recordEnd = 0;

  /**
   * @param from offset of the first record to read, or 0 for the start of the file
   * @throws InputError if there is no such file, it is empty, or it is not an MCAP file
   */
  constructor(file: string, from = 0) {
    this.file = file;
    this.#open = new InputFile(file, 'recording');
    this.size = this.#open.size;
    this.position = from;
    this.#fileAt = from;
    if (from === 0) this.#checkMagic();
  }

  #checkMagic(): void {
    const { file, size } = this;
    const magicMissing = !this.#have(MCAP_MAGIC.length) || MCAP_MAGIC.some((byte, index) => this.window[index] !== byte);
    if (magicMissing) {
      this.close();
      if (size === 0) throw new InputError({ file, problem: 'the file is empty' });
      throw new InputError({ file, byte: 0, problem: 'this is not a recording (an MCAP file)' });
    }
    this.#recordEnd = MCAP_MAGIC.length;
  }

  close(): void {
    this.#open.close();
  }

  /** Goes to the next record. @throws InputError if it is cut off, too long or of unknown kind */
  next(): void {
    this.crc = crc32(this.window.subarray(this.#start, this.#recordEnd), this.crc);
    this.position += this.#recordEnd - this.#start;
    this.#start = this.#recordEnd;
    if (!this.#have(RECORD_HEAD_BYTES)) throw this.#cutOff();
    this.op = this.view.getUint8(this.#start);
    if (!isKnownOpcode(this.op)) throw this.errorHere('the record kind', this.op, 'one of the kinds 1 to 15 of an MCAP file');
    const length = this.view.getUint32(this.#start + 1, true) + TWO_TO_32 * this.view.getUint32(this.#start + 5, true);
    if (length > RECORD_BYTES_MAX) throw this.errorHere('the record length', length, `at most ${RECORD_BYTES_MAX} bytes`);
    if (!this.#have(RECORD_HEAD_BYTES + length)) throw this.#cutOff();
    this.at = this.#start + RECORD_HEAD_BYTES;
    this.length = length;
    this.#recordEnd = this.at + length;
  }

  /** The record with its head, as a view. */
  record(): Uint8Array {
    return this.window.subarray(this.#start, this.#recordEnd);
  }

  /** Returns an InputError about this record: `<name> is <value>; it must be <allowed>`. */
  errorHere(name: string, value: unknown, allowed: string): InputError {
    return new InputError({ file: this.file, byte: this.position, problem: `${name} is ${showValue(value)}`, value, allowed });
  }

  #cutOff(): InputError {
    return new InputError({
      file: this.file,
      byte: this.position,
      problem: 'the file is truncated: this record is not complete',
      hint: RECOVER_HINT,
    });
  }

  /** Fills the window until it holds `count` bytes. Returns false at the end of the file. */
  #have(count: number): boolean {
    if (this.#end - this.#start >= count) return true;
    this.window.copyWithin(0, this.#start, this.#end);
    this.#end -= this.#start;
    this.#start = 0;
    while (this.#end < count) {
      const got = this.#open.readAt(this.#fileAt, this.window.subarray(this.#end));
      if (got === 0) return false;
      this.#fileAt += got;
      this.#end += got;
    }
    return true;
  }
}
