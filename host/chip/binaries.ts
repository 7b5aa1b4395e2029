import { ROWS_MAX } from '../../shared/limits.js';
import { compileController, readControllerSources } from '../build/controller.js';
import { CONTROLLER_WASM, ROOT } from '../common/project.js';
import { loadController } from '../runner/wasm-runner.js';

/**
 * The controller's binary with room for `rows` rows: the one that ships for the maximum, otherwise one compiled from the same sources.
 * @throws InputError when the one that ships has not been built
 */
export async function binaryFor(rows: number): Promise<string> {
  loadController();
  if (rows === ROWS_MAX) return CONTROLLER_WASM;
  return (await compileController(readControllerSources(ROOT), { rows })).file;
}
