import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { parse, stringify } from 'yaml';
import { projectAt, TOOL_ROOT } from '../common/project.js';
import type { Contract } from '../contract/contract.js';
import { readScenario, type Scenario } from '../simulate/scenario.js';

const PROJECT = projectAt(TOOL_ROOT);

/** Keys of a scenario file in place of a base scenario's; requirements are left out. */
export type Changes = Readonly<Record<string, unknown>>;

/**
 * A scenario that differs from one of vectors/scenarios in a few keys, as a file of its own: workers read scenarios from files.
 * @param folder where it is written
 * @throws InputError for changes that make no scenario
 */
export function variantOf(base: string, name: string, changes: Changes, folder: string, contract: Contract): Scenario {
  const written = parse(readFileSync(join(PROJECT.scenarios, `${base}.yaml`), 'utf8'));
  const file = join(folder, `${name}.yaml`);
  writeFileSync(file, stringify({ ...written, requirements: [], ...changes }));
  return readScenario(PROJECT, file, contract);
}

/** A machine that differs from one of vectors/machines in a few parts, as a file of its own. @returns its path */
export function machineVariantOf(base: string, name: string, parts: Changes, folder: string): string {
  const written = parse(readFileSync(join(PROJECT.machines, `${base}.yaml`), 'utf8'));
  const file = join(folder, `${name}.yaml`);
  writeFileSync(file, stringify({ ...written, ...parts }));
  return file;
}
