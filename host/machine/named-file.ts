import { existsSync, readdirSync } from 'node:fs';
import { basename, join, parse } from 'node:path';
import { InputError } from '../common/input-error.js';
import { refuseLinksOut } from '../common/links.js';
import { TOOL_ROOT } from '../common/project.js';

/** Whether this is a path: it has a slash, starts with a dot or ends as a YAML file does. Anything else is a name. */
export const isPath = (nameOrPath: string): boolean => /\/|\\|^\.|\.ya?ml$/.test(nameOrPath);

/** Returns the names of the YAML files in a folder, in alphabetical order; none if there is no such folder. */
export const namesIn = (folder: string): string[] =>
  (existsSync(folder) ? readdirSync(folder) : [])
    .filter((file) => file.endsWith('.yaml') && !file.startsWith('.'))
    .map((file) => parse(file).name)
    .sort();

/** The files of the same kind that come with this program: a name that a project does not have is looked up there. */
const ownFolder = (folder: string): string => join(TOOL_ROOT, 'vectors', basename(folder));

/** Returns the names that come with this program and that the project does not have in its folder of the same kind. */
export const namesOfProgram = (folder: string): string[] => {
  const names = namesIn(folder);
  return namesIn(ownFolder(folder)).filter((name) => !names.includes(name));
};

/** Returns all names that `findNamedFile` finds: those of the project, then those that come with this program. */
export const allNames = (folder: string): string[] => [...namesIn(folder), ...namesOfProgram(folder)];

/** Returns the file of a name in a project's folder or among those that come with this program. @throws InputError at a link out of the folder */
export function findNamedFile(name: string, folder: string): string | undefined {
  const files = [folder, ownFolder(folder)].map((one) => join(one, `${name}.yaml`));
  refuseLinksOut(folder, ...files.slice(0, 1));
  return files.find((file) => existsSync(file));
}

/**
 * Returns the file of a name, see `findNamedFile`; a path is returned as it is.
 * @param kind what the file describes, for errors
 * @throws InputError with the names that exist, or at a link out of the folder
 */
export function resolveNamedFile(nameOrPath: string, folder: string, kind: string): string {
  if (isPath(nameOrPath)) return nameOrPath;
  const file = findNamedFile(nameOrPath, folder);
  if (file !== undefined) return file;
  const problem = `there is no ${kind} ${nameOrPath}`;
  throw new InputError({ file: join(folder, `${nameOrPath}.yaml`), problem, value: nameOrPath, allowed: allNames(folder) });
}
