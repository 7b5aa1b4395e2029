import { existsSync } from 'node:fs';
import { join, relative } from 'node:path';
import { InputError } from '../common/input-error.js';
import type { Project } from '../common/project.js';
import { readText } from '../common/read-file.js';
import { describeContract } from '../contract/contract.js';
import { projectFiles } from '../contract/generate/generated-files.js';
import { readParameterFile } from '../contract/parameter-values.js';
import { machineNames, readMachine } from '../machine/machine.js';
import { namesIn } from '../machine/named-file.js';
import { readScenario, scenarioNames } from '../simulate/scenario.js';
import { catalogueNames, readCatalogue } from '../sizing/search/catalogue.js';
import { readVector, vectorNames } from '../vector/vector.js';
import { readManifest } from './manifest.js';

/** A file that was checked, as a path below the project's folder; with what is wrong, if anything is. */
export interface CheckedFile {
  readonly path: string;
  readonly problem?: string;
}

type Check = [path: string, read: () => unknown];

/** Returns the first error of a file that a person has written. @throws any other error */
function problemOf(read: () => unknown): string | undefined {
  try {
    read();
    return undefined;
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    return error.message;
  }
}

/** @throws InputError unless a generated file is what the tables give */
function checkGenerated(file: string, path: string, text: string): void {
  if (existsSync(file) && readText(file, 'yaml') === text) return;
  throw new InputError({ file: path, problem: 'it is not what the tables in shared/ give', hint: 'Run `npm run build`, and commit it' });
}

/** Checks every file of a project that a person writes or commits: it is valid, or generated from the tables. */
export function checkProject(project: Project): CheckedFile[] {
  const contract = describeContract();
  const parameters = join(project.root, 'vectors', 'parameters');
  const listed = (folder: string, names: readonly string[], ending: string, read: (name: string) => unknown): Check[] =>
    names.map((name) => [join(relative(project.root, folder), `${name}${ending}`), () => read(name)]);
  const { machines, scenarios, catalogues, vectors } = project;
  const checks: Check[] = [
    ['latchbench.json', () => readManifest(project)],
    ...Object.entries(projectFiles()).map(([path, text]): Check => [path, () => checkGenerated(join(project.root, path), path, text)]),
    ...listed(machines, machineNames(project), '.yaml', (name) => readMachine(project, name)),
    ...listed(scenarios, scenarioNames(project), '.yaml', (name) => readScenario(project, name)),
    ...listed(catalogues, catalogueNames(project), '.yaml', (name) => readCatalogue(project, name, 1)),
    ...listed(parameters, namesIn(parameters), '.yaml', (name) => readParameterFile(join(parameters, `${name}.yaml`), contract)),
    ...listed(vectors, vectorNames(project), '', (name) => readVector(project, name)),
  ];
  return checks.map(([path, read]) => {
    const problem = problemOf(read);
    return problem === undefined ? { path } : { path, problem };
  });
}
