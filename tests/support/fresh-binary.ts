import { execFileSync } from 'node:child_process';
import { existsSync, readdirSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { CONTROLLER_WASM, ROOT } from '../../host/project.js';

/** What the binary is made from: the controller, the contract that it carries, and the compiler's settings. */
const SOURCES = ['assembly/controller', 'shared', 'host/contract', 'host/build', 'asconfig.json', 'package.json'];

function newest(path: string): number {
  const { mtimeMs } = statSync(path);
  if (!statSync(path).isDirectory()) return mtimeMs;
  return Math.max(0, ...readdirSync(path).map((name) => newest(join(path, name))));
}

/** Before the first test: builds the controller if the binary is missing or older than what it is made from. */
export default function buildWhereStale(): void {
  const madeFrom = Math.max(...SOURCES.map((source) => newest(join(ROOT, source))));
  if (existsSync(CONTROLLER_WASM) && statSync(CONTROLLER_WASM).mtimeMs >= madeFrom) return;
  process.stderr.write('building dist/controller.wasm, which is missing or older than its sources\n');
  execFileSync('npm', ['run', '--silent', 'build:controller'], { cwd: ROOT, stdio: ['ignore', 'inherit', 'inherit'] });
}
