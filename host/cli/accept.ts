import { buildCommand } from '@stricli/core';
import { jsonFlag, lines, list, optional, requiredWords, toggle, vectorArgument } from './flags.js';

export const acceptCommand = buildCommand({
  loader: () => import('./run/accept.js'),
  docs: {
    brief: 'Accept the current outputs of vectors, signed with your name and a reason',
    customUsage: ['[flags] --by NAME --reason TEXT <vector>...'],
    fullDescription: lines(
      "Rewrites expected.csv of the named vectors with the controller's current outputs and adds an acceptance",
      'to case.yaml: date, name, reason, the signals that changed, the hash of the new outputs, and a digest of',
      'each signal, which lets replay check that nothing else was accepted along with them. The changes are',
      'printed before anything is written. Replay rejects outputs that were edited by hand.',
      '',
      'Exit code 0: accepted, or nothing to accept. 2: bad input.',
    ),
  },
  parameters: {
    positional: { kind: 'array', minimum: 1, parameter: { ...vectorArgument, brief: 'Vectors, by name or folder' } },
    flags: {
      by: requiredWords('Who accepts the outputs', 'name'),
      reason: requiredWords('Why the new outputs are right', 'text'),
      signals: optional(list, 'Signals that may have changed, separated by commas; if others have, nothing is accepted', 'names'),
      dryRun: toggle('Show what would be accepted, and write nothing'),
      json: jsonFlag,
    },
  },
});
