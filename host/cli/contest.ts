import { buildCommand } from '@stricli/core';
import {
  defaulted,
  integer,
  jsonFlag,
  lines,
  option,
  optional,
  outputFile,
  repeated,
  seedCount,
  setFlag,
  text,
  unitsFlag,
  yesFlag,
} from './flags.js';

export const contestCommand = buildCommand({
  loader: () => import('./run/contest.js'),
  docs: {
    brief: 'Compare strategies and settings at equal pulse rates',
    customUsage: ['[flags] <scenario>'],
    fullDescription: lines(
      'Runs several contenders (strategies, baselines and parameter files) with the same field, seeds and',
      'faults. A controller that pulses more often can hold the load better, and an untuned contender makes the',
      'others look better than they are; so the deadband of each is swept, and load and oil are compared at equal',
      'pulse rates, seed by seed: the differences to one of them have paired 95 % intervals.',
      '',
      'Exit code 0: done. 1: the controller stopped in a run. 2: bad input.',
      'An engineering aid: the results are estimates for an invented machine.',
    ),
  },
  parameters: {
    positional: { kind: 'tuple', parameters: [{ brief: 'Scenario, by name or file', parse: text, placeholder: 'scenario' }] },
    flags: {
      strategies: option(
        'Contenders, separated by commas: threshold, cascade, predictive, or the baselines proportional and perfect',
        'names',
      ),
      parameters: repeated('A contender from a parameter file; without NAME it is named after the file', '[name=]file'),
      against: option('Contender that the others are compared with (default: the first)', 'name'),
      seeds: defaulted(seedCount, 'Number of seeds', 'count', '5'),
      seed: optional(integer, "First seed, instead of the scenario's", 'number'),
      scales: option("Factors on each contender's own deadband (default: 0.35,0.5,0.7,1,1.4,2,2.8)", 'numbers'),
      at: option('Pulse rates to compare at, per minute (default: three that all contenders reach)', 'numbers'),
      set: setFlag('Parameter of all contenders as name=value; repeatable'),
      output: outputFile('Write the curves as an SVG picture'),
      metric: repeated('Metric of rows to show and compare; repeatable (default: load, oil, coils)', 'name'),
      units: unitsFlag,
      yes: yesFlag,
      json: jsonFlag,
    },
    aliases: { o: 'output' },
  },
});
