/**
 * `npm run figures`: compares what the controller reaches in simulations with its targets. `-- --seeds 1` has one seed instead of
 * five for each metric, `--json` prints one JSON document.
 */
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { parseArgs } from 'node:util';
import { integerFlag } from '../common/integer-flag.js';
import { projectAt, TOOL_ROOT } from '../common/project.js';
import { plainText, terminalText } from '../report/form/colours.js';
import { textTable } from '../report/form/text-table.js';
import { loadController } from '../runner/wasm-runner.js';
import { loadPlant } from '../simulate/plant.js';
import { isReached, type MeasuredMetric } from './measurement.js';
import { MEASUREMENTS } from './measurements.js';

const BAD_USAGE = 2;
const isTerminal = process.stderr.isTTY === true;
const showProgress = (text: string): void => {
  if (isTerminal) process.stderr.write(`\r\x1b[K${text}`);
};

const shown = (value: number, { decimals, unit }: MeasuredMetric): string => `${value.toFixed(decimals)}${unit === '' ? '' : ` ${unit}`}`;
const targetText = (metric: MeasuredMetric): string =>
  'max' in metric.target ? `at most ${shown(metric.target.max, metric)}` : `at least ${shown(metric.target.min, metric)}`;

function table(metrics: readonly MeasuredMetric[]): string {
  const lines = metrics.map((one) => [
    one.name,
    shown(one.measured, one),
    targetText(one),
    isReached(one) ? 'reached' : 'NOT REACHED',
    one.details,
  ]);
  return textTable(
    [{ title: 'metric' }, { title: 'measured', isNumber: true }, { title: 'target' }, { title: '' }, { title: 'details' }],
    lines,
  );
}

function json(metrics: readonly MeasuredMetric[]): string {
  return `${JSON.stringify({ metrics: metrics.map((one) => ({ ...one, isReached: isReached(one) })) }, undefined, 2)}\n`;
}

async function measure({ seeds, isJson }: { readonly seeds: number; readonly isJson: boolean }): Promise<string> {
  const folder = mkdtempSync(join(tmpdir(), 'latchbench-'));
  try {
    const controller = loadController(projectAt(TOOL_ROOT).controllerWasm);
    const setup = { binaries: { controller, plant: loadPlant() }, seeds, folder, showProgress };
    const metrics: MeasuredMetric[] = [];
    for (const one of MEASUREMENTS) metrics.push(...(await one(setup)));
    return isJson ? json(metrics) : table(metrics);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

try {
  const { values } = parseArgs({ options: { seeds: { type: 'string', default: '5' }, json: { type: 'boolean', default: false } } });
  const text = await measure({ seeds: integerFlag('seeds', values.seeds, 1, 100), isJson: values.json });
  showProgress('');
  process.stdout.write(terminalText(text, { hasColour: process.stdout.isTTY === true }));
} catch (error) {
  showProgress('');
  process.stderr.write(plainText(`${(error as Error).message}\n`));
  process.exitCode = BAD_USAGE;
}
