import { buildCommand } from '@stricli/core';
import {
  integer,
  jsonFlag,
  lines,
  numberIn,
  option,
  optional,
  outputFile,
  outputFolder,
  positiveInteger,
  seedCount,
  text,
  yesFlag,
} from './flags.js';
import { SEARCH_DEFAULTS } from './search-defaults.js';

/** Maximum strokes per row and minute: twice the maximum pulse rate of a machine file. */
const SPM_MAX = 4000;

export const sizeCommand = buildCommand({
  loader: () => import('./run/size.js'),
  docs: {
    brief: 'Size a machine: force, gas, valves, wiring, oil, heat, life and design checks',
    customUsage: ['[flags] <machine>'],
    fullDescription: lines(
      'A machine file describes hydraulics, gas, valves, sensors, wiring and the duty to size for. Calculates in',
      'closed form the performance of the machine and its sensitivity to each quantity, and checks design rules,',
      'with reason, remedy, rule and source. With --search, looks for Pareto-optimal designs among the options of',
      'a catalogue that fail fewer checks or need less power at the same load quality, and simulates the best.',
      '',
      'Exit code 0: no check fails; with --search, a simulation confirms at least one design. 1: otherwise.',
      '2: bad input.',
      'An engineering aid: a qualified person must check the results against the data of the real parts.',
    ),
  },
  parameters: {
    positional: {
      kind: 'tuple',
      parameters: [{ brief: 'Machine, by name or file', parse: text, placeholder: 'machine' }],
    },
    flags: {
      units: { kind: 'enum', values: ['si', 'us'], brief: 'Metric or US customary units (default: si)', optional: true },
      html: outputFile('Write a printable sheet with three drawings'),
      drawings: outputFile('Write the drawings as an SVG picture'),
      spm: optional(
        numberIn(0, SPM_MAX),
        'Strokes per row and minute, instead of those in the machine file; a pulse is two strokes',
        'number',
      ),
      search: option('Search this catalogue, by name or file, for better designs', 'catalogue'),
      seed: optional(integer, `Seed of the search (default: ${SEARCH_DEFAULTS.seed})`, 'number'),
      tries: optional(positiveInteger, `Number of designs to try (default: ${SEARCH_DEFAULTS.tries})`, 'count'),
      finalists: optional(positiveInteger, `Maximum number of designs to simulate (default: ${SEARCH_DEFAULTS.finalists})`, 'count'),
      runs: optional(seedCount, `Simulations per design, each with a different seed (default: ${SEARCH_DEFAULTS.runs})`, 'count'),
      output: outputFolder('Folder for the state of the search, to resume it, and for the finalists as machine files'),
      yes: yesFlag,
      json: jsonFlag,
    },
    aliases: { o: 'output' },
  },
});
