import { existsSync, mkdirSync, renameSync, rmSync } from 'node:fs';
import { basename, dirname, join } from 'node:path';
import { stringify } from 'yaml';
import { InputError, showValue } from '../common/input-error.js';
import { copyAtomic, writeAtomic } from '../common/write-atomic.js';
import type { WrittenParameters } from '../contract/parameter-values.js';
import { openRecording } from '../recording/reader.js';
import type { Controller } from '../runner/wasm-runner.js';
import { type AcceptanceResult, type Approval, prepareAcceptance, writeAcceptances } from './accept.js';
import { readVectorFolder } from './vector.js';

/** Description of a new vector. */
export interface NewVector {
  /** New folder; its name is that of the vector. */
  readonly folder: string;
  readonly recording: string;
  readonly title: string;
  readonly why: string;
  /** Where the inputs come from; the recording's `source` if not given. */
  readonly origin?: string | undefined;
  readonly parameters?: WrittenParameters | undefined;
}

/** Checks the folder of a new vector. @throws InputError if its name is invalid or it exists */
export function checkNewFolder(folder: string): void {
  const value = basename(folder);
  if (!/^[a-z0-9]+(-[a-z0-9]+)*$/.test(value)) {
    throw new InputError({
      file: folder,
      problem: `the name is ${showValue(value)}`,
      value,
      allowed: 'lower case with hyphens: what-happens',
    });
  }
  if (existsSync(folder)) throw new InputError({ file: folder, problem: `a vector named ${value} exists already`, value });
}

/**
 * Makes a vector from a recording and accepts its outputs. The folder appears complete or not at all.
 * @throws InputError if the name is taken, the recording is invalid, or the vector exercises nothing
 */
export function addVector(controller: Controller, vector: NewVector, approval: Approval): AcceptanceResult {
  const { folder, recording, title, why, parameters } = vector;
  checkNewFolder(folder);
  const { rows, tickHz, about } = openRecording(recording, controller.description.contract);
  const origin = vector.origin ?? about.source;
  if (origin === undefined)
    throw new InputError({ file: recording, problem: 'the recording does not name its source', hint: 'Pass --origin TEXT' });
  const temporary = join(dirname(folder), `.${basename(folder)}.partial-${process.pid}`);
  rmSync(temporary, { recursive: true, force: true });
  mkdirSync(temporary, { recursive: true });
  try {
    copyAtomic(recording, 'recording', join(temporary, 'input.mcap'));
    const content = { title, why, origin, rows, tickHz, ...(parameters === undefined ? {} : { parameters }) };
    writeAtomic(join(temporary, 'case.yaml'), stringify(content, { lineWidth: 110 }));
    const result = prepareAcceptance(controller, readVectorFolder(temporary), approval);
    writeAcceptances([result]);
    renameSync(temporary, folder);
    return { ...result, name: basename(folder) };
  } catch (error) {
    rmSync(temporary, { recursive: true, force: true });
    throw error;
  }
}
