import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { ROWS_MAX } from '../../shared/limits.js';
import { buildForRows } from '../build/build-controller.js';
import { hashSources } from '../build/source-hash.js';
import { CONTROLLER_WASM, ROOT } from '../common/project.js';
import { toolVersion } from '../common/version.js';
import { describeContract } from '../contract/contract.js';
import { loadController, readController } from '../runner/wasm-runner.js';

/**
 * The controller's binary with room for `rows` rows: the one that ships for all of them, otherwise one made of the same sources.
 * @throws InputError when the one that ships has not been built
 */
export async function binaryFor(rows: number): Promise<string> {
  loadController();
  if (rows === ROWS_MAX) return CONTROLLER_WASM;
  const file = join(ROOT, 'dist', `controller-${rows}.wasm`);
  const isFresh = (): boolean => {
    const { sourceHash, contract } = readController(file).description;
    return sourceHash === hashSources(ROOT) && contract.hash === describeContract(rows).hash;
  };
  if (!existsSync(file) || !isFresh()) await buildForRows(ROOT, file, toolVersion(), rows);
  return file;
}
