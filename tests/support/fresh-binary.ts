import { writeBinary } from '../../host/build/compile.js';
import { compileController, readControllerSources } from '../../host/build/controller.js';
import { compilePlant } from '../../host/build/plant.js';
import { CONTROLLER_WASM, PLANT_WASM, ROOT } from '../../host/common/project.js';

/** Before the first test: both binaries are those of the working tree. */
export default async function writeBinaries(): Promise<void> {
  writeBinary(CONTROLLER_WASM, await compileController(readControllerSources(ROOT)));
  writeBinary(PLANT_WASM, await compilePlant(ROOT));
}
