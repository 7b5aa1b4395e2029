import { execFileSync, spawnSync } from 'node:child_process';
import { join } from 'node:path';
import { TOOL_ROOT } from '../common/project.js';
import { median } from './inputs.js';
import type { ProjectCopy } from './project-copy.js';

const CLI = join(TOOL_ROOT, 'dist', 'host', 'cli', 'main.js');
const STARTS = 21;

function secondsOf(program: string, words: readonly string[], folder: string = TOOL_ROOT, expected = 0): number {
  const start = performance.now();
  const { status } = spawnSync(program, words, { cwd: folder, stdio: 'ignore' });
  if (status !== expected) throw new Error(`${program} ${words.join(' ')} exited with ${status}`);
  return (performance.now() - start) / 1000;
}

/** `latchbench --help` and `node -e 0`, run in turn: medians. */
export function measureStart(): { ratio: number; helpMs: number; nodeMs: number } {
  const help: number[] = [];
  const node: number[] = [];
  for (let run = 0; run < STARTS; run++) {
    help.push(secondsOf(process.execPath, [CLI, '--help']));
    node.push(secondsOf(process.execPath, ['-e', '0']));
  }
  return { ratio: median(help) / median(node), helpMs: median(help) * 1000, nodeMs: median(node) * 1000 };
}

/** Build and replay of ten vectors after an edit of the controller, and the compiler alone. */
export function measureEdit(project: ProjectCopy): { totalSeconds: number; compilerSeconds: number } {
  const { root, cases, cli } = project;
  const compiler = join(root, 'node_modules', 'assemblyscript', 'bin', 'asc.js');
  const totals: number[] = [];
  const compilers: number[] = [];
  for (let run = 0; run < 3; run++) {
    project.edit();
    const start = performance.now();
    execFileSync('npm', ['run', '--silent', 'build:controller'], { cwd: root, stdio: 'ignore' });
    // Exit code 1: the vectors differ.
    secondsOf(process.execPath, [cli, 'replay', ...cases], root, 1);
    totals.push((performance.now() - start) / 1000);
    compilers.push(secondsOf(process.execPath, [compiler, '--config', 'asconfig.json', '--target', 'release', '--noEmit'], root));
  }
  return { totalSeconds: median(totals), compilerSeconds: median(compilers) };
}
