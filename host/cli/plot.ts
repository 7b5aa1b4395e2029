import { buildCommand } from '@stricli/core';
import { defaulted, jsonFlag, lines, partFlags, repeated, requiredOutputFile, rowCount, text, unitsFlag } from './flags.js';

export const plotCommand = buildCommand({
  loader: () => import('./run/plot.js'),
  docs: {
    brief: 'Plot signals of a vector or a recording as SVG',
    customUsage: ['[flags] -o FILE <vector|recording>'],
    fullDescription: lines(
      'Plots signals over time, with modes, open valves and faults below. Spikes stay visible over any length of',
      'time. A vector is run through the controller; a recording (a file) is plotted as recorded. Signals are',
      'named like the columns of an export: loadN, loadN[3], input.targetLoadN. Without --signal, a default set',
      'is plotted.',
      '',
      'Exit code 0: written. 1: the controller stopped. 2: bad input.',
    ),
  },
  parameters: {
    positional: {
      kind: 'tuple',
      parameters: [{ brief: 'Vector, by name or folder, or a recording', parse: text, placeholder: 'vector|recording' }],
    },
    flags: {
      output: requiredOutputFile('SVG file to write'),
      signal: repeated('Signals for one pane, separated by commas, all in the same unit; repeatable', 'names'),
      row: defaulted(rowCount, 'Row for signals given without one', 'number', '1'),
      ...partFlags,
      units: unitsFlag,
      json: jsonFlag,
    },
    aliases: { o: 'output' },
  },
});
