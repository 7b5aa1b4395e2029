import { execFileSync, spawnSync } from 'node:child_process';
import { join } from 'node:path';
import { ROOT } from '../common/project.js';
import { caseNames } from '../vector/case.js';
import { median } from './inputs.js';

const CLI = join(ROOT, 'dist', 'host', 'cli', 'main.js');
const STARTS = 21;

function secondsOf(program: string, words: readonly string[]): number {
  const begin = performance.now();
  const { status } = spawnSync(program, words, { cwd: ROOT, stdio: 'ignore' });
  if (status !== 0) throw new Error(`${program} ${words.join(' ')} ended with ${status}`);
  return (performance.now() - begin) / 1000;
}

/** `latchbench --help` against `node -e 0`, in turn, medians. */
export function measureStart(): { ratio: number; helpMs: number; nodeMs: number } {
  const help: number[] = [];
  const node: number[] = [];
  for (let start = 0; start < STARTS; start++) {
    help.push(secondsOf(process.execPath, [CLI, '--help']));
    node.push(secondsOf(process.execPath, ['-e', '0']));
  }
  return { ratio: median(help) / median(node), helpMs: median(help) * 1000, nodeMs: median(node) * 1000 };
}

/** Build and replay of ten vectors, as after saving a controller file, and the compiler alone beside it. */
export function measureEdit(): { totalSeconds: number; compilerSeconds: number } {
  const cases = caseNames().slice(0, 10);
  const compiler = join(ROOT, 'node_modules', 'assemblyscript', 'bin', 'asc.js');
  const totals: number[] = [];
  const compilers: number[] = [];
  for (let run = 0; run < 3; run++) {
    const begin = performance.now();
    execFileSync('npm', ['run', '--silent', 'build:controller'], { cwd: ROOT, stdio: 'ignore' });
    secondsOf(process.execPath, [CLI, 'replay', ...cases]);
    totals.push((performance.now() - begin) / 1000);
    compilers.push(secondsOf(process.execPath, [compiler, '--config', 'asconfig.json', '--target', 'release', '--noEmit']));
  }
  return { totalSeconds: median(totals), compilerSeconds: median(compilers) };
}
