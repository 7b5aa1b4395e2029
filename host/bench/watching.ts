import { spawn } from 'node:child_process';
import { cpSync, mkdirSync, readFileSync, symlinkSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import { CASES, CONTROLLER_WASM, ROOT } from '../common/project.js';
import { caseNames } from '../vector/case.js';
import { median } from './inputs.js';

const VECTORS = 10;
const SAVES = 5;
/** What a checkout needs to build the controller and to compare it. */
const NEEDED = ['package.json', 'asconfig.json', 'assembly/controller', 'shared', 'dist/host', 'dist/shared'];

/** A copy of the project with a few vectors: its sources can be edited. */
function copyProject(folder: string): { root: string; cases: string[] } {
  const root = join(folder, 'watched');
  const cases = caseNames().slice(0, VECTORS);
  mkdirSync(root);
  for (const path of NEEDED) cpSync(join(ROOT, path), join(root, path), { recursive: true });
  for (const name of cases) cpSync(join(CASES, name), join(root, 'vectors', 'cases', name), { recursive: true });
  symlinkSync(join(ROOT, 'node_modules'), join(root, 'node_modules'));
  return { root, cases };
}

export interface WatchMetric {
  /** From save to verdict with the process warm: median and worst. */
  readonly seconds: number;
  readonly worstSeconds: number;
  readonly vectors: number;
}

/** `latchbench watch` over ten vectors: from the save of a controller file to its verdict. */
export async function measureWatch(folder: string): Promise<WatchMetric> {
  const { root, cases } = copyProject(folder);
  const edited = join(root, 'assembly', 'controller', 'bank.ts');
  const source = readFileSync(edited, 'utf8');
  const words = ['watch', ...cases, '--against', CONTROLLER_WASM, '--verdicts', String(SAVES + 2), '--json'];
  const watching = spawn(process.execPath, [join(root, 'dist', 'host', 'cli', 'main.js'), ...words], {
    stdio: ['ignore', 'pipe', 'inherit'],
  });
  const seconds: number[] = [];
  let verdicts = 0;
  let savedAt = 0;
  // Every line is a verdict; the first tells that it watches, the second is that of the first, cold build.
  for await (const line of createInterface({ input: watching.stdout })) {
    if (JSON.parse(line).review === undefined) throw new Error(line);
    verdicts += 1;
    if (verdicts > 2) seconds.push((performance.now() - savedAt) / 1000);
    if (verdicts > SAVES + 1) break;
    savedAt = performance.now();
    writeFileSync(edited, source.replace('const WARM_C: f32 = 40;', `const WARM_C: f32 = ${40 + verdicts};`));
  }
  watching.kill();
  return { seconds: median(seconds), worstSeconds: Math.max(...seconds), vectors: cases.length };
}
