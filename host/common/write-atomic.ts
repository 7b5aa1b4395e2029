import { closeSync, fsyncSync, lstatSync, openSync, realpathSync, renameSync, rmSync, type Stats, statSync, writeSync } from 'node:fs';
import { dirname, join, resolve } from 'node:path';
import { asFileError, InputError } from './input-error.js';
import { refuseLinksOut } from './links.js';
import { type FileKind, InputFile } from './read-file.js';
import { begin, end } from './unfinished.js';

/** Maximum number of unfinished files beside one target before the user is asked to clean up. */
const PARTIALS_MAX = 100;
const COPY_BLOCK_BYTES = 1 << 20;

/** `run.mcap` → `run.mcap.partial`, `run.mcap.partial-2`, …: what an interrupted run left behind is never overwritten. */
const partialName = (target: string, attempt: number): string => `${target}.partial${attempt === 1 ? '' : `-${attempt}`}`;

function openPartial(target: string): { path: string; fd: number } {
  for (let attempt = 1; attempt <= PARTIALS_MAX; attempt++) {
    const path = partialName(target, attempt);
    try {
      return { path, fd: openSync(path, 'wx') };
    } catch (error) {
      if ((error as NodeJS.ErrnoException).code !== 'EEXIST') throw asFileError(error, target, 'write');
    }
  }
  const problem = `${PARTIALS_MAX} unfinished files lie beside it`;
  throw new InputError({ file: target, problem, hint: `Remove or recover ${partialName(target, 1)} and the others` });
}

const statOf = (path: string, stat: (path: string) => Stats): Stats | undefined => {
  try {
    return stat(path);
  } catch {
    return undefined;
  }
};

/**
 * Checks that an output does not replace an input.
 * @throws InputError if `target` is one of the `inputs`, also under another path
 */
export function refuseOverwritingInput(target: string, ...inputs: readonly string[]): void {
  const found = statOf(target, statSync);
  if (found === undefined) return;
  const isSame = (other: Stats | undefined): boolean => other?.dev === found.dev && other.ino === found.ino;
  if (inputs.some((input) => isSame(statOf(input, statSync)))) {
    throw new InputError({ file: target, problem: 'the output file is also an input', hint: 'Choose another output file' });
  }
}

/** Checks that no two outputs have the same file. @throws InputError if they do, also under different paths */
export function refuseSameTarget(...targets: readonly string[]): void {
  const identityOf = (target: string): string => {
    const found = statOf(target, statSync);
    return found === undefined ? resolve(target) : `${found.dev} ${found.ino}`;
  };
  const identities = targets.map(identityOf);
  const duplicate = targets.find((_, index) => identities.indexOf(identities[index] ?? '') !== index);
  if (duplicate !== undefined) {
    throw new InputError({ file: duplicate, problem: 'two outputs would be written to this file', hint: 'Choose a file for each' });
  }
}

/** Returns the paths of the named files in a folder. @throws InputError if two names are the same, or one leads elsewhere */
export function distinctTargets(folder: string, names: readonly string[]): string[] {
  const duplicate = names.find((name, index) => names.indexOf(name) !== index);
  if (duplicate !== undefined) {
    throw new InputError({ file: folder, problem: `two outputs would be written to ${duplicate} in this folder`, value: duplicate });
  }
  const targets = names.map((name) => join(folder, name));
  refuseLinksOut(folder, ...targets);
  return targets;
}

/** Follows a symbolic link to the file itself. @throws InputError for a pipe, a device or a folder */
function regularTarget(target: string): string {
  const found = statOf(target, lstatSync);
  if (found === undefined) return target;
  const real = found.isSymbolicLink() && statOf(target, statSync) !== undefined ? realpathSync(target) : target;
  const isRegular = statOf(real, statSync)?.isFile() ?? !found.isSymbolicLink();
  if (!isRegular) throw new InputError({ file: target, problem: 'this is not a regular file' });
  return real;
}

/** A rename survives a power loss only after its folder is synced too. If the folder can't be opened, only that safety is lost. */
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

/** A file with a temporary name beside its target until `commit` renames it or `abandon` removes it. */
export class AtomicFile {
  readonly path: string;
  readonly target: string;
  #fd: number;

  /**
   * @param remedyOf returns what an interrupted user can do with the file at this path; without it the file is of no use then
   * @throws InputError if the folder doesn't exist or can't be written to
   */
  constructor(target: string, remedyOf?: (path: string) => string) {
    this.target = regularTarget(target);
    const { path, fd } = openPartial(this.target);
    this.path = path;
    this.#fd = fd;
    begin({ path, remedy: remedyOf?.(path) });
  }

  /** Appends all of the bytes (a string as UTF-8). */
  write(data: Uint8Array | string): void {
    const bytes = typeof data === 'string' ? Buffer.from(data) : data;
    let done = 0;
    try {
      while (done < bytes.length) done += writeSync(this.#fd, bytes, done);
    } catch (error) {
      throw asFileError(error, this.target, 'write');
    }
  }

  /** Everything written so far is on disk when this returns. */
  sync(): void {
    fsyncSync(this.#fd);
  }

  /** Renames the file to its target. If that fails, the temporary file is removed. */
  commit(): void {
    try {
      this.sync();
      this.#close();
      renameSync(this.path, this.target);
      end(this.path);
    } catch (error) {
      this.abandon();
      throw asFileError(error, this.target, 'write');
    }
    syncFolder(dirname(this.target));
  }

  /** Removes the file. Harmless if it is gone already. */
  abandon(): void {
    if (this.#fd !== -1) this.#close();
    rmSync(this.path, { force: true });
    end(this.path);
  }

  #close(): void {
    const fd = this.#fd;
    this.#fd = -1;
    closeSync(fd);
  }
}

/** Copies a file of a user, see `AtomicFile`. @throws InputError if it can't be read or written */
export function copyAtomic(from: string, kind: FileKind, target: string): void {
  const source = new InputFile(from, kind);
  try {
    const file = new AtomicFile(target);
    try {
      const block = new Uint8Array(COPY_BLOCK_BYTES);
      for (let got = source.read(block); got > 0; got = source.read(block)) file.write(block.subarray(0, got));
      file.commit();
    } catch (error) {
      file.abandon();
      throw error;
    }
  } finally {
    source.close();
  }
}

/**
 * Writes files so that each target is either unchanged or complete. All of them are on disk before the first rename, so
 * that a full disk or a missing permission changes nothing.
 * @throws InputError if a folder or a file can't be written; no target has changed then.
 */
export function writeAllAtomic(files: readonly (readonly [target: string, data: Uint8Array | string])[]): void {
  const temporaries: AtomicFile[] = [];
  try {
    for (const [target, data] of files) {
      const temporary = new AtomicFile(target);
      temporaries.push(temporary);
      temporary.write(data);
      temporary.sync();
    }
  } catch (error) {
    for (const temporary of temporaries) temporary.abandon();
    throw error;
  }
  for (const temporary of temporaries) temporary.commit();
}

/**
 * Writes a file so that `target` is either unchanged or complete.
 * @throws InputError if the folder or the file can't be written.
 */
export function writeAtomic(target: string, data: Uint8Array | string): void {
  writeAllAtomic([[target, data]]);
}
