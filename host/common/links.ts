import { existsSync, lstatSync, realpathSync } from 'node:fs';
import { dirname, isAbsolute, relative, sep } from 'node:path';
import { InputError } from './input-error.js';

/** Whether a path, with all links in it followed, is in a folder or below it. */
function isInside(folder: string, path: string): boolean {
  const way = relative(realpathSync(folder), realpathSync(path));
  return !isAbsolute(way) && way !== '..' && !way.startsWith(`..${sep}`);
}

/**
 * Checks that what a command finds in a folder, or writes there, is in that folder: a link that came with the folder could lead
 * anywhere. A path that the user names may be a link.
 * @throws InputError at a link that leads out of the folder, or to nothing
 */
export function refuseLinksOut(folder: string, ...paths: readonly string[]): void {
  for (const path of paths) {
    if (lstatSync(path, { throwIfNoEntry: false })?.isSymbolicLink() !== true) continue;
    if (existsSync(path) && isInside(folder, path)) continue;
    throw new InputError({
      file: path,
      problem: 'this is a symbolic link out of its folder',
      hint: 'Replace it by the file or folder itself',
    });
  }
}

/** Whether errors about a file that the file `from` names may quote its text: it is in the same folder or below it. */
export const mayQuote = (from: string, file: string): boolean => isInside(dirname(from), file);

/**
 * Reads a file that another file names by its path. Unless it is in the folder of that file, no error quotes its text: a scenario
 * from a stranger may name a file that is none of his business, and logs are published.
 * @param from the file that names it
 * @throws InputError as `read` does
 */
export function readNamedBy<T>(from: string, file: string, read: () => T): T {
  try {
    return read();
  } catch (error) {
    if (!(error instanceof InputError) || error.details.file !== file || error.details.line === undefined) throw error;
    if (mayQuote(from, file)) throw error;
    const { line, column } = error.details;
    throw new InputError({
      file,
      line,
      column,
      problem: `this is not valid here, and its text is not shown because ${from} named the file`,
    });
  }
}
