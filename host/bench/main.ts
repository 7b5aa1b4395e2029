/** `npm run bench`: speed as ratios within this run. */
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { textTable } from '../report/form/text-table.js';
import { loadController } from '../runner/wasm-runner.js';
import { measureEdit, measureStart } from './commands.js';
import { recordRings } from './inputs.js';
import { measureController, measurePlant, type NativeMetric } from './native.js';
import { measureSimulation, type SimulationMetric } from './simulation.js';
import { measureWatch } from './watching.js';
import { measureReplay, type ReplayMetric } from './whole-replay.js';

const millions = (rate: number): string => `${(rate / 1e6).toFixed(1)} M row-ticks/s`;
const judged = (isReached: boolean): string => (isReached ? 'reached' : 'NOT REACHED');

const folder = mkdtempSync(join(tmpdir(), 'latchbench-'));

function nativeRow(what: string, aim: number, found: NativeMetric): string[] {
  if ('missing' in found) return [what, 'not run', `at least ${aim.toFixed(2)}`, found.missing, ''];
  const from = `${millions(found.wasmRate)} against ${millions(found.nativeRate)}; same memory at the end`;
  return [what, found.ratio.toFixed(2), `at least ${aim.toFixed(2)}`, judged(found.ratio >= aim), from];
}

function replayRows(replay: ReplayMetric): string[][] {
  const seconds = `${replay.replaySeconds.toFixed(2)} s against ${replay.bareSeconds.toFixed(2)} s, 24 rows, 10 min`;
  const memory = `${replay.memoryMiB.toFixed(0)} MiB at 10 min`;
  return [
    ['whole replay against the bare tick loop', replay.ratio.toFixed(2), 'at most 1.60', judged(replay.ratio <= 1.6), seconds],
    ['its memory, 10 min against 1 min', replay.memoryRatio.toFixed(2), 'at most 1.20', judged(replay.memoryRatio <= 1.2), memory],
  ];
}

function simulationRows({ realTime, workers, memoryRatio, memoryMiB }: SimulationMetric): string[][] {
  return [
    [
      'simulation against real time, 48 rows, one core',
      realTime.toFixed(1),
      'at least 12',
      judged(realTime >= 12),
      'controller in the loop, metrics taken',
    ],
    [
      'two workers against one',
      workers.toFixed(2),
      'at least 1.80',
      judged(workers >= 1.8),
      '16 seeds, 24 rows, starting the pool included',
    ],
    [
      'memory of a simulation, 60 min against 6 min',
      memoryRatio.toFixed(2),
      'at most 1.20',
      judged(memoryRatio <= 1.2),
      `${memoryMiB.toFixed(0)} MiB at 60 min`,
    ],
  ];
}

async function commandRows(): Promise<string[][]> {
  const start = measureStart();
  const edit = measureEdit();
  const save = await measureWatch(folder);
  const beyond = edit.totalSeconds - edit.compilerSeconds;
  const starts = `${start.helpMs.toFixed(0)} ms against ${start.nodeMs.toFixed(0)} ms`;
  const edits = `${edit.totalSeconds.toFixed(2)} s in all, ${edit.compilerSeconds.toFixed(2)} s of it the compiler`;
  return [
    ['latchbench --help against node -e 0', start.ratio.toFixed(2), 'at most 1.50', judged(start.ratio <= 1.5), starts],
    ['edit to verdict, ten vectors, beyond the compiler', `${beyond.toFixed(2)} s`, 'below 3 s', judged(beyond < 3), edits],
    [
      'save to verdict of watch against the compiler alone',
      (save.seconds / edit.compilerSeconds).toFixed(2),
      'below 3 s',
      judged(save.seconds < 3),
      `${save.seconds.toFixed(2)} s with ${save.vectors} vectors that all differ, ${save.worstSeconds.toFixed(2)} s at worst`,
    ],
  ];
}

try {
  const controller = loadController();
  const { inputs, orders } = recordRings(controller, folder);
  const rows = [
    nativeRow('controller in Node against native C', 0.8, measureController(controller, inputs, folder)),
    nativeRow('plant in Node against native C', 0.7, measurePlant(orders, folder)),
    ...replayRows(measureReplay(controller, inputs, folder)),
    ...simulationRows(await measureSimulation(controller)),
    ...(await commandRows()),
  ];
  process.stdout.write(
    textTable([{ title: 'metric' }, { title: 'found', isNumber: true }, { title: 'aim' }, { title: '' }, { title: 'from' }], rows),
  );
} finally {
  rmSync(folder, { recursive: true, force: true });
}
