import { buildCommand } from '@stricli/core';
import { defaulted, integer, jsonFlag, lines, numberIn, option, optional, seedCount, text } from './flags.js';

/** Maximum strokes per row and minute: twice the maximum pulse rate of a machine file. */
const SPM_MAX = 4000;

export const sizeCommand = buildCommand({
  loader: () => import('./run/size.js'),
  docs: {
    brief: 'Size a machine: force, gas, valves, wiring, oil, heat, life and design checks',
    fullDescription: lines(
      'A machine file describes hydraulics, gas, valves, sensors, wiring and the duty to size for. Computes in',
      'closed form what follows from it and how each choice affects it, and checks design rules, with reason,',
      'remedy, rule and source. With --search, looks for designs on the trade-off front among the options of a',
      'catalogue.',
      '',
      'Exit code 0: no check fails, or a simulation confirms a design of the search. 1: otherwise. 2: bad input.',
      'An engineering aid: qualified people must check it against the data of the real parts.',
    ),
  },
  parameters: {
    positional: {
      kind: 'tuple',
      parameters: [{ brief: 'Machine, by name or file', parse: text, placeholder: 'machine' }],
    },
    flags: {
      units: { kind: 'enum', values: ['si', 'us'], brief: 'Metric or US customary units', default: 'si' },
      html: option('Write a printable sheet with three drawings', 'file'),
      drawings: option('Write the drawings as an SVG picture', 'file'),
      spm: optional(numberIn(0, SPM_MAX), "Strokes per row and minute, instead of the machine's; a pulse is two strokes", 'number'),
      search: option('Search this catalogue, by name or file, for better designs', 'catalogue'),
      seed: defaulted(integer, 'Seed of the search', 'number', '1'),
      tries: defaulted(integer, 'Number of designs to try', 'count', '10000'),
      finalists: defaulted(integer, 'Maximum number of designs to simulate', 'count', '5'),
      runs: defaulted(seedCount, 'Simulations per design, each with a different seed', 'count', '2'),
      output: option('Folder for the state of the search, to resume it, and for the finalists as machine files', 'folder'),
      json: jsonFlag,
    },
    aliases: { o: 'output' },
  },
});
