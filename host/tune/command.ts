import { parseArgs } from 'node:util';
import { InputError } from '../common/input-error.js';
import { checkOutputFile } from '../common/outputs.js';
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
    if (values.output !== undefined) checkOutputFile(values.output);
    if (file === undefined || others.length > 0)
      throw new InputError({ file: 'tune', problem: `${positionals.length} tuning files are given; it needs one`, hint });
    return { file, output: values.output, isJson: values.json };
  } catch (error) {
    if (!(error instanceof TypeError)) throw error;
    throw new InputError({ file: 'tune', problem: error.message.replace(/\.$/, ''), hint });
  }
}

/** A stream, which may be a terminal. */
type Output = Pick<NodeJS.WritableStream, 'write'> & { readonly isTTY?: boolean };

/** Streams of a process. */
export interface Streams {
  readonly stdout: Output;
  readonly stderr: Output;
}

async function searchBest(words: string[], { stdout, stderr }: Streams): Promise<number> {
  const { file, output, isJson } = readFlags(words);
  const isTerminal = stderr.isTTY === true;
  const showProgress = (text: string): void => void stderr.write(isTerminal ? `\r\x1b[K${text}` : `${text}\n`);
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
  stdout.write(terminalText(printed, { hasColour: stdout.isTTY === true }));
  return tuned.isBetter ? 0 : 1;
}

/** Runs a search. Returns the exit code: 0: the result is better than the start. 1: it is not. 2: bad input. */
export async function runTune(words: string[], streams: Streams): Promise<number> {
  try {
    return await searchBest(words, streams);
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    streams.stderr.write(plainText(`${error.message}\n`));
    return 2;
  }
}
