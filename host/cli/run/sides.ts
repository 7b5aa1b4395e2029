import { readParameterFile } from '../../contract/parameter-values.js';
import type { Build } from '../../review/builds.js';
import type { ReviewSide } from '../../review/review-task.js';

/** Returns a build with a file's parameters, which apply over each vector's own. @throws InputError with line and column */
export function sideOf(build: Build, file: string | undefined): ReviewSide {
  if (file === undefined) return { build };
  return { build, parameters: { file, values: readParameterFile(file, build.controller.description.contract) } };
}
