import { createHash } from 'node:crypto';
import { type FileKind, InputFile } from './read-file.js';

/** SHA-256 as hexadecimal digits. */
export const sha256 = (data: string | Uint8Array): string => createHash('sha256').update(data).digest('hex');

const SHORT_DIGITS = 16;

/** The first 16 digits of a SHA-256: enough to distinguish builds, contracts and signals. */
export const shortHash = (data: string | Uint8Array): string => sha256(data).slice(0, SHORT_DIGITS);

const PEOPLE_DIGITS = 12;

/** The first digits of the hash of a commit, sources or outputs, for people. */
export const abbreviated = (hash: string): string => hash.slice(0, PEOPLE_DIGITS);

/** SHA-256 of data that comes in parts. */
export class Sha256 {
  readonly #hash = createHash('sha256');

  update(part: string | Uint8Array): this {
    this.#hash.update(part);
    return this;
  }

  /** Hexadecimal digits of all parts so far; no part may follow. */
  digest(): string {
    return this.#hash.digest('hex');
  }

  /** The first 16 digits; no part may follow. */
  shortDigest(): string {
    return this.digest().slice(0, SHORT_DIGITS);
  }
}

const BLOCK_BYTES = 1 << 16;

/** Returns the SHA-256 of a file in hexadecimal, read in blocks. @throws InputError if it can't be read */
export function hashFile(file: string, kind: FileKind): string {
  const open = new InputFile(file, kind);
  const hash = new Sha256();
  const block = Buffer.alloc(BLOCK_BYTES);
  try {
    for (let size = open.read(block); size > 0; size = open.read(block)) hash.update(block.subarray(0, size));
  } finally {
    open.close();
  }
  return hash.digest();
}
