import { type FSWatcher, statSync, watch } from 'node:fs';
import { basename, dirname, resolve } from 'node:path';

/** Editors write a file in several steps; so long after the last of them it is taken for saved. */
const SETTLED_MS = 40;

export interface FileWatch {
  /** Resolves at once if something was saved since the last call, otherwise when something is; false after `close`. */
  next(): Promise<boolean>;
  close(): void;
}

/** Watches folders, with all below, and single files; a file that is replaced by another of its name counts as saved. */
export function watchFiles(paths: readonly string[]): FileWatch {
  let isDirty = false;
  let isClosed = false;
  let wake: ((goesOn: boolean) => void) | undefined;
  let timer: NodeJS.Timeout | undefined;
  const settle = (): void => {
    isDirty = true;
    if (wake === undefined) return;
    isDirty = false;
    wake(true);
    wake = undefined;
  };
  const touch = (): void => {
    clearTimeout(timer);
    timer = setTimeout(settle, SETTLED_MS);
  };
  const watchers = paths.map((path): FSWatcher => {
    if (statSync(path).isDirectory()) return watch(path, { recursive: true }, touch);
    // The folder and not the file: a watch on a file ends when an editor puts another in its place.
    const name = basename(path);
    return watch(dirname(resolve(path)), (_, changed) => void ((changed === null || changed === name) && touch()));
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
