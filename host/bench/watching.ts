import { spawn } from 'node:child_process';
import { createInterface } from 'node:readline';
import { median, PROJECT } from './inputs.js';
import type { ProjectCopy } from './project-copy.js';

const SAVES = 5;

export interface WatchResult {
  /** From save to verdict, once the process is warm: median and maximum. */
  readonly seconds: number;
  readonly maxSeconds: number;
}

/** `latchbench watch` over ten vectors: from the save of a controller source to the verdict. */
export async function measureWatch(project: ProjectCopy): Promise<WatchResult> {
  const words = ['watch', ...project.cases, '--against', PROJECT.controllerWasm, '--verdicts', String(SAVES + 2), '--json'];
  const watching = spawn(process.execPath, [project.cli, ...words], { cwd: project.root, stdio: ['ignore', 'pipe', 'inherit'] });
  const seconds: number[] = [];
  let verdicts = 0;
  let savedAt = 0;
  // Every line is a verdict. The first says that it watches; the second is that of the first, cold build.
  for await (const line of createInterface({ input: watching.stdout })) {
    if (JSON.parse(line).review === undefined) throw new Error(line);
    verdicts += 1;
    if (verdicts > 2) seconds.push((performance.now() - savedAt) / 1000);
    if (verdicts > SAVES + 1) break;
    savedAt = performance.now();
    project.edit();
  }
  watching.kill();
  return { seconds: median(seconds), maxSeconds: Math.max(...seconds) };
}
