import { buildCommand } from '@stricli/core';
import type { FitSetup } from '../fit/fit.js';
import { type Answer, answer, type Context, jsonFlag, type Progress, progressOf, text } from './answer.js';
import { noteIfStale } from './stale.js';

interface Flags {
  readonly output?: string;
  readonly parameters?: string;
  readonly set?: readonly string[];
  readonly horizonMs: number;
  readonly ridge: number;
  readonly pulses: number;
  readonly json?: boolean;
}

/** The flags as a person would give them. */
function settingsOf({ horizonMs, ridge, pulses, parameters, set = [] }: Flags): string[] {
  const numbers = ['--horizon-ms', horizonMs, '--ridge', ridge, '--pulses', pulses].map(String);
  return [...numbers, ...(parameters === undefined ? [] : ['--parameters', parameters]), ...set.flatMap((one) => ['--set', one])];
}

async function fitAndWrite(context: Context, files: readonly string[], flags: Flags, progress: Progress): Promise<Answer> {
  const [{ loadController }, { resolveParameters }, fits, { writeFitted }, { fitText }, { refuseOverwritingInput }] = await Promise.all([
    import('../runner/wasm-runner.js'),
    import('../simulate/run-options.js'),
    import('../fit/fit.js'),
    import('../fit/write-fitted.js'),
    import('../report/parameters/fit-text.js'),
    import('../common/write-atomic.js'),
  ]);
  const controller = loadController();
  const { contract, sourceHash } = controller.description;
  await noteIfStale(context, sourceHash);
  const { output, parameters, horizonMs, ridge, pulses } = flags;
  const values = resolveParameters({}, flags, contract);
  if (output !== undefined) refuseOverwritingInput(output, ...files, ...(parameters === undefined ? [] : [parameters]));
  const setup: FitSetup = { controller, files, values, horizonMs, ridge, pulsesPerMin: pulses, onProgress: progress.share('fitting') };
  const fit = fits.fitRecordings(setup);
  const json = { settings: { horizonMs, ridge, pulsesPerMin: pulses }, ...fit };
  if (output === undefined || !fit.isBetter) return { text: fitText(fit, contract), json, holds: fit.isBetter };
  writeFitted(output, fits.fittedValues(fit, values), contract, files, settingsOf(flags));
  return { text: `${fitText(fit, contract)}\n${output} written\n`, json: { ...json, file: output }, holds: true };
}

async function fit(this: Context, flags: Flags, ...files: string[]): Promise<void> {
  await answer(this, flags, async () => {
    const progress = progressOf(this, flags.json);
    try {
      return await fitAndWrite(this, files, flags, progress);
    } finally {
      progress.done();
    }
  });
}

const option = (brief: string, placeholder: string) => ({ kind: 'parsed', parse: text, brief, optional: true, placeholder }) as const;

/** A number inside limits, as a flag. */
const amount = (brief: string, placeholder: string, byDefault: string, least: number, most: number) =>
  ({
    kind: 'parsed',
    parse: (words: string): number => {
      const value = words.trim() === '' ? Number.NaN : Number(words);
      if (!(value >= least && value <= most)) throw new Error(`${words} is no number from ${least} to ${most}`);
      return value;
    },
    brief,
    default: byDefault,
    placeholder,
  }) as const;

export const fitCommand = buildCommand({
  docs: {
    brief: 'Fit the predictor, the valves’ flow and the deadband to recordings',
    fullDescription:
      'For strategy predictive: recorded inputs are run through the controller under the recorded orders; the predictor’s weights are ' +
      'fitted to what the load then did, by ridge regression, and checked on parts of the recordings that they were not fitted to; the ' +
      'valves’ flow to what their pulses did; the deadband to how often the prediction’s noise would leave it. Parameters given are ' +
      'the machine’s and those to improve; they go into the file too. Exit code 1: the weights before are as good; nothing is written. ' +
      '2: bad input, or recordings that do not show enough of the loop.',
  },
  parameters: {
    positional: {
      kind: 'array',
      minimum: 1,
      parameter: { brief: 'Recordings with inputs and outputs', parse: text, placeholder: 'recording' },
    },
    flags: {
      output: option('Parameter file to write, YAML', 'file'),
      parameters: option('Parameter file of the machine', 'file'),
      set: { ...option('A parameter as name=value, over the file’s', 'name=value'), variadic: true },
      horizonMs: amount('Time whose mean load is foretold, ms', 'ms', '350', 10, 5000),
      ridge: amount('Penalty on large weights; 0 for none', 'number', '1', 0, 1e6),
      pulses: amount('Pulses a minute and row that the deadband may let through', 'number', '100', 0.1, 10_000),
      json: jsonFlag,
    },
    aliases: { o: 'output' },
  },
  func: fit,
});
