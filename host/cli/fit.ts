import { buildCommand } from '@stricli/core';
import { defaulted, jsonFlag, lines, numberIn, option, outputFile, setFlag, text, unitsFlag } from './flags.js';

export const fitCommand = buildCommand({
  loader: () => import('./run/fit.js'),
  docs: {
    brief: 'Fit predictor, valve flow and deadband to recordings',
    customUsage: ['[flags] <recording>...'],
    fullDescription: lines(
      'For the predictive strategy. Replays the recorded inputs with the recorded orders to the coils, fits the',
      "predictor's weights to the measured load by ridge regression, and validates them on held-out parts of the",
      "recordings; fits the valves' flow to the effect of their pulses; and chooses the deadband from the rate at",
      'which the noise of the prediction would cross it. The given parameters describe the machine and are the',
      'starting point; they are copied to the output file.',
      '',
      'The penalty follows from the noise: the longer the recordings, the smaller it is, and a weight that they',
      'determine well is not changed by it. The flow is that of the pressure steps which pulses cause, with the row',
      'yielding; it may be up to 12 % below the oil flow of the valves, and is left out where motion hides it. A',
      'better prediction need not control better.',
      '',
      'Exit code 0: done. 1: the fitted weights are no better; nothing is written. 2: bad input, or the',
      'recordings do not excite the loop enough.',
    ),
  },
  parameters: {
    positional: {
      kind: 'array',
      minimum: 1,
      parameter: { brief: 'Recordings with inputs and outputs', parse: text, placeholder: 'recording' },
    },
    flags: {
      output: outputFile('Parameter file to write (YAML)'),
      parameters: option('Parameter file to start from', 'file'),
      set: setFlag("Parameter as name=value, applied over the file's; repeatable"),
      horizonMs: defaulted(numberIn(10, 5000), 'Time ahead whose mean load is predicted, in ms', 'ms', '1000'),
      ridge: defaulted(
        numberIn(0, 1e6),
        'Penalty on large weights, as a multiple of what the noise of the recordings calls for; 0 for none',
        'number',
        '1',
      ),
      pulses: defaulted(numberIn(0.1, 10_000), 'Pulses per minute and row that noise may cause', 'number', '100'),
      units: unitsFlag,
      json: jsonFlag,
    },
    aliases: { o: 'output' },
  },
});
