/** `npm run build:controller`: dist/controller.wasm; `npm run build:plant`: dist/plant.wasm. */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { CONTROLLER_WASM, PLANT_WASM, ROOT } from '../common/project.js';
import { buildController } from './build-controller.js';
import { buildPlant } from './build-plant.js';

const { version } = JSON.parse(readFileSync(join(ROOT, 'package.json'), 'utf8')) as { version: string };
try {
  const isPlant = process.argv[2] === 'plant';
  process.stderr.write(await (isPlant ? buildPlant(ROOT, PLANT_WASM) : buildController(ROOT, CONTROLLER_WASM, version)));
} catch (error) {
  process.stderr.write(`${(error as Error).message}\n`);
  process.exitCode = 1;
}
