/**
 * `npm run build:controller`: dist/controller.wasm. `npm run build:plant`: dist/plant.wasm. `npm run build:host`: this program.
 * `npm run prepare`: all three. What is up to date, by content, is not built again.
 */
import { PLANT_WASM, projectAt, TOOL_ROOT } from '../common/project.js';
import { type Compiled, writeBinary } from './compile.js';
import { compileWorkingTree } from './controller.js';
import { buildHost } from './host.js';
import { writeDependencies } from './lock.js';
import { compilePlant } from './plant.js';

let isUpToDate = true;

/** Names what is being built: it takes some seconds. */
function tell(result: string, sources: string): void {
  isUpToDate = false;
  process.stderr.write(`building dist/${result} from ${sources}\n`);
}

async function buildBinary(file: string, compiling: Promise<Compiled>): Promise<boolean> {
  const compiled = await compiling;
  writeBinary(file, compiled);
  process.stderr.write(compiled.messages);
  return true;
}

/** Each returns whether it has succeeded. */
const BUILDS: Readonly<Record<string, () => Promise<boolean>>> = {
  host: async () => {
    const isBuilt = await buildHost(TOOL_ROOT, () => tell('host', 'host and shared'));
    writeDependencies();
    return isBuilt;
  },
  controller: () =>
    buildBinary(
      projectAt(TOOL_ROOT).controllerWasm,
      compileWorkingTree(TOOL_ROOT, { onStart: () => tell('controller.wasm', 'assembly/controller') }),
    ),
  plant: () =>
    buildBinary(
      PLANT_WASM,
      compilePlant(TOOL_ROOT, () => tell('plant.wasm', 'assembly/plant')),
    ),
};

async function succeeds(build: () => Promise<boolean>): Promise<boolean> {
  try {
    return await build();
  } catch (error) {
    process.stderr.write(`${(error as Error).message}\n`);
    return false;
  }
}

const chosen = Object.keys(BUILDS).filter((name) => process.argv.slice(2).includes(name));
const results = await Promise.all(chosen.map((name) => succeeds(BUILDS[name] as () => Promise<boolean>)));
if (results.includes(false)) process.exitCode = 1;
else if (isUpToDate) process.stderr.write(`nothing to build: ${chosen.join(', ')} up to date\n`);
