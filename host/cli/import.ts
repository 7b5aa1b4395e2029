import { buildCommand } from '@stricli/core';
import { jsonFlag, lines, required, requiredOutputFile, text, yesFlag } from './flags.js';

export const importCommand = buildCommand({
  loader: () => import('./run/import.js'),
  docs: {
    brief: 'Convert a CSV log to a recording',
    customUsage: ['[flags] --map FILE -o RECORDING <csv>'],
    fullDescription: lines(
      'A mapping file (YAML) maps columns to signals and units, and names the time column or the sample rate.',
      'If the log has dates, or the mapping says since when it counts, the recording keeps them for viewers.',
      'Each sample is held until the next one. Gaps, values clamped to the ADC range and signals left at their',
      'defaults are reported.',
      '',
      'Exit code 0: written. 2: bad input.',
    ),
  },
  parameters: {
    positional: { kind: 'tuple', parameters: [{ brief: 'CSV file with a header line', parse: text, placeholder: 'csv' }] },
    flags: {
      map: required('Mapping file', 'file'),
      output: requiredOutputFile('Recording to write'),
      yes: yesFlag,
      json: jsonFlag,
    },
    aliases: { o: 'output' },
  },
});
