import { buildCommand } from '@stricli/core';
import { defaulted, jsonFlag, lines, partFlags, repeated, rowCount, text, unitsFlag } from './flags.js';

export const showCommand = buildCommand({
  loader: () => import('./run/show.js'),
  docs: {
    brief: 'Show a vector or a recording with small plots, or the field of a scenario as a map',
    customUsage: ['[flags] <vector|recording>', '[--json] scenario <scenario>'],
    fullDescription: lines(
      'A vector is run through the controller, so that inputs, outputs and all intermediate values can be shown',
      'by name; a recording (a file) is shown as recorded. The signals of inputs, outputs and probes are listed in',
      'host/contract/generated/contract.md, those of a simulated machine in host/contract/generated/truth.msg.',
      'Use plot for a picture. `show scenario NAME` draws a scenario along its pass: segments, stones, steps, speed,',
      'changes of the drive and events.',
      '',
      'Exit code 0: shown. 1: the controller stopped. 2: bad input.',
    ),
  },
  parameters: {
    positional: {
      kind: 'tuple',
      parameters: [
        { brief: 'Vector, by name or folder, or a recording; or the word scenario', parse: text, placeholder: 'vector|recording' },
        { brief: 'Scenario, by name or file, after the word scenario', parse: text, placeholder: 'scenario', optional: true },
      ],
    },
    flags: {
      row: defaulted(rowCount, 'Row to show', 'number', '1'),
      signal: repeated('Signal to show; repeatable', 'name'),
      ...partFlags,
      units: unitsFlag,
      json: jsonFlag,
    },
  },
});
