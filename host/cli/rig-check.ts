import { buildCommand } from '@stricli/core';
import { jsonFlag, lines } from './flags.js';
import { CAUTION_LINES, rigFlags } from './rig-flags.js';

export const rigCheckCommand = buildCommand({
  loader: () => import('./run/rig-check.js'),
  docs: {
    brief: 'Greet the boards of a rig and say what is wrong; show the cautions',
    customUsage: ['[flags]'],
    fullDescription: lines(
      'Reads rig.yaml: which boards the rig has, where each is, and which rows of the machine are wired to it.',
      '`new rig NAME` writes one to start from; every key is in host/contract/generated/files.md. Opens the link to',
      'each board, compares its contract with that of the controller, and measures round trips, lost frames and how',
      'well its clock is known. No run starts, and no coil is driven beyond what a board does at its own start.',
      'Only the own rig file should be used: it names programs that are run.',
      CAUTION_LINES,
      '',
      'Exit code 0: all boards are ready. 1: one is not. 2: bad input.',
    ),
  },
  parameters: { flags: { ...rigFlags, json: jsonFlag } },
});
