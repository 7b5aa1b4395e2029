import { closeSync, fsyncSync, openSync, renameSync, rmSync, writeSync } from 'node:fs';
import { dirname } from 'node:path';
import { fileTrouble, InputError } from './input-error.js';

/** Most unfinished files beside one target before we ask a person to look at them. */
const ASIDE_MAX = 100;

/** `run.mcap` → `run.mcap.partial`, `run.mcap.partial-2`, …: what an interrupted run left behind is never overwritten. */
const asideName = (target: string, turn: number): string => `${target}.partial${turn === 1 ? '' : `-${turn}`}`;

function openAside(target: string): { path: string; fd: number } {
  for (let turn = 1; turn <= ASIDE_MAX; turn++) {
    const path = asideName(target, turn);
    try {
      return { path, fd: openSync(path, 'wx') };
    } catch (error) {
      if ((error as NodeJS.ErrnoException).code !== 'EEXIST') throw fileTrouble(error, path, 'a folder that can be written to');
    }
  }
  throw new InputError({ file: target, what: `${ASIDE_MAX} unfinished files beside it`, allowed: 'remove or recover them' });
}

/** A rename is only safe from power loss once its folder is on disk too; where a folder can't be opened, nothing is lost but that. */
function syncFolder(folder: string): void {
  let fd: number;
  try {
    fd = openSync(folder, 'r');
  } catch {
    return;
  }
  try {
    fsyncSync(fd);
  } catch {
    // Some file systems refuse to sync a folder.
  } finally {
    closeSync(fd);
  }
}

/** A file under a temporary name beside its target, until `commit` gives it its name or `abandon` removes it. */
export class AsideFile {
  readonly path: string;
  readonly target: string;
  #fd: number;

  /** @throws InputError when the folder doesn't exist or can't be written to. */
  constructor(target: string) {
    this.target = target;
    const { path, fd } = openAside(target);
    this.path = path;
    this.#fd = fd;
  }

  /** Appends all of the bytes (a string as UTF-8). */
  write(data: Uint8Array | string): void {
    const bytes = typeof data === 'string' ? Buffer.from(data) : data;
    let done = 0;
    while (done < bytes.length) done += writeSync(this.#fd, bytes, done);
  }

  /** Everything written so far is on disk when this returns. */
  sync(): void {
    fsyncSync(this.#fd);
  }

  /** Gives the file its name. The temporary one is removed if that fails. */
  commit(): void {
    try {
      this.sync();
      this.#close();
      renameSync(this.path, this.target);
    } catch (error) {
      this.abandon();
      throw fileTrouble(error, this.target, 'a file that can be written');
    }
    syncFolder(dirname(this.target));
  }

  /** Removes the file. Harmless when there is none any more. */
  abandon(): void {
    if (this.#fd !== -1) this.#close();
    rmSync(this.path, { force: true });
  }

  #close(): void {
    const fd = this.#fd;
    this.#fd = -1;
    closeSync(fd);
  }
}

/**
 * Writes a whole file so that `target` is either as before or complete.
 * @throws InputError when the folder or the file can't be written to.
 */
export function writeAside(target: string, data: Uint8Array | string): void {
  const file = new AsideFile(target);
  try {
    file.write(data);
  } catch (error) {
    file.abandon();
    throw error;
  }
  file.commit();
}
