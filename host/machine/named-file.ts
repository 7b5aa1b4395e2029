import { existsSync, readdirSync } from 'node:fs';
import { join, parse } from 'node:path';
import { InputError } from '../common/input-error.js';

/** A path has a slash, a dot in front or the ending of YAML; anything else is a name. */
export const isPath = (nameOrPath: string): boolean => /\/|\\|^\.|\.ya?ml$/.test(nameOrPath);

/** Names of the YAML files in a folder, in alphabetical order. */
export const namesIn = (folder: string): string[] =>
  readdirSync(folder)
    .filter((file) => file.endsWith('.yaml') && !file.startsWith('.'))
    .map((file) => parse(file).name)
    .sort();

/**
 * The file of a name in `folder`, or of a path.
 * @param what word for it in errors
 * @throws InputError with the names that there are
 */
export function fileOf(nameOrPath: string, folder: string, what: string): string {
  if (isPath(nameOrPath)) return nameOrPath;
  const file = join(folder, `${nameOrPath}.yaml`);
  if (existsSync(file)) return file;
  throw new InputError({ file, what, value: nameOrPath, allowed: [...namesIn(folder), 'a path to a file'] });
}
