import { execFileSync } from 'node:child_process';
import { existsSync, readdirSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { CONTROLLER_WASM, PLANT_WASM, ROOT } from '../../host/common/project.js';

/** What both binaries are made from: the tables, what writes and embeds them, and the compiler's settings. */
const SHARED_SOURCES = ['shared', 'host/contract', 'host/build', 'package.json'];

function newest(path: string): number {
  const { mtimeMs } = statSync(path);
  if (!statSync(path).isDirectory()) return mtimeMs;
  return Math.max(0, ...readdirSync(path).map((name) => newest(join(path, name))));
}

function buildWhereStale(binary: string, script: string, sources: readonly string[]): void {
  const madeFrom = Math.max(...[...SHARED_SOURCES, ...sources].map((source) => newest(join(ROOT, source))));
  if (existsSync(binary) && statSync(binary).mtimeMs >= madeFrom) return;
  process.stderr.write(`npm run ${script}: its binary is missing or older than its sources\n`);
  execFileSync('npm', ['run', '--silent', script], { cwd: ROOT, stdio: ['ignore', 'inherit', 'inherit'] });
}

/** Before the first test: builds what is missing or older than what it is made from. */
export default function buildBinaries(): void {
  buildWhereStale(CONTROLLER_WASM, 'build:controller', ['assembly/controller', 'asconfig.json']);
  buildWhereStale(PLANT_WASM, 'build:plant', ['assembly/plant']);
}
