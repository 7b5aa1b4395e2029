import { buildCommand } from '@stricli/core';
import { jsonFlag, lines, optional, outputFile, partFlags, positiveInteger, repeated, text } from './flags.js';

export const exportCommand = buildCommand({
  loader: () => import('./run/export.js'),
  docs: {
    brief: 'Convert a recording to CSV',
    customUsage: ['[flags] <recording>'],
    fullDescription: lines(
      "Writes one line per tick: time, tick, the bank's signals, and name[row] for each row. Numbers are written",
      'so that they read back exactly.',
      '',
      'Exit code 0: written. 2: bad input.',
    ),
  },
  parameters: {
    positional: { kind: 'tuple', parameters: [{ brief: 'Recording', parse: text, placeholder: 'recording' }] },
    flags: {
      output: outputFile('CSV file to write (default: standard output)'),
      signal: repeated('Column to write; repeatable (default: all)', 'name'),
      ...partFlags,
      every: optional(positiveInteger, 'Write only every n-th tick', 'ticks'),
      json: jsonFlag,
    },
    aliases: { o: 'output' },
  },
});
