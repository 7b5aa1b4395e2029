import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { asFileError } from './input-error.js';

/** A file or folder that is there only while a command works, or that an interrupted command leaves behind. */
export interface Unfinished {
  readonly path: string;
  /** What the user can do with it, as a sentence without its full stop; without it, it is of no use and is removed. */
  readonly remedy?: string | undefined;
}

/** That it has been begun, or ended: the path. */
export type UnfinishedChange = { readonly begun: Unfinished } | { readonly ended: string };

type Listener = (change: UnfinishedChange) => void;

let listener: Listener = () => {};

/** Reports what this thread begins and ends to whoever cleans up if it is stopped in between. */
export function onUnfinished(report: Listener): void {
  listener = report;
}

export const begin = (unfinished: Unfinished): void => listener({ begun: unfinished });
export const end = (path: string): void => listener({ ended: path });

/** Makes a temporary folder. @param prefix of its name @throws InputError if the parent can't be written to */
export function makeTemporaryFolder(prefix: string, parent: string = tmpdir()): string {
  try {
    const path = mkdtempSync(join(parent, prefix));
    begin({ path });
    return path;
  } catch (error) {
    throw asFileError(error, parent, 'write');
  }
}

/** Removes a temporary folder. Harmless if it is gone already. */
export function removeTemporaryFolder(path: string): void {
  rmSync(path, { recursive: true, force: true });
  end(path);
}
