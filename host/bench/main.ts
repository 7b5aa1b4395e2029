/** `npm run bench`: speed as ratios within this run. */
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { textTable } from '../report/text-table.js';
import { loadController } from '../target/wasm.js';
import { measureEdit, measureStart } from './commands.js';
import { composeRing } from './inputs.js';
import { measureNative } from './native.js';
import { measureReplay } from './whole-replay.js';

const millions = (rate: number): string => `${(rate / 1e6).toFixed(1)} M row-ticks/s`;
const judged = (isReached: boolean): string => (isReached ? 'reached' : 'NOT REACHED');

const folder = mkdtempSync(join(tmpdir(), 'latchbench-'));
try {
  const controller = loadController();
  const ring = composeRing(controller, folder);
  const native = measureNative(controller, ring, folder);
  const replay = measureReplay(controller, ring, folder);
  const start = measureStart();
  const edit = measureEdit();
  const beyond = edit.totalSeconds - edit.compilerSeconds;
  const rows = [
    'missing' in native
      ? ['controller in Node against native C', 'not run', 'at least 0.80', native.missing, '']
      : [
          'controller in Node against native C',
          native.ratio.toFixed(2),
          'at least 0.80',
          judged(native.ratio >= 0.8),
          `${millions(native.wasmRate)} against ${millions(native.nativeRate)}; same memory at the end`,
        ],
    [
      'whole replay against the bare tick loop',
      replay.ratio.toFixed(2),
      'at most 1.60',
      judged(replay.ratio <= 1.6),
      `${replay.replaySeconds.toFixed(2)} s against ${replay.bareSeconds.toFixed(2)} s, 24 rows, 10 min`,
    ],
    [
      'its memory, 10 min against 1 min',
      replay.memoryRatio.toFixed(2),
      'at most 1.20',
      judged(replay.memoryRatio <= 1.2),
      `${replay.memoryMiB.toFixed(0)} MiB at 10 min`,
    ],
    [
      'latchbench --help against node -e 0',
      start.ratio.toFixed(2),
      'at most 1.50',
      judged(start.ratio <= 1.5),
      `${start.helpMs.toFixed(0)} ms against ${start.nodeMs.toFixed(0)} ms`,
    ],
    [
      'edit to verdict, ten vectors, beyond the compiler',
      `${beyond.toFixed(2)} s`,
      'below 3 s',
      judged(beyond < 3),
      `${edit.totalSeconds.toFixed(2)} s in all, ${edit.compilerSeconds.toFixed(2)} s of it the compiler`,
    ],
  ];
  process.stdout.write(
    textTable([{ title: 'figure' }, { title: 'found', isNumber: true }, { title: 'aim' }, { title: '' }, { title: 'from' }], rows),
  );
} finally {
  rmSync(folder, { recursive: true, force: true });
}
