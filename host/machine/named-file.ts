import { existsSync, readdirSync } from 'node:fs';
import { join, parse } from 'node:path';
import { InputError } from '../common/input-error.js';
import { refuseLinksOut } from '../common/links.js';

/** Whether this is a path: it has a slash, starts with a dot or ends as a YAML file does. Anything else is a name. */
export const isPath = (nameOrPath: string): boolean => /\/|\\|^\.|\.ya?ml$/.test(nameOrPath);

/** Returns the names of the YAML files in a folder, in alphabetical order. */
export const namesIn = (folder: string): string[] =>
  readdirSync(folder)
    .filter((file) => file.endsWith('.yaml') && !file.startsWith('.'))
    .map((file) => parse(file).name)
    .sort();

/**
 * Returns the file of a name in `folder`; a path is returned as it is.
 * @param kind what the file describes, for errors
 * @throws InputError with the names that exist, or at a link out of the folder
 */
export function resolveNamedFile(nameOrPath: string, folder: string, kind: string): string {
  if (isPath(nameOrPath)) return nameOrPath;
  const file = join(folder, `${nameOrPath}.yaml`);
  refuseLinksOut(folder, file);
  if (existsSync(file)) return file;
  throw new InputError({ file, problem: `there is no ${kind} ${nameOrPath}`, value: nameOrPath, allowed: namesIn(folder) });
}
