import { buildCommand } from '@stricli/core';
import { integer, jsonFlag, lines, option, optional, optionalWords, outputFile, seedCount, setFlag, text, yesFlag } from './flags.js';

export const simulateCommand = buildCommand({
  loader: () => import('./run/simulate.js'),
  docs: {
    brief: 'Simulate the controller in a closed loop with a machine and a field',
    customUsage: ['[flags] [<scenario>...]'],
    fullDescription: lines(
      'A scenario defines the machine, the field, the drive (speed, lift and target over time), the faults and the',
      'requirements. Runs the controller against a physical model and prints the metrics of each row and of the',
      'bank, and whether the requirements are met.',
      '',
      'Exit code 0: all requirements are met. 1: one is not, or the controller stopped. 2: bad input.',
      'An engineering aid: the results are estimates for an invented machine.',
    ),
  },
  parameters: {
    positional: {
      kind: 'array',
      parameter: { brief: 'Scenarios, by name or file (default: all in vectors/scenarios)', parse: text, placeholder: 'scenario' },
    },
    flags: {
      output: outputFile("Record inputs, outputs, intermediate values and the plant's true state"),
      seed: optional(integer, "Seed to use instead of the scenario's", 'number'),
      seeds: optional(seedCount, 'Number of seeds to run, for mean and spread', 'count'),
      strategy: option('threshold, cascade or predictive, or for comparison a baseline: proportional, perfect', 'name'),
      parameters: option("Parameter file, applied over the scenario's parameters", 'file'),
      set: setFlag("Parameter as name=value, applied over the file's; repeatable"),
      controller: option('Controller binary (default: dist/controller.wasm)', 'file'),
      recordVector: option("Create a vector with this name from the run's inputs; needs --by and --reason", 'name'),
      by: optionalWords('Who accepts the new vector', 'name'),
      reason: optionalWords('Why its outputs are right', 'text'),
      yes: yesFlag,
      json: jsonFlag,
    },
    aliases: { o: 'output' },
  },
});
