import { buildCommand } from '@stricli/core';
import { jsonFlag, lines, text, unitsFlag } from './flags.js';

export const parametersCommand = buildCommand({
  loader: () => import('./run/parameters.js'),
  docs: {
    brief: 'List all parameters, or check a parameter file',
    customUsage: ['[flags] [<file>]'],
    fullDescription: lines(
      'Without a file: lists every parameter with its unit, limits, default and meaning. With a file (YAML, one',
      '"name: value" per line): checks it and lists what it sets.',
      '',
      'Exit code 0: valid. 2: bad input.',
    ),
  },
  parameters: {
    positional: { kind: 'tuple', parameters: [{ brief: 'Parameter file', parse: text, placeholder: 'file', optional: true }] },
    flags: { units: unitsFlag, json: jsonFlag },
  },
});
