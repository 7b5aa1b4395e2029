import { type FSWatcher, statSync, watch } from 'node:fs';
import { basename, dirname, resolve } from 'node:path';
import { asFileError, InputError } from './input-error.js';

/** Editors write a file in several steps; a save is complete after this long without another one. */
const DEBOUNCE_MS = 40;

export interface FileWatch {
  /** Resolves to true as soon as something has been saved since the last call; to false after `close`. */
  next(): Promise<boolean>;
  close(): void;
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
 * @throws InputError if one of them does not exist
 */
export function watchFiles(paths: readonly string[]): FileWatch {
  let isDirty = false;
  let isClosed = false;
  let wake: ((hasChanged: boolean) => void) | undefined;
  let timer: NodeJS.Timeout | undefined;
  const reportSave = (): void => {
    isDirty = true;
    if (wake === undefined) return;
    isDirty = false;
    wake(true);
    wake = undefined;
  };
  const debounce = (): void => {
    clearTimeout(timer);
    timer = setTimeout(reportSave, DEBOUNCE_MS);
  };
  const watchers = startAll(paths, debounce);
  return {
    next: () => {
      if (isClosed) return Promise.resolve(false);
      if (isDirty) {
        isDirty = false;
        return Promise.resolve(true);
      }
      return new Promise((resolve) => {
        wake = resolve;
      });
    },
    close: () => {
      isClosed = true;
      clearTimeout(timer);
      for (const watcher of watchers) watcher.close();
      wake?.(false);
    },
  };
}
