import { existsSync, mkdirSync, renameSync, rmSync } from 'node:fs';
import { basename, dirname, join } from 'node:path';
import { stringify } from 'yaml';
import { InputError, showValue } from '../common/input-error.js';
import { checkOutputFolder } from '../common/outputs.js';
import type { Project } from '../common/project.js';
import { begin, end, removeTemporaryFolder } from '../common/unfinished.js';
import { copyAtomic, writeAtomic } from '../common/write-atomic.js';
import type { WrittenParameters } from '../contract/parameter-values.js';
import { openRecording } from '../recording/reader.js';
import type { Controller } from '../runner/wasm-runner.js';
import { type AcceptanceResult, type Approval, prepareAcceptance, writeAcceptances } from './accept.js';
import { readVectorFolder } from './vector.js';

/** Description of a new vector. */
export interface NewVector {
  /** From `newVectorFolder`. */
  readonly folder: string;
  readonly recording: string;
  readonly title: string;
  readonly why: string;
  /** Where the inputs come from; the recording's `source` if not given. */
  readonly origin?: string | undefined;
  readonly parameters?: WrittenParameters | undefined;
}

const NAME_LENGTH_MAX = 100;

/** Returns the folder of a new vector. @throws InputError if its name is invalid, so that it could be elsewhere, or taken, or it can't be made */
export function newVectorFolder({ vectors }: Project, name: string): string {
  if (!/^[a-z0-9]+(-[a-z0-9]+)*$/.test(name) || name.length > NAME_LENGTH_MAX) {
    const allowed = `at most ${NAME_LENGTH_MAX} letters in lower case, digits and hyphens: what-happens`;
    throw new InputError({ file: vectors, problem: `the name of the new vector is ${showValue(name)}`, value: name, allowed });
  }
  const folder = join(vectors, name);
  if (existsSync(folder)) throw new InputError({ file: folder, problem: `a vector named ${name} exists already`, value: name });
  checkOutputFolder(folder);
  return folder;
}

/** Returns an error about a file of the unfinished vector as one about the file that it comes from. */
function asOfSource(error: unknown, unfinished: string, { folder, recording }: NewVector): unknown {
  if (!(error instanceof InputError) || !error.details.file.startsWith(unfinished)) return error;
  const isInput = error.details.file.endsWith('input.mcap');
  return new InputError({ ...error.details, file: isInput ? recording : folder, ...(isInput ? {} : { line: undefined }) });
}

/**
 * Makes a vector from a recording and accepts its outputs. The folder appears complete or not at all.
 * @throws InputError if the recording is invalid, or the vector exercises nothing
 */
export function addVector(controller: Controller, vector: NewVector, approval: Approval): AcceptanceResult {
  const { folder, recording, title, why, parameters } = vector;
  const { rows, tickHz, about } = openRecording(recording, controller.description.contract);
  const origin = vector.origin ?? about.source;
  if (origin === undefined)
    throw new InputError({ file: recording, problem: 'the recording does not name its source', hint: 'Pass --origin TEXT' });
  const temporary = join(dirname(folder), `.${basename(folder)}.partial-${process.pid}`);
  rmSync(temporary, { recursive: true, force: true });
  mkdirSync(temporary);
  begin({ path: temporary });
  try {
    copyAtomic(recording, 'recording', join(temporary, 'input.mcap'));
    const content = { title, why, origin, rows, tickHz, ...(parameters === undefined ? {} : { parameters }) };
    writeAtomic(join(temporary, 'case.yaml'), stringify(content, { lineWidth: 110 }));
    const result = prepareAcceptance(controller, readVectorFolder(temporary), approval);
    writeAcceptances([result]);
    renameSync(temporary, folder);
    end(temporary);
    return { ...result, name: basename(folder) };
  } catch (error) {
    removeTemporaryFolder(temporary);
    throw asOfSource(error, temporary, vector);
  }
}
