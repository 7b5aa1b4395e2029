/** `npm run build:controller`: dist/controller.wasm, and dist/fit.wasm from the same sources. `npm run build:plant`: dist/plant.wasm. */
import { PLANT_WASM, projectAt, TOOL_ROOT } from '../common/project.js';
import { type Compiled, writeBinary } from './compile.js';
import { compileController, compileFit, readControllerSources } from './controller.js';
import { compilePlant } from './plant.js';

const isPlant = process.argv[2] === 'plant';
const project = projectAt(TOOL_ROOT);
type Output = readonly [file: string, compile: () => Promise<Compiled>];
const plant: readonly Output[] = [[PLANT_WASM, () => compilePlant(TOOL_ROOT)]];
const controller: readonly Output[] = [
  [project.controllerWasm, () => compileController(readControllerSources(TOOL_ROOT))],
  [project.fitWasm, () => compileFit(TOOL_ROOT)],
];
try {
  for (const [file, compile] of isPlant ? plant : controller) {
    const compiled = await compile();
    writeBinary(file, compiled);
    process.stderr.write(compiled.messages);
  }
} catch (error) {
  process.stderr.write(`${(error as Error).message}\n`);
  process.exitCode = 1;
}
