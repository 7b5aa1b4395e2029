import { existsSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

/** The project's folder: the nearest one above this module that has a package.json, whether compiled or not. */
function findRoot(): string {
  let folder = dirname(fileURLToPath(import.meta.url));
  while (!existsSync(join(folder, 'package.json'))) {
    const above = dirname(folder);
    if (above === folder) throw new Error('latchbench was moved away from its package.json');
    folder = above;
  }
  return folder;
}

export const ROOT = findRoot();
export const CASES = join(ROOT, 'vectors', 'cases');
/** The binary that `npm run build:controller` makes. */
export const CONTROLLER_WASM = join(ROOT, 'dist', 'controller.wasm');
/** The binary that `npm run build:plant` makes. */
export const PLANT_WASM = join(ROOT, 'dist', 'plant.wasm');
