/** `npm run build:controller`: dist/controller.wasm from assembly/controller. */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { CONTROLLER_WASM, ROOT } from '../project.js';
import { buildController } from './build-controller.js';

const { version } = JSON.parse(readFileSync(join(ROOT, 'package.json'), 'utf8')) as { version: string };
try {
  process.stderr.write(await buildController(ROOT, CONTROLLER_WASM, version));
} catch (error) {
  process.stderr.write(`${(error as Error).message}\n`);
  process.exitCode = 1;
}
