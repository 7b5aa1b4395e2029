import { type FSWatcher, readdirSync, statSync, watch } from 'node:fs';
import { basename, dirname, join, resolve } from 'node:path';
import { asFileError, InputError } from './input-error.js';

/** Editors write a file in several steps; a save is complete after this long without another one. */
const DEBOUNCE_MS = 40;

/** What has been saved. */
export interface Save {
  /** When the last file was written, in the time of the watch. */
  readonly atMs: number;
  /** Files that are gone. */
  readonly deleted: readonly string[];
}

export interface FileWatch {
  /** Resolves as soon as something has been saved since the last call; to undefined after `close`. */
  next(): Promise<Save | undefined>;
  /** Whether something has been saved since the last call of `next`, even if more may follow at once. */
  hasChanged(): boolean;
  close(): void;
}

/** The files at and below some paths. */
function filesAt(paths: readonly string[]): string[] {
  return paths.flatMap((path) => {
    const found = statSync(path, { throwIfNoEntry: false });
    if (found?.isDirectory() !== true) return found === undefined ? [] : [path];
    return readdirSync(path, { recursive: true, withFileTypes: true }).flatMap((entry) =>
      entry.isFile() ? [join(entry.parentPath, entry.name)] : [],
    );
  });
}

function startWatch(path: string, onChange: () => void): FSWatcher {
  try {
    if (statSync(path).isDirectory()) return watch(path, { recursive: true }, onChange);
    // The folder and not the file: a watch on a file ends when an editor replaces it.
    const name = basename(path);
    return watch(dirname(resolve(path)), (_, changed) => void ((changed === null || changed === name) && onChange()));
  } catch (error) {
    const { code, syscall } = error as NodeJS.ErrnoException;
    if (syscall !== 'watch' || code !== 'ENOSPC') throw asFileError(error, path, 'read');
    const problem = 'the system watches too many files already';
    throw new InputError({ file: path, problem, hint: 'Raise the limit `fs.inotify.max_user_watches`, or end other watchers' });
  }
}

/** Starts all watches, or none. */
function startAll(paths: readonly string[], onChange: () => void): FSWatcher[] {
  const watchers: FSWatcher[] = [];
  try {
    for (const path of paths) watchers.push(startWatch(path, onChange));
    return watchers;
  } catch (error) {
    for (const one of watchers) one.close();
    throw error;
  }
}

/**
 * Watches folders with their sub-folders, and single files. Replacing a file by another of the same name counts as a save.
 * @param now the time, in milliseconds
 * @throws InputError if one of them does not exist
 */
export function watchFiles(paths: readonly string[], now: () => number): FileWatch {
  let known = filesAt(paths);
  let atMs = now();
  let hasChanged = false;
  let isComplete = false;
  let isClosed = false;
  let wake: ((save: Save | undefined) => void) | undefined;
  let timer: NodeJS.Timeout | undefined;
  const take = (): Save => {
    [hasChanged, isComplete] = [false, false];
    const present = filesAt(paths);
    const deleted = known.filter((file) => !present.includes(file));
    known = present;
    return { atMs, deleted };
  };
  const complete = (): void => {
    isComplete = true;
    if (wake === undefined) return;
    wake(take());
    wake = undefined;
  };
  const watchers = startAll(paths, () => {
    atMs = now();
    hasChanged = true;
    clearTimeout(timer);
    timer = setTimeout(complete, DEBOUNCE_MS);
  });
  return {
    next: () => {
      if (isClosed) return Promise.resolve(undefined);
      if (isComplete) return Promise.resolve(take());
      return new Promise((resolve) => {
        wake = resolve;
      });
    },
    hasChanged: () => hasChanged,
    close: () => {
      isClosed = true;
      clearTimeout(timer);
      for (const watcher of watchers) watcher.close();
      wake?.(undefined);
    },
  };
}
