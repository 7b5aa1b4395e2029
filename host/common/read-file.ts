import { closeSync, constants, fstatSync, openSync, readSync, type Stats, statSync } from 'node:fs';
import { asFileError, InputError } from './input-error.js';
import { decodeText } from './text-file.js';

const KIB = 1 << 10;
const MIB = 1 << 20;
const GIB = 1 << 30;

/** Maximum sizes of the files that commands read, bytes: far above what any of them needs, far below what fills a computer. */
export const FILE_BYTES_MAX = {
  /** YAML and JSON, read and parsed as a whole. */
  yaml: MIB,
  /** A compiled controller or plant; ours have 150 KiB. */
  binary: 16 * MIB,
  sourceMap: 64 * MIB,
  /** Accepted outputs, read line by line; ours have up to 100 KiB. */
  expected: 256 * MIB,
  /** Logs and height profiles, read block by block. */
  csv: 8 * GIB,
  /** Recordings, read block by block: hours of 48 rows. */
  recording: 64 * GIB,
} as const;

export type FileKind = keyof typeof FILE_BYTES_MAX;

/** Opening a device can act on it, and opening or reading a pipe can wait for ever. */
function checkRegular(file: string, found: Stats): void {
  if (found.isDirectory()) throw Object.assign(new Error(file), { code: 'EISDIR' });
  if (found.isFile()) return;
  throw new InputError({ file, problem: 'this is not a regular file', hint: 'Write its content to a file first' });
}

/** Opens a regular file for reading. @throws InputError if it does not exist, may not be read, or is something else */
function openRegular(file: string): number {
  try {
    checkRegular(file, statSync(file));
    // Should it be replaced by a pipe in this moment, opening it still does not wait.
    const fd = openSync(file, constants.O_RDONLY | (constants.O_NONBLOCK ?? 0));
    try {
      checkRegular(file, fstatSync(fd));
      return fd;
    } catch (error) {
      closeSync(fd);
      throw error;
    }
  } catch (error) {
    throw asFileError(error, file, 'read');
  }
}

const sizeText = (bytes: number): string => {
  const [unit, name] = bytes >= GIB ? ([GIB, 'GiB'] as const) : bytes >= MIB ? ([MIB, 'MiB'] as const) : ([KIB, 'KiB'] as const);
  return `${bytes / unit} ${name}`;
};

/** A file that a user names, open for reading. All files of users are read through this class. */
export class InputFile {
  /** Size when it was opened, bytes. Nothing behind it is read: a file that grows has an end too. */
  readonly size: number;
  readonly #fd: number;
  #at = 0;

  /** @throws InputError if the file does not exist, may not be read, is not a regular file, or is larger than its kind allows */
  constructor(
    readonly file: string,
    kind: FileKind,
  ) {
    this.#fd = openRegular(file);
    this.size = fstatSync(this.#fd).size;
    const max = FILE_BYTES_MAX[kind];
    if (this.size <= max) return;
    this.close();
    throw new InputError({ file, problem: `the file has ${this.size} bytes`, value: this.size, allowed: `at most ${sizeText(max)}` });
  }

  /** Reads the bytes that follow into `target`. Returns their number, 0 at the end. */
  read(target: Uint8Array): number {
    const got = this.readAt(this.#at, target);
    this.#at += got;
    return got;
  }

  /** Reads the bytes at an offset into `target`. Returns their number, 0 at the end. */
  readAt(offset: number, target: Uint8Array): number {
    const length = Math.min(target.length, this.size - offset);
    if (length <= 0) return 0;
    try {
      return readSync(this.#fd, target, 0, length, offset);
    } catch (error) {
      throw asFileError(error, this.file, 'read');
    }
  }

  close(): void {
    closeSync(this.#fd);
  }
}

/** Reads a whole file. @throws InputError as `InputFile` does */
export function readBytes(file: string, kind: FileKind): Buffer<ArrayBuffer> {
  const open = new InputFile(file, kind);
  try {
    const bytes = Buffer.alloc(open.size);
    let done = 0;
    for (let got = -1; got !== 0; done += got) got = open.read(bytes.subarray(done));
    // A file that was cut off meanwhile is shorter.
    return bytes.subarray(0, done);
  } finally {
    open.close();
  }
}

/** Reads a whole text. @throws InputError as `InputFile` does, or if it is not UTF-8 */
export function readText(file: string, kind: FileKind): string {
  return decodeText(readBytes(file, kind), file);
}
