import { writeBinary } from '../../host/build/compile.js';
import { compileController, readControllerSources } from '../../host/build/controller.js';
import { buildHost } from '../../host/build/host.js';
import { compilePlant } from '../../host/build/plant.js';
import { PLANT_WASM } from '../../host/common/project.js';
import { PROJECT } from './project.js';

/** Before the first test: the compiled host, which workers and spawned commands run, and all binaries are those of the working tree. */
export default async function buildAll(): Promise<void> {
  if (!(await buildHost(PROJECT.root, () => {}))) throw new Error('the host does not compile');
  writeBinary(PROJECT.controllerWasm, await compileController(readControllerSources(PROJECT.root)));
  writeBinary(PLANT_WASM, await compilePlant(PROJECT.root));
}
