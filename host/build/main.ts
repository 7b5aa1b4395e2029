/** `npm run build:controller`: dist/controller.wasm. `npm run build:plant`: dist/plant.wasm. */
import { PLANT_WASM, projectAt, TOOL_ROOT } from '../common/project.js';
import { writeBinary } from './compile.js';
import { compileWorkingTree } from './controller.js';
import { compilePlant } from './plant.js';

const isPlant = process.argv[2] === 'plant';
try {
  const compiled = await (isPlant ? compilePlant(TOOL_ROOT) : compileWorkingTree(TOOL_ROOT));
  writeBinary(isPlant ? PLANT_WASM : projectAt(TOOL_ROOT).controllerWasm, compiled);
  process.stderr.write(compiled.messages);
} catch (error) {
  process.stderr.write(`${(error as Error).message}\n`);
  process.exitCode = 1;
}
