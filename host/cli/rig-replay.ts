import { buildCommand } from '@stricli/core';
import { integerIn, jsonFlag, lines, numberIn, optional, outputFile, toggle, vectorArguments } from './flags.js';
import { CAUTION_LINES, rigFlags } from './rig-flags.js';

const LEAD_MS_MAX = 2000;
const TIMES_MAX = 1000;
const PERIOD_MAX = 100;

export const rigReplayCommand = buildCommand({
  loader: () => import('./run/rig-replay.js'),
  docs: {
    brief: 'Replay vectors on the boards of a rig, in lockstep or in a free run',
    customUsage: ['[flags] [<vector>...]'],
    fullDescription: lines(
      'In lockstep, the board runs a tick when it is given its inputs, many in one request and several requests under',
      'way; its coils stay off. A hash chain over outputs and state of every tick must equal that of the WebAssembly.',
      '',
      'With --free-run the board runs by its own timer and drives its coils. Inputs are sent ahead, stamped with the',
      'step that they are for; the board holds the last ones where new ones are late, and reports every step. The',
      'WebAssembly is then given exactly the inputs that the board used, and must give the same outputs and state',
      'hashes bit for bit: what differs is a fault of the board. Latency, held inputs and losses are shown apart; a',
      'run over a link beyond the limits of rig.yaml is not judged. A run that fails is not repeated silently:',
      '--times shows each.',
      '',
      'Ctrl-C stops the boards: valves close or vent as the parameters say.',
      CAUTION_LINES,
      '',
      'Exit code 0: all the same, or explained. 1: something differs, stopped or is not judged. 2: bad input.',
    ),
  },
  parameters: {
    positional: {
      kind: 'array',
      parameter: {
        ...vectorArguments.parameter,
        brief: 'Vectors, by name or folder (default: those of rig.yaml, or all in vectors/cases)',
      },
    },
    flags: {
      ...rigFlags,
      freeRun: toggle('Let the board run by its own timer, with its coils driven'),
      times: optional(integerIn(1, TIMES_MAX), 'Repeat each run, and count those that end differently (default: 1)', 'count'),
      lead: optional(numberIn(0, LEAD_MS_MAX), 'How long before their step inputs are sent, ms (default: 20); needs --free-run', 'ms'),
      inputPeriod: optional(integerIn(1, PERIOD_MAX), 'Steps between inputs, for slow links (default: 1); needs --free-run', 'steps'),
      output: outputFile('Record inputs as used, outputs and intermediate values of a free run of one vector on one board'),
      json: jsonFlag,
    },
    aliases: { o: 'output' },
  },
});
