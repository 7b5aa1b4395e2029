import { writeSync } from 'node:fs';
import { Writable } from 'node:stream';
import { asFileError } from '../common/input-error.js';

const RETRY_MS = 5;
const clock = new Int32Array(new SharedArrayBuffer(4));

/** Writes all bytes, and waits where the reader is slow. */
function writeAll(fd: number, bytes: Uint8Array): void {
  for (let done = 0; done < bytes.length; ) {
    try {
      done += writeSync(fd, bytes, done);
    } catch (error) {
      if ((error as NodeJS.ErrnoException).code !== 'EAGAIN') throw error;
      Atomics.wait(clock, 0, 0, RETRY_MS);
    }
  }
}

/** Standard output or standard error of this process, written at once, from any thread. */
export class SyncOutput extends Writable {
  /**
   * @param name for errors
   * @param onEnd called when nobody reads any more
   * @param onError called with an error that the user can correct, such as a full disk, or any other one
   * @param columns width of a terminal
   */
  constructor(
    private readonly fd: number,
    private readonly name: string,
    readonly isTTY: boolean,
    private readonly onEnd: () => void,
    private readonly onError: (error: Error) => void,
    readonly columns?: number | undefined,
  ) {
    super();
  }

  override _write(chunk: Buffer, _encoding: BufferEncoding, done: () => void): void {
    try {
      writeAll(this.fd, chunk);
    } catch (error) {
      if ((error as NodeJS.ErrnoException).code === 'EPIPE') this.onEnd();
      else this.onError(asFileError(error, this.name, 'write') as Error);
    }
    done();
  }
}
