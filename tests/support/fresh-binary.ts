import { writeBinary } from '../../host/build/compile.js';
import { compileController, compileFit, readControllerSources } from '../../host/build/controller.js';
import { compilePlant } from '../../host/build/plant.js';
import { PLANT_WASM } from '../../host/common/project.js';
import { PROJECT } from './project.js';

/** Before the first test: all binaries are those of the working tree. */
export default async function writeBinaries(): Promise<void> {
  writeBinary(PROJECT.controllerWasm, await compileController(readControllerSources(PROJECT.root)));
  writeBinary(PROJECT.fitWasm, await compileFit(PROJECT.root));
  writeBinary(PLANT_WASM, await compilePlant(PROJECT.root));
}
