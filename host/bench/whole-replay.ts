import { execFileSync } from 'node:child_process';
import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import { stringify } from 'yaml';
import { TOOL_ROOT } from '../common/project.js';
import { writeAtomic } from '../common/write-atomic.js';
import { type Controller, createWasmRunner } from '../runner/wasm-runner.js';
import { prepareAcceptance, writeAcceptances } from '../vector/accept.js';
import { replayVector } from '../vector/replay-vector.js';
import { readVectorFolder } from '../vector/vector.js';
import { BENCH_ROWS, median, type Ring, writeLongRecording } from './inputs.js';

const RUNS = 3;

export interface ReplayResult {
  readonly ratio: number;
  readonly replaySeconds: number;
  readonly bareSeconds: number;
  /** Peak memory of a replay of 10 minutes divided by that of 1 minute. */
  readonly memoryRatio: number;
  readonly memoryMiB: number;
}

function makeCase(controller: Controller, ring: Ring, minutes: number, folder: string): string {
  const path = join(folder, `minutes-${minutes}`);
  mkdirSync(path);
  writeLongRecording(controller, ring, minutes, join(path, 'input.mcap'));
  writeAtomic(
    join(path, 'case.yaml'),
    stringify({ title: '24 rows on a rough field', why: 'Timing', origin: 'invented', rows: BENCH_ROWS, tickHz: 1000 }),
  );
  writeAcceptances([prepareAcceptance(controller, readVectorFolder(path), { by: 'bench', reason: 'timing', date: '2000-01-01' })]);
  return path;
}

function bareLoop(controller: Controller, ring: Ring, ticks: number): number {
  const runner = createWasmRunner(controller, BENCH_ROWS);
  const start = performance.now();
  for (let tick = 0, from = 0; tick < ticks; tick++, from += ring.stride) {
    if (from === ring.bytes.length) from = 0;
    runner.input.set(ring.bytes.subarray(from, from + ring.stride));
    runner.tick();
  }
  return (performance.now() - start) / 1000;
}

/** Peak memory, KiB, of a process that replays a vector. */
function peakMemory(path: string): number {
  const script = join(TOOL_ROOT, 'dist', 'host', 'bench', 'replay-once.js');
  return Number(execFileSync(process.execPath, [script, path], { encoding: 'utf8' }));
}

/** The complete replay of 24 rows and 10 minutes (read, check, unpack, run, compare) and the tick loop alone, on the same data. */
export function measureReplay(controller: Controller, ring: Ring, folder: string): ReplayResult {
  const [short, long] = [1, 10].map((minutes) => makeCase(controller, ring, minutes, folder)) as [string, string];
  const bare: number[] = [];
  const whole: number[] = [];
  for (let run = 0; run < RUNS; run++) {
    bare.push(bareLoop(controller, ring, 600_000));
    const start = performance.now();
    const { verdict } = replayVector(controller, readVectorFolder(long));
    whole.push((performance.now() - start) / 1000);
    if (verdict !== 'same') throw new Error(`replay of the long recording: ${verdict}`);
  }
  const replaySeconds = median(whole);
  const bareSeconds = median(bare);
  const longKiB = peakMemory(long);
  return {
    ratio: replaySeconds / bareSeconds,
    replaySeconds,
    bareSeconds,
    memoryRatio: longKiB / peakMemory(short),
    memoryMiB: longKiB / 1024,
  };
}
