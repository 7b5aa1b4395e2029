import { buildCommand } from '@stricli/core';
import { jsonFlag, lines, required, text } from './flags.js';

export const importCommand = buildCommand({
  loader: () => import('./run/import.js'),
  docs: {
    brief: 'Convert a CSV log to a recording',
    fullDescription: lines(
      'A mapping file (YAML) defines which column is which signal, in which unit, and where the time comes from.',
      "Each sample is held until the next one. Gaps, values clipped at the converter's limits and signals left at",
      'their defaults are reported.',
      '',
      'Exit code 0: written. 2: bad input.',
    ),
  },
  parameters: {
    positional: { kind: 'tuple', parameters: [{ brief: 'CSV file with a header line', parse: text, placeholder: 'csv' }] },
    flags: {
      map: required('Mapping file', 'file'),
      output: required('Recording to write', 'file'),
      json: jsonFlag,
    },
    aliases: { o: 'output' },
  },
});
