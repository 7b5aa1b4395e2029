import { buildCommand } from '@stricli/core';
import { defaulted, jsonFlag, lines, repeated, rowCount, text } from './flags.js';

export const showCommand = buildCommand({
  loader: () => import('./run/show.js'),
  docs: {
    brief: 'Show a vector or a recording, with small plots',
    customUsage: ['[flags] <vector|recording>'],
    fullDescription: lines(
      'A vector is run through the controller, so that inputs, outputs and all intermediate values can be shown',
      'by name; a recording (a file) is shown as recorded. The signals of inputs, outputs and probes are listed in',
      'host/contract/generated/contract.md, those of a simulated machine in host/contract/generated/truth.msg.',
      'Use plot for a picture.',
      '',
      'Exit code 0: shown. 1: the controller stopped. 2: bad input.',
    ),
  },
  parameters: {
    positional: {
      kind: 'tuple',
      parameters: [{ brief: 'Vector, by name or folder, or a recording', parse: text, placeholder: 'vector|recording' }],
    },
    flags: {
      row: defaulted(rowCount, 'Row to show', 'number', '1'),
      signal: repeated('Signal to show; repeatable', 'name'),
      json: jsonFlag,
    },
  },
});
