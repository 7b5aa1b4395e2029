/** `npm run figures`: what the controller reaches, from simulations run now; `-- --json` for one JSON document. */
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { projectAt, TOOL_ROOT } from '../common/project.js';
import { textTable } from '../report/form/text-table.js';
import { loadController } from '../runner/wasm-runner.js';
import { loadPlant } from '../simulate/plant.js';
import { MEASURES } from './measure.js';
import { isReached, type Line } from './setting.js';

const SEEDS = 5;
const isTerminal = process.stderr.isTTY === true;
const say = (words: string): void => {
  if (isTerminal) process.stderr.write(`\r\x1b[K${words}`);
};

const shown = (value: number, { decimals, unit }: Line): string => `${value.toFixed(decimals)}${unit === '' ? '' : ` ${unit}`}`;
const aimOf = (line: Line): string =>
  'atMost' in line.aim ? `at most ${shown(line.aim.atMost, line)}` : `at least ${shown(line.aim.atLeast, line)}`;

function table(lines: readonly Line[]): string {
  const rows = lines.map((line) => [
    line.what,
    shown(line.found, line),
    aimOf(line),
    isReached(line) ? 'reached' : 'NOT REACHED',
    line.from,
  ]);
  return textTable([{ title: 'metric' }, { title: 'found', isNumber: true }, { title: 'aim' }, { title: '' }, { title: 'from' }], rows);
}

function json(lines: readonly Line[]): string {
  const metrics = lines.map((line) => ({ ...line, isReached: isReached(line) }));
  return `${JSON.stringify({ metrics }, undefined, 2)}\n`;
}

const folder = mkdtempSync(join(tmpdir(), 'latchbench-'));
try {
  const setting = {
    binaries: { controller: loadController(projectAt(TOOL_ROOT).controllerWasm), plant: loadPlant() },
    seeds: SEEDS,
    folder,
    say,
  };
  const lines: Line[] = [];
  for (const measure of MEASURES) lines.push(...(await measure(setting)));
  say('');
  process.stdout.write(process.argv.includes('--json') ? json(lines) : table(lines));
} finally {
  rmSync(folder, { recursive: true, force: true });
}
