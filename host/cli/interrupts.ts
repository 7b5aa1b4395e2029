import { rmSync, statSync } from 'node:fs';
import type { Unfinished, UnfinishedChange } from '../common/unfinished.js';

/** What the main thread gives to the command's. */
export interface CommandThreadData {
  readonly argv: readonly string[];
  readonly isTTY: { readonly stdout: boolean; readonly stderr: boolean };
  /** Width of standard output, if it is a terminal. */
  readonly columns: number | undefined;
}

/** What the command's thread reports. */
export type FromCommand =
  /** Whether the command ends itself when it is interrupted. */
  { readonly listens: boolean } | { readonly unfinished: UnfinishedChange };

function isEmptyFile(path: string): boolean {
  const found = statSync(path, { throwIfNoEntry: false });
  return found?.isFile() === true && found.size === 0;
}

/** What a command has begun and not ended. */
export class UnfinishedList {
  readonly #all = new Map<string, Unfinished>();
  /** Whether the command has begun to write anything. */
  hasBegun = false;

  take(change: UnfinishedChange): void {
    if ('begun' in change) {
      this.hasBegun = true;
      this.#all.set(change.begun.path, change.begun);
    } else this.#all.delete(change.ended);
  }

  /** Removes what is of no use to anyone. Returns what is left and how to use it, a line each. */
  cleanUp(): string[] {
    const lines: string[] = [];
    for (const { path, remedy } of this.#all.values()) {
      if (remedy === undefined || isEmptyFile(path)) rmSync(path, { recursive: true, force: true });
      else lines.push(`${path} is left. ${remedy}.`);
    }
    return lines;
  }
}
