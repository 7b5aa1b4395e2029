import { copyFileSync, existsSync, mkdirSync, renameSync, rmSync } from 'node:fs';
import { basename, dirname, join } from 'node:path';
import { stringify } from 'yaml';
import { InputError } from '../common/input-error.js';
import { writeAtomic } from '../common/write-atomic.js';
import type { WrittenParameters } from '../contract/parameter-values.js';
import { openRecording } from '../recording/reader.js';
import type { Controller } from '../runner/wasm-runner.js';
import { type AcceptanceResult, type Approval, prepareAcceptance, writeAcceptances } from './accept.js';
import { caseFolder, readCase } from './case.js';

/** What a person says of a new vector. */
export interface NewCase {
  readonly name: string;
  readonly recording: string;
  readonly title: string;
  readonly why: string;
  /** Where the inputs come from; the recording's own words if not given. */
  readonly origin?: string | undefined;
  readonly parameters?: WrittenParameters | undefined;
}

/** The name's own folder, which must not exist yet. @throws InputError otherwise */
export function newFolder(name: string): string {
  const folder = caseFolder(name);
  if (!/^[a-z0-9]+(-[a-z0-9]+)*$/.test(basename(folder))) {
    throw new InputError({ file: folder, what: 'name', value: basename(folder), allowed: 'what happens, in lower case with hyphens' });
  }
  if (existsSync(folder)) throw new InputError({ file: folder, what: 'name that is taken', value: name, allowed: 'a new name' });
  return folder;
}

/**
 * Makes a vector of a recording and accepts its outputs. The folder appears whole or not at all.
 * @throws InputError when the name is taken, the recording is not in order, or the case proves nothing
 */
export function addCase(controller: Controller, wanted: NewCase, approval: Approval): AcceptanceResult {
  const folder = newFolder(wanted.name);
  const { rows, tickHz, about } = openRecording(wanted.recording, controller.description.contract);
  const origin = wanted.origin ?? about.source;
  if (origin === undefined) throw new InputError({ file: wanted.recording, what: 'no word of its source', allowed: '--origin TEXT' });
  const aside = join(dirname(folder), `.${basename(folder)}.partial-${process.pid}`);
  rmSync(aside, { recursive: true, force: true });
  mkdirSync(aside, { recursive: true });
  try {
    copyFileSync(wanted.recording, join(aside, 'input.mcap'));
    const { title, why, parameters } = wanted;
    const told = { title, why, origin, rows, tickHz, ...(parameters === undefined ? {} : { parameters }) };
    writeAtomic(join(aside, 'case.yaml'), stringify(told, { lineWidth: 110 }));
    const result = prepareAcceptance(controller, readCase(aside), approval);
    writeAcceptances([result]);
    renameSync(aside, folder);
    return { ...result, name: basename(folder) };
  } catch (error) {
    rmSync(aside, { recursive: true, force: true });
    throw error;
  }
}
