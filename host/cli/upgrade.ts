import { buildCommand } from '@stricli/core';
import { jsonFlag, lines, toggle } from './flags.js';

export const upgradeCommand = buildCommand({
  loader: () => import('./run/upgrade.js'),
  docs: {
    brief: "Bring a team's project to the installed version of latchbench",
    customUsage: ['[flags]'],
    fullDescription: lines(
      'Compares the controller, its settings and the tables of the contract with what they were in the version',
      'that the project comes from, and with what they are in the installed one. Nothing is changed without --write.',
      '',
      'Exit code 0: nothing to do, or written. 1: something to do. 2: bad input.',
    ),
  },
  parameters: {
    flags: {
      write: toggle('Replace files that you never changed; put those to merge beside yours, ending in .new'),
      json: jsonFlag,
    },
  },
});
