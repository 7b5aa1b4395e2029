/**
 * `npm run robustness`: the controller on unkind and on random machines and fields. `-- --only TEXT` runs the cases whose name
 * contains TEXT, `--seeds N`, `--seconds N` and `--machines N` choose how much is run; `--json` prints one JSON document, `-o FILE`
 * saves a drawing. `--soak N` looks for broken safety rules on N random machines with random events instead.
 */
import { projectAt, TOOL_ROOT } from '../common/project.js';
import { writeAtomic } from '../common/write-atomic.js';
import { plainText, terminalText } from '../report/form/colours.js';
import { robustnessSvg } from '../report/robustness/robustness-svg.js';
import { robustnessText, soakText } from '../report/robustness/robustness-text.js';
import { loadController } from '../runner/wasm-runner.js';
import type { Binaries } from '../simulate/evaluated-run.js';
import { loadPlant } from '../simulate/plant.js';
import { type RobustnessOptions, readOptions } from './options.js';
import { measureRobustness } from './run.js';
import { soak } from './soak.js';
import { aimsOf } from './summary.js';

const BAD_USAGE = 2;
const isTerminal = process.stderr.isTTY === true;
const showProgress = (text: string): void => {
  if (isTerminal) process.stderr.write(`\r\x1b[K${text}`);
};

async function compareCases(binaries: Binaries, options: RobustnessOptions): Promise<string> {
  const { results, summary } = await measureRobustness(binaries, options, (done, all) => showProgress(`${done} of ${all} runs`));
  if (options.output !== undefined) writeAtomic(options.output, robustnessSvg(results, summary));
  const json = { cases: results, summary, aims: aimsOf(summary) };
  return options.json ? `${JSON.stringify(json, undefined, 2)}\n` : robustnessText(results, summary);
}

async function findViolations(binaries: Binaries, { soak: machines, json }: RobustnessOptions): Promise<string> {
  const findings = await soak(binaries, machines, (done) => showProgress(`${done} of ${machines} machines`));
  return json ? `${JSON.stringify({ machines, findings }, undefined, 2)}\n` : soakText(machines, findings);
}

try {
  const options = readOptions(process.argv.slice(2));
  const binaries = { controller: loadController(projectAt(TOOL_ROOT).controllerWasm), plant: loadPlant() };
  const text = await (options.soak > 0 ? findViolations(binaries, options) : compareCases(binaries, options));
  showProgress('');
  process.stdout.write(terminalText(text, { hasColour: process.stdout.isTTY === true }));
} catch (error) {
  showProgress('');
  process.stderr.write(plainText(`${(error as Error).message}\n`));
  process.exitCode = BAD_USAGE;
}
