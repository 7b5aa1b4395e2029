import { closeSync, fsyncSync, lstatSync, openSync, realpathSync, renameSync, rmSync, type Stats, statSync, writeSync } from 'node:fs';
import { dirname, join, resolve } from 'node:path';
import { fileTrouble, InputError } from './input-error.js';

/** Told now and then how much of a long work is done, 0 to 1. */
export type OnProgress = (share: number) => void;

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
      if ((error as NodeJS.ErrnoException).code !== 'EEXIST') throw fileTrouble(error, target, 'a folder that can be written to');
    }
  }
  throw new InputError({ file: target, what: `${ASIDE_MAX} unfinished files beside it`, allowed: 'remove or recover them' });
}

const statOf = (path: string, stat: (path: string) => Stats): Stats | undefined => {
  try {
    return stat(path);
  } catch {
    return undefined;
  }
};

/**
 * A result must not take the place of what it is made from.
 * @throws InputError when `target` is one of the `inputs`, under whatever name
 */
export function refuseOwnInput(target: string, ...inputs: readonly string[]): void {
  const own = statOf(target, statSync);
  if (own === undefined) return;
  const isSame = (other: Stats | undefined): boolean => other?.dev === own.dev && other.ino === own.ino;
  if (inputs.some((input) => isSame(statOf(input, statSync)))) {
    throw new InputError({ file: target, what: 'output that is also an input', allowed: 'another file' });
  }
}

/** @throws InputError when two results would be written to one file, under whatever names: one would take the other's place */
export function refuseSameTarget(...targets: readonly string[]): void {
  const real = (target: string): string => {
    const found = statOf(target, statSync);
    return found === undefined ? resolve(target) : `${found.dev} ${found.ino}`;
  };
  const names = targets.map(real);
  const twice = targets.find((_, index) => names.indexOf(names[index] ?? '') !== index);
  if (twice !== undefined) throw new InputError({ file: twice, what: 'file for two results', allowed: 'a file for each' });
}

/** Files of these names in a folder. @throws InputError when two names are the same: one would take the other's place */
export function distinctTargets(folder: string, names: readonly string[]): string[] {
  const twice = names.find((name, index) => names.indexOf(name) !== index);
  if (twice !== undefined) throw new InputError({ file: folder, what: 'name of two files', value: twice, allowed: 'each name once' });
  return names.map((name) => join(folder, name));
}

/** Where the file really stands: the end of a link. @throws InputError for a pipe, a device or a folder */
function regularTarget(target: string): string {
  const found = statOf(target, lstatSync);
  if (found === undefined) return target;
  const real = found.isSymbolicLink() && statOf(target, statSync) !== undefined ? realpathSync(target) : target;
  const isRegular = statOf(real, statSync)?.isFile() ?? !found.isSymbolicLink();
  if (!isRegular) throw new InputError({ file: target, what: 'no regular file', allowed: 'a new file, or one to replace' });
  return real;
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
export class AtomicFile {
  readonly path: string;
  readonly target: string;
  #fd: number;

  /** @throws InputError when the folder doesn't exist or can't be written to. */
  constructor(target: string) {
    this.target = regularTarget(target);
    const { path, fd } = openAside(this.target);
    this.path = path;
    this.#fd = fd;
  }

  /** Appends all of the bytes (a string as UTF-8). */
  write(data: Uint8Array | string): void {
    const bytes = typeof data === 'string' ? Buffer.from(data) : data;
    let done = 0;
    try {
      while (done < bytes.length) done += writeSync(this.#fd, bytes, done);
    } catch (error) {
      throw fileTrouble(error, this.target, 'room for it');
    }
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
 * Writes whole files so that each target is either as before or complete. All of them are on disk before the first one is
 * given its name, so that whatever can go wrong has gone wrong by then.
 * @throws InputError when a folder or a file can't be written to; nothing has changed then.
 */
export function writeAllAtomic(files: readonly (readonly [target: string, data: Uint8Array | string])[]): void {
  const asides: AtomicFile[] = [];
  try {
    for (const [target, data] of files) {
      const aside = new AtomicFile(target);
      asides.push(aside);
      aside.write(data);
      aside.sync();
    }
  } catch (error) {
    for (const aside of asides) aside.abandon();
    throw error;
  }
  for (const aside of asides) aside.commit();
}

/**
 * Writes a whole file so that `target` is either as before or complete.
 * @throws InputError when the folder or the file can't be written to.
 */
export function writeAtomic(target: string, data: Uint8Array | string): void {
  writeAllAtomic([[target, data]]);
}
