import { buildCommand } from '@stricli/core';
import { jsonFlag, lines, option, outputFile, text, yesFlag } from './flags.js';

export const importCommand = buildCommand({
  loader: () => import('./run/import.js'),
  docs: {
    brief: 'Convert a CSV log to a recording',
    customUsage: ['<csv>', '--new-map FILE <csv>', '[flags] --map FILE -o RECORDING <csv>'],
    fullDescription: lines(
      'Without a mapping file it says what the log seems to hold: delimiter, decimal sign, units, form of the time,',
      'gaps and jitter, and what each column seems to be. --new-map writes that as a mapping file with comments;',
      'what only a person can know is the word `decide` there.',
      '',
      'A mapping file (YAML) maps columns to signals and units, names the time column or the sample rate, and may say',
      'where the orders of the controller that made the log are: codes, positions, switches or coil currents. They',
      'are recorded apart from the outputs of our controller; `fit` uses them, `show` and `export` show them.',
      'Each sample is held until the next one, or interpolated. Missing values are refused, held, interpolated or set',
      'to invalid, as the mapping says. Gaps, jitter, missing and clamped values, units of the header and signals',
      'left at their defaults are reported. All keys: host/recording/csv/README.md.',
      '',
      'Exit code 0: written. 2: bad input.',
    ),
  },
  parameters: {
    positional: { kind: 'tuple', parameters: [{ brief: 'CSV file with a header line', parse: text, placeholder: 'csv' }] },
    flags: {
      map: option('Mapping file', 'file'),
      newMap: outputFile('Mapping file to write'),
      output: outputFile('Recording to write'),
      yes: yesFlag,
      json: jsonFlag,
    },
    aliases: { o: 'output' },
  },
});
