/** `npm run bench`: speeds, as ratios measured in the same run. */
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { plainText } from '../report/form/colours.js';
import { textTable } from '../report/form/text-table.js';
import { loadController } from '../runner/wasm-runner.js';
import { measureEdit, measureStart } from './commands.js';
import { PROJECT, recordRings } from './inputs.js';
import { measureController, measurePlant, type NativeResult } from './native.js';
import { ProjectCopy } from './project-copy.js';
import { measureSimulation, type SimulationResult } from './simulation.js';
import { measureWatch } from './watching.js';
import { measureReplay, type ReplayResult } from './whole-replay.js';

const millions = (rate: number): string => `${(rate / 1e6).toFixed(1)} M row-ticks/s`;
const verdict = (isMet: boolean): string => (isMet ? 'met' : 'NOT MET');

const folder = mkdtempSync(join(tmpdir(), 'latchbench-'));

function nativeRow(what: string, target: number, measured: NativeResult): string[] {
  if ('missing' in measured) return [what, 'not run', `at least ${target.toFixed(2)}`, '', measured.missing];
  const details = `${millions(measured.wasmRate)} / ${millions(measured.nativeRate)}; same memory at the end`;
  return [what, measured.ratio.toFixed(2), `at least ${target.toFixed(2)}`, verdict(measured.ratio >= target), details];
}

function replayRows(replay: ReplayResult): string[][] {
  const seconds = `${replay.replaySeconds.toFixed(2)} s / ${replay.bareSeconds.toFixed(2)} s; 24 rows, 10 min`;
  const memory = `${replay.memoryMiB.toFixed(0)} MiB at 10 min`;
  return [
    ['replay / tick loop alone', replay.ratio.toFixed(2), 'at most 1.60', verdict(replay.ratio <= 1.6), seconds],
    ['memory of a replay, 10 min / 1 min', replay.memoryRatio.toFixed(2), 'at most 1.20', verdict(replay.memoryRatio <= 1.2), memory],
  ];
}

function simulationRows({ realTime, workers, memoryRatio, memoryMiB }: SimulationResult): string[][] {
  return [
    [
      'simulated time / real time, 48 rows, one core',
      realTime.toFixed(1),
      'at least 12',
      verdict(realTime >= 12),
      'controller in the loop, metrics computed',
    ],
    [
      'speed of two workers / one',
      workers.toFixed(2),
      'at least 1.80',
      verdict(workers >= 1.8),
      '16 seeds, 24 rows, including the start of the pool',
    ],
    [
      'memory of a simulation, 60 min / 6 min',
      memoryRatio.toFixed(2),
      'at most 1.20',
      verdict(memoryRatio <= 1.2),
      `${memoryMiB.toFixed(0)} MiB at 60 min`,
    ],
  ];
}

async function commandRows(): Promise<string[][]> {
  const project = new ProjectCopy(folder);
  const start = measureStart();
  const edit = measureEdit(project);
  const save = await measureWatch(project);
  const beyond = edit.totalSeconds - edit.compilerSeconds;
  const starts = `${start.helpMs.toFixed(0)} ms / ${start.nodeMs.toFixed(0)} ms`;
  const edits = `${edit.totalSeconds.toFixed(2)} s in total, ${edit.compilerSeconds.toFixed(2)} s of it the compiler`;
  return [
    ['latchbench --help / node -e 0', start.ratio.toFixed(2), 'at most 1.50', verdict(start.ratio <= 1.5), starts],
    ['edit to verdict, ten vectors, without the compiler', `${beyond.toFixed(2)} s`, 'below 3 s', verdict(beyond < 3), edits],
    [
      'watch, save to verdict / compiler alone',
      (save.seconds / edit.compilerSeconds).toFixed(2),
      'below 3 s',
      verdict(save.seconds < 3),
      `${save.seconds.toFixed(2)} s with ${project.cases.length} vectors that all differ, ${save.maxSeconds.toFixed(2)} s at most`,
    ],
  ];
}

try {
  const controller = loadController(PROJECT.controllerWasm);
  const { inputs, orders } = recordRings(controller, folder);
  const rows = [
    nativeRow('speed of the controller, Node / native C', 0.8, measureController(controller, inputs, folder)),
    nativeRow('speed of the plant, Node / native C', 0.7, measurePlant(orders, folder)),
    ...replayRows(measureReplay(controller, inputs, folder)),
    ...simulationRows(await measureSimulation(controller)),
    ...(await commandRows()),
  ];
  const columns = [{ title: 'what' }, { title: 'measured', isNumber: true }, { title: 'target' }, { title: '' }, { title: 'details' }];
  process.stdout.write(plainText(textTable(columns, rows)));
} finally {
  rmSync(folder, { recursive: true, force: true });
}
