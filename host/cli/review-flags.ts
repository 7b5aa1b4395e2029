import type { Build } from '../review/builds.js';
import type { ReviewSide } from '../review/compare.js';
import { text } from './answer.js';

/** A file that a flag names. */
export const fileFlag = (brief: string) => ({ kind: 'parsed', parse: text, brief, optional: true, placeholder: 'file' }) as const;

/** A build with the parameters of a file over each vector's own. @throws InputError with line and column */
export async function sideOf(build: Build, file: string | undefined): Promise<ReviewSide> {
  if (file === undefined) return { build };
  const { readParameterFile } = await import('../contract/parameter-values.js');
  return { build, parameters: { file, values: readParameterFile(file, build.controller.description.contract) } };
}

export const BUILD_BRIEF = 'a commit, branch or tag; a binary (….wasm); . for the sources as they are';
