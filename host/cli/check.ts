import { buildCommand } from '@stricli/core';
import { jsonFlag, lines } from './flags.js';

export const checkCommand = buildCommand({
  loader: () => import('./run/check.js'),
  docs: {
    brief: "Check every file of a team's project",
    customUsage: ['[flags]'],
    fullDescription: lines(
      'Generated files are what the tables give; machines, scenarios, catalogues, parameter files and vectors are',
      'valid. `npm test` of a project runs this, then replay and simulate.',
      '',
      'Exit code 0: all valid. 1: one is not. 2: bad usage, or tables that cannot be used.',
    ),
  },
  parameters: { flags: { json: jsonFlag } },
});
