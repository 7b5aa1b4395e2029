/** `npm run tune -- FILE`: searches parameters or the proportional baseline in closed loop; `-o FILE` writes the result, `--json` prints it. */
import { parseArgs } from 'node:util';
import { InputError } from '../common/input-error.js';
import { findProject } from '../common/project.js';
import { refuseOverwritingInput, writeAtomic } from '../common/write-atomic.js';
import { plainText, terminalText } from '../report/form/colours.js';
import { loadController } from '../runner/wasm-runner.js';
import { loadPlant } from '../simulate/plant.js';
import { tune } from './tune.js';
import { resultFile, tunedText } from './tune-text.js';
import { readTuning } from './tuning-file.js';

interface Flags {
  readonly file: string;
  readonly output: string | undefined;
  readonly isJson: boolean;
}

/** @throws InputError for an unknown flag, or if there is not one file */
function readFlags(words: string[]): Flags {
  const hint = 'Use `npm run tune -- FILE [-o FILE] [--json]`';
  try {
    const options = { output: { type: 'string', short: 'o' }, json: { type: 'boolean', default: false } } as const;
    const { values, positionals } = parseArgs({ args: words, options, allowPositionals: true });
    const [file, ...others] = positionals;
    if (file === undefined || others.length > 0)
      throw new InputError({ file: 'tune', problem: `${positionals.length} tuning files are given; it needs one`, hint });
    return { file, output: values.output, isJson: values.json };
  } catch (error) {
    if (!(error instanceof TypeError)) throw error;
    throw new InputError({ file: 'tune', problem: error.message.replace(/\.$/, ''), hint });
  }
}

const isTerminal = process.stderr.isTTY === true;
const showProgress = (text: string): void => void process.stderr.write(isTerminal ? `\r\x1b[K${text}` : `${text}\n`);

async function run(words: string[]): Promise<number> {
  const { file, output, isJson } = readFlags(words);
  const project = findProject(process.cwd());
  const controller = loadController(project.controllerWasm);
  const { contract } = controller.description;
  const tuning = readTuning(project, file, contract);
  if (output !== undefined) refuseOverwritingInput(output, file);
  const tuned = await tune({ controller, plant: loadPlant() }, tuning, ({ evaluations, value }) =>
    showProgress(`${evaluations} of ${tuning.evaluations} evaluated, best objective ${value.toFixed(4)}`),
  );
  if (isTerminal) showProgress('');
  const isWritten = output !== undefined && tuned.isBetter;
  if (isWritten) writeAtomic(output, resultFile(tuning, tuned, contract));
  const text = tunedText(tuned) + (isWritten ? `${output} written\n` : '');
  const printed = isJson ? `${JSON.stringify(tuned, undefined, 2)}\n` : text;
  process.stdout.write(terminalText(printed, process.stdout.isTTY === true));
  return tuned.isBetter ? 0 : 1;
}

try {
  process.exitCode = await run(process.argv.slice(2));
} catch (error) {
  if (!(error instanceof InputError)) throw error;
  process.stderr.write(plainText(`${error.message}\n`));
  process.exitCode = 2;
}
