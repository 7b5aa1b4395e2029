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

const isMapping = (value: unknown): value is Changes => typeof value === 'object' && value !== null;

/** Writes a machine of vectors/machines with some quantities changed to a file; `none` replaces a whole part. @returns its path */
export function machineVariantOf(base: string, name: string, parts: Changes, folder: string): string {
  const written: Changes = parse(readFileSync(join(PROJECT.machines, `${base}.yaml`), 'utf8'));
  const merged = Object.entries(parts).map(([part, changed]) => {
    const own = written[part];
    return [part, isMapping(own) && isMapping(changed) ? { ...own, ...changed } : changed];
  });
  const file = join(folder, `${name}.yaml`);
  writeFileSync(file, stringify({ ...written, ...Object.fromEntries(merged) }));
  return file;
}
