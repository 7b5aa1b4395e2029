import { ROWS_MAX } from '../../shared/limits.js';
import { compileController, readControllerSources } from '../build/controller.js';
import type { Project } from '../common/project.js';
import { loadController } from '../runner/wasm-runner.js';

/**
 * Returns a controller binary with room for `rows` rows: the shipped one for the maximum, otherwise a build of the same sources.
 * @throws InputError when the shipped binary has not been built
 */
export async function binaryFor({ root, controllerWasm }: Project, rows: number): Promise<string> {
  loadController(controllerWasm);
  if (rows === ROWS_MAX) return controllerWasm;
  return (await compileController(readControllerSources(root), { rows })).file;
}
