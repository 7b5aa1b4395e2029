import { buildCommand } from '@stricli/core';
import { jsonFlag, lines, option, optionalWords, required, requiredWords, text } from './flags.js';

export const addCommand = buildCommand({
  loader: () => import('./run/add.js'),
  docs: {
    brief: 'Create a vector from a recording and accept its outputs',
    customUsage: ['[flags] --from RECORDING --title TEXT --why TEXT --by NAME --reason TEXT <name>'],
    fullDescription: lines(
      'Copies the recording into a new folder of vectors/cases and writes case.yaml and expected.csv. If',
      'anything is wrong with the vector, no folder is created.',
      '',
      'Exit code 0: created. 2: bad input.',
    ),
  },
  parameters: {
    positional: {
      kind: 'tuple',
      parameters: [{ brief: 'Name of the vector: what happens, in lower case with hyphens', parse: text, placeholder: 'name' }],
    },
    flags: {
      from: required('Recording with an input for every tick', 'recording'),
      title: requiredWords('What happens, in one line', 'text'),
      why: requiredWords('Why a reviewer should care', 'text'),
      origin: optionalWords("Where the inputs come from (default: the recording's source)", 'text'),
      parameters: option('Parameter file', 'file'),
      by: requiredWords('Who accepts the outputs', 'name'),
      reason: requiredWords('Why the outputs are right', 'text'),
      json: jsonFlag,
    },
  },
});
