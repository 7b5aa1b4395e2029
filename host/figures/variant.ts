import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { parse, stringify } from 'yaml';
import { projectAt, TOOL_ROOT } from '../common/project.js';
import type { Contract } from '../contract/contract.js';
import { readScenario, type Scenario } from '../simulate/scenario.js';

const PROJECT = projectAt(TOOL_ROOT);

/** Keys of a scenario or machine file that replace those of its base. */
export type Changes = Readonly<Record<string, unknown>>;

/**
 * Writes a scenario of vectors/scenarios with some keys changed and without requirements to a file, because workers read
 * scenarios from files, and reads it.
 * @throws InputError when the changes make no valid scenario
 */
export function variantOf(base: string, name: string, changes: Changes, folder: string, contract: Contract): Scenario {
  const written = parse(readFileSync(join(PROJECT.scenarios, `${base}.yaml`), 'utf8'));
  const file = join(folder, `${name}.yaml`);
  writeFileSync(file, stringify({ ...written, requirements: [], ...changes }));
  return readScenario(PROJECT, file, contract);
}

/** Writes a machine of vectors/machines with some parts changed to a file. @returns its path */
export function machineVariantOf(base: string, name: string, parts: Changes, folder: string): string {
  const written = parse(readFileSync(join(PROJECT.machines, `${base}.yaml`), 'utf8'));
  const file = join(folder, `${name}.yaml`);
  writeFileSync(file, stringify({ ...written, ...parts }));
  return file;
}
