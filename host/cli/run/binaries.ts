import { relative } from 'node:path';
import { hashController, readControllerSources } from '../../build/controller.js';
import { isProgramStale } from '../../build/own-sources.js';
import { compilePlant, hashPlant, plantSourceHash } from '../../build/plant.js';
import { InputError } from '../../common/input-error.js';
import { PLANT_WASM, TOOL_ROOT } from '../../common/project.js';
import { describeContract } from '../../contract/contract.js';
import { projectTables } from '../../contract/tables-in-force.js';
import { type Build, findBuild, readBuild } from '../../review/builds.js';
import { requireOwnContract } from '../../runner/wasm-runner.js';
import { hasOurLayout, loadPlant } from '../../simulate/plant.js';
import { type Job, PROGRAM_STALE } from '../context.js';

/*
 * The binaries in dist that commands run. A stale one, whose sources were edited after it was made, is never used: a command builds
 * the working tree in its place and says so, or refuses, if its result is kept as accepted or goes onto a machine.
 */
type WhenStale = 'build' | 'refuse';

const BUILD = 'Run `npm run build`';

type Teller = Pick<Job, 'note' | 'cwd'>;

/** @throws InputError in a command that refuses */
function tellStale({ note, cwd }: Teller, whenStale: WhenStale, file: string, sources: string): void {
  const name = relative(cwd, file) || file;
  if (whenStale === 'refuse')
    throw new InputError({ file: name, problem: `the binary is stale: ${sources} was edited after it was built`, hint: BUILD });
  note(`note: ${name} is stale: ${sources} was edited after it was built; the working tree is built and used instead`);
}

/**
 * The controller of the project's working tree.
 * @throws InputError if it has not been built, does not build, or is stale in a command that refuses that
 */
export async function currentController(job: Teller & Pick<Job, 'project'>, whenStale: WhenStale = 'build'): Promise<Build> {
  const { root, controllerWasm } = job.project;
  if (whenStale === 'refuse' && isProgramStale()) throw new InputError({ file: 'host', problem: PROGRAM_STALE, hint: BUILD });
  const built = readBuild('.', controllerWasm);
  const { sourceHash, contract } = built.controller.description;
  const isCurrent = sourceHash === hashController(readControllerSources(root)) && contract.hash === describeContract().hash;
  if (isCurrent) return built;
  tellStale(job, whenStale, controllerWasm, contract.hash === describeContract().hash ? 'assembly/controller' : 'shared');
  return findBuild('.', root);
}

/** The controller in a file that the user named, or else that of the working tree. @throws InputError as `currentController` */
export async function namedController(
  job: Teller & Pick<Job, 'project'>,
  file: string | undefined,
  whenStale: WhenStale = 'build',
): Promise<Build> {
  if (file === undefined) return currentController(job, whenStale);
  const build = readBuild(file, file);
  requireOwnContract(file, build.controller);
  return build;
}

/** The plant for the tables of a project: that of this program, unless the records that it exchanges with the controller have another layout. */
async function plantOfProject(root: string, wasm: string): Promise<WebAssembly.Module> {
  if (hasOurLayout(wasm)) return loadPlant(wasm);
  try {
    return loadPlant((await compilePlant(root)).file);
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    const [, missing] = /Property '(\w+)' does not exist/.exec(error.message) ?? [];
    const what = missing === undefined ? `does not fit these tables:\n${error.message}` : `needs ${missing}, which its records do not have`;
    throw new InputError({ file: 'shared/records.ts', problem: `the simulated machine ${what}`, value: missing, hint: 'Restore it' });
  }
}

/**
 * The plant of this checkout.
 * @throws InputError if it has not been built, does not build, or is stale in a command that refuses that
 */
export async function currentPlant(
  job: Teller,
  whenStale: WhenStale = 'build',
  { root, wasm }: { readonly root: string; readonly wasm: string } = { root: TOOL_ROOT, wasm: PLANT_WASM },
): Promise<WebAssembly.Module> {
  if (projectTables() !== undefined) return plantOfProject(root, wasm);
  const plant = loadPlant(wasm);
  if (plantSourceHash(plant) === hashPlant(root)) return plant;
  tellStale(job, whenStale, wasm, 'assembly/plant');
  return loadPlant((await compilePlant(root)).file);
}
