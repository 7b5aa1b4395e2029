import { chmodSync, cpSync, existsSync, mkdirSync, readdirSync, renameSync, writeFileSync } from 'node:fs';
import { basename, dirname, join, resolve } from 'node:path';
import { readDependencies } from '../build/lock.js';
import { InputError, showValue } from '../common/input-error.js';
import { checkOutputFolder } from '../common/outputs.js';
import { projectAt, TOOL_ROOT } from '../common/project.js';
import { end, makeTemporaryFolder, removeTemporaryFolder } from '../common/unfinished.js';
import { toolVersion } from '../common/version.js';
import { projectFiles } from '../contract/generate/generated-files.js';
import { manifestText } from './manifest.js';
import type { PackageFile } from './package-file.js';
import { hashesOf, programFiles, templateFile } from './program-files.js';

export interface NewProject {
  /** Folder to make; the last part of its path is the project's name. */
  readonly folder: string;
  /** For people; the name if not given. */
  readonly title?: string | undefined;
  /** This program as a file to keep in the project; otherwise npm gets it by its version. */
  readonly packageFile?: PackageFile | undefined;
}

const NAME_LENGTH_MAX = 60;
const TITLE_LENGTH_MAX = 100;
/** Where a project keeps this program. */
const PACKAGES = 'packages';
/** Vectors to begin with: a step of the target, oil that thickens, and a fault with its reaction. */
export const FIRST_VECTORS = ['target-step', 'cold-oil', 'supply-low-with-valves-open'] as const;

/** Files of the template: name there → path in the project. npm does not pack names that begin with a dot. */
const TEMPLATE: Readonly<Record<string, string>> = {
  'overview.md': 'README.md',
  'ci-run': '.ci/run',
  gitignore: '.gitignore',
  gitattributes: '.gitattributes',
  npmrc: '.npmrc',
  'first-field.yaml': 'vectors/scenarios/first-field.yaml',
  'first-machine.yaml': 'vectors/machines/first-machine.yaml',
  'first-parameters.yaml': 'vectors/parameters/first-parameters.yaml',
};
const EXECUTABLE = '.ci/run';

/** Returns the project's name. @throws InputError if it is no name of a package, or the folder cannot be made */
function checkFolder(folder: string): string {
  const name = basename(resolve(folder));
  if (!/^[a-z][a-z0-9]*(-[a-z0-9]+)*$/.test(name) || name.length > NAME_LENGTH_MAX || name === 'latchbench' || name === 'node-modules') {
    const allowed = `a letter, then at most ${NAME_LENGTH_MAX - 1} letters in lower case, digits and hyphens: my-planter`;
    throw new InputError({ file: folder, problem: `the name of the new project is ${showValue(name)}`, value: name, allowed });
  }
  checkOutputFolder(folder);
  if (existsSync(folder) && readdirSync(folder).length > 0)
    throw new InputError({ file: folder, problem: 'the folder is not empty', hint: 'Name a new one, or empty it' });
  return name;
}

/** @throws InputError for a title that does not fit on one line */
function checkTitle(folder: string, title: string): void {
  if (/^[^\p{C}\p{Zl}\p{Zp}]+$/u.test(title) && title.length <= TITLE_LENGTH_MAX) return;
  throw new InputError({
    file: folder,
    problem: `the title is ${showValue(title)}`,
    value: title,
    allowed: `at most ${TITLE_LENGTH_MAX} characters on one line`,
  });
}

const packageJson = (name: string, title: string, dependency: string): object => ({
  name,
  version: '0.1.0',
  private: true,
  description: title,
  type: 'module',
  engines: { node: '>=20.19' },
  scripts: {
    prepare: 'latchbench build',
    build: 'latchbench build',
    start: 'latchbench replay',
    test: 'latchbench check && latchbench replay && latchbench simulate',
  },
  dependencies: { latchbench: dependency },
});

/** package-lock.json: the packages that this program was tested with, for `npm ci`. */
function packageLock(name: string, dependency: string, packageFile: PackageFile | undefined): object {
  const run = readDependencies();
  const origin = packageFile === undefined ? {} : { resolved: dependency, integrity: packageFile.integrity };
  const latchbench = { ...run['node_modules/latchbench'], ...origin };
  const root = { name, version: '0.1.0', dependencies: { latchbench: dependency }, engines: { node: '>=20.19' } };
  const packages = { '': root, ...run, 'node_modules/latchbench': latchbench };
  return { name, version: '0.1.0', lockfileVersion: 3, requires: true, packages };
}

const json = (value: object): string => `${JSON.stringify(value, null, 2)}\n`;

/** Every text file of a new project. */
function textFiles(name: string, title: string, packageFile: PackageFile | undefined): Map<string, string> {
  const version = toolVersion();
  const dependency = packageFile === undefined ? version : `file:${PACKAGES}/${packageFile.name}`;
  const program = programFiles();
  const values = { name, title: JSON.stringify(title).slice(1, -1), heading: title, version };
  return new Map([
    ...Object.entries(TEMPLATE).map(([file, path]) => [path, templateFile(file, values)] as const),
    ...program,
    ...Object.entries(projectFiles()),
    ['package.json', json(packageJson(name, title, dependency))],
    ['package-lock.json', json(packageLock(name, dependency, packageFile))],
    ['latchbench.json', manifestText({ version, files: hashesOf(program) })],
  ]);
}

function writeInto(folder: string, path: string, content: string | Uint8Array): void {
  mkdirSync(dirname(join(folder, path)), { recursive: true });
  writeFileSync(join(folder, path), content);
}

/**
 * Makes the folder of a team's project. It appears complete or not at all.
 * @returns paths of its files below the folder
 * @throws InputError if the name or title cannot be used, or the folder is not empty or cannot be made
 */
export function initProject({ folder, title, packageFile }: NewProject): string[] {
  const name = checkFolder(folder);
  checkTitle(folder, title ?? name);
  const target = resolve(folder);
  const temporary = makeTemporaryFolder(`.${name}.partial-`, dirname(target));
  try {
    const files = textFiles(name, title ?? name, packageFile);
    for (const [path, text] of files) writeInto(temporary, path, text);
    if (packageFile !== undefined) writeInto(temporary, `${PACKAGES}/${packageFile.name}`, packageFile.bytes);
    for (const vector of FIRST_VECTORS)
      cpSync(join(projectAt(TOOL_ROOT).vectors, vector), join(temporary, 'vectors', 'cases', vector), { recursive: true });
    chmodSync(join(temporary, EXECUTABLE), 0o755);
    chmodSync(temporary, 0o755);
    renameSync(temporary, target);
    end(temporary);
    return [...files.keys(), ...FIRST_VECTORS.map((vector) => `vectors/cases/${vector}`)].sort();
  } catch (error) {
    removeTemporaryFolder(temporary);
    throw error;
  }
}
