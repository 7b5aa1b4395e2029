import { join } from 'node:path';
import { buildController } from '../build/build-controller.js';
import { InputError } from '../files/input-error.js';
import { ROOT } from '../project.js';
import { toolVersion } from '../recording/format.js';
import { type Build, readBuild } from './builds.js';

/**
 * The sources as they are, compiled with little optimisation: a third of the compiler's time, and the same bits in every record,
 * since WebAssembly's arithmetic leaves the optimiser no choice but in the payload of what is not a number.
 * @throws InputError with what the compiler says
 */
export async function buildQuickly(): Promise<Build> {
  const file = join(ROOT, 'dist', 'builds', 'watched.wasm');
  try {
    await buildController(ROOT, file, toolVersion(), ['--optimizeLevel', '1']);
  } catch (error) {
    throw new InputError({
      file: 'assembly/controller',
      what: `sources that don’t compile:\n${(error as Error).message.trimEnd()}\n`,
      allowed: 'sources that do',
    });
  }
  return readBuild('.', file);
}
