import { buildCommand } from '@stricli/core';
import {
  BUILD_FORMS,
  defaulted,
  jsonFlag,
  lines,
  option,
  optionalWords,
  outputFile,
  positiveInteger,
  text,
  vectorArgument,
} from './flags.js';

export const shrinkCommand = buildCommand({
  loader: () => import('./run/shrink.js'),
  docs: {
    brief: 'Shrink a vector to the smallest input that still shows a difference',
    customUsage: ['[flags] <vector>'],
    fullDescription: lines(
      'Runs two builds over a vector, notes how they differ, and removes everything that is not needed to show',
      'it: rows, ticks, changes of signals, and values far from their defaults. The class of the difference stays',
      'the same: a stop at the same place in the binary, a change of the same output between the same values, or,',
      'if no output differs, the same first difference of the state. Without --against, only a stop of the',
      'controller counts; a stopped run has no outputs to accept, so write the recording alone with --output.',
      '',
      'Exit code 0: done. 2: bad input, or nothing to shrink.',
    ),
  },
  parameters: {
    positional: { kind: 'tuple', parameters: [vectorArgument] },
    flags: {
      against: option(`Base build: ${BUILD_FORMS}`, 'build'),
      build: defaulted(text, 'Head build: as for --against', 'build', '.'),
      output: outputFile('Write only the recording, without a vector'),
      name: option('Name of the new vector (default: from vector and signal)', 'name'),
      by: optionalWords('Who accepts the new vector', 'name'),
      reason: optionalWords('Why its outputs are right', 'text'),
      tries: defaulted(positiveInteger, 'Maximum number of runs', 'count', '3000'),
      json: jsonFlag,
    },
    aliases: { o: 'output' },
  },
});
