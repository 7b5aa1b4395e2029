import { existsSync, mkdirSync } from 'node:fs';
import { dirname, join, relative } from 'node:path';
import { InputError } from '../../common/input-error.js';
import { checkOutputFile } from '../../common/outputs.js';
import type { Project } from '../../common/project.js';
import { shellWord } from '../../common/shell-word.js';
import { writeAtomic } from '../../common/write-atomic.js';
import { describeContract } from '../../contract/contract.js';
import type { TemplateKind } from '../../files/template-kinds.js';
import { templateOf } from '../../files/templates.js';
import { isPath } from '../../machine/named-file.js';
import { scenarioNames } from '../../simulate/scenario.js';
import { command } from '../context.js';

interface Flags {
  readonly print?: boolean;
  readonly json?: boolean;
}

/** Scenario that catalogues and tuning files name, where the project has it. */
const REFERENCE = 'class-d-reference';

/** Where files of a kind are found by name; others are in the current folder. */
function folderOf(kind: TemplateKind, project: Project): string | undefined {
  const folders: Partial<Record<TemplateKind, string>> = {
    scenario: project.scenarios,
    machine: project.machines,
    catalogue: project.catalogues,
  };
  return folders[kind];
}

/** What to do with a new file. */
const NEXT: Readonly<Record<TemplateKind, (word: string) => string>> = {
  scenario: (word) => `latchbench show scenario ${word}, then latchbench simulate ${word}`,
  machine: (word) => `latchbench size ${word}`,
  catalogue: (word) => `latchbench size default --search ${word}`,
  parameters: (word) => `latchbench parameters ${word}`,
  map: (word) => `latchbench import LOG --map ${word} -o log.mcap`,
  tuning: (word) => `npm run tune -- ${word}`,
  rig: (word) => `latchbench rig check --rig ${word}`,
};

/** Returns the path of a new file. @throws InputError for a name that is none, or a file that exists */
function newFile(kind: TemplateKind, name: string, project: Project): string {
  if (!isPath(name) && !/^\w[\w.-]*$/.test(name))
    throw new InputError({
      file: 'new',
      problem: `the name is ${name}`,
      value: name,
      allowed: 'letters, digits, dots and hyphens, or a path',
    });
  const folder = folderOf(kind, project);
  const file = isPath(name) ? name : join(folder ?? '', `${name}.yaml`);
  if (existsSync(file))
    throw new InputError({ file, problem: 'there is such a file', hint: 'Nothing is overwritten: choose another name' });
  return file;
}

export default command<Flags, [TemplateKind, string]>(({ project, cwd }, { print }, kind, name) => {
  const file = newFile(kind, name, project);
  const scenarios = scenarioNames(project);
  const scenario = scenarios.includes(REFERENCE) ? REFERENCE : (scenarios[0] ?? REFERENCE);
  const text = templateOf(kind, { contract: describeContract(), scenario });
  if (print === true) return { text, json: { kind, text }, passed: true };
  if (!isPath(name)) mkdirSync(dirname(file), { recursive: true });
  checkOutputFile(file);
  writeAtomic(file, text);
  const shown = isPath(name) ? name : relative(cwd, file);
  const next = NEXT[kind](shellWord(isPath(name) || folderOf(kind, project) === undefined ? shown : name));
  return { text: `written: ${shown}\nnext: ${next}\n`, json: { kind, file: shown, next }, passed: true };
});
