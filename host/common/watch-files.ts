import { type FSWatcher, statSync, watch } from 'node:fs';
import { basename, dirname, resolve } from 'node:path';

/** Editors write a file in several steps; a save is complete after this long without another one. */
const DEBOUNCE_MS = 40;

export interface FileWatch {
  /** Resolves to true as soon as something has been saved since the last call; to false after `close`. */
  next(): Promise<boolean>;
  close(): void;
}

/** Watches folders with their sub-folders, and single files. Replacing a file by another of the same name counts as a save. */
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
  const watchers = paths.map((path): FSWatcher => {
    if (statSync(path).isDirectory()) return watch(path, { recursive: true }, debounce);
    // The folder and not the file: a watch on a file ends when an editor replaces it.
    const name = basename(path);
    return watch(dirname(resolve(path)), (_, changed) => void ((changed === null || changed === name) && debounce()));
  });
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
