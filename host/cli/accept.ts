import { buildCommand } from '@stricli/core';
import { jsonFlag, lines, list, option, optional, optionalWords, toggle, vectorArgument } from './flags.js';

export const acceptCommand = buildCommand({
  loader: () => import('./run/accept.js'),
  docs: {
    brief: 'Accept the current outputs of vectors, signed with your name and a reason',
    customUsage: ['[flags] --by NAME --reason TEXT <vector>...', '--check COMMIT [--json]'],
    fullDescription: lines(
      "Rewrites expected.csv of the named vectors with the controller's current outputs and adds an acceptance",
      'to case.yaml: date, name, reason, the signals that changed, the hash of the new outputs, a digest of each',
      'signal, which lets replay check that nothing else was accepted along with them, and a digest of all',
      "acceptances before it, so that none of them can be rewritten. Git's user.name and user.email are recorded",
      'as the committer. The changes are printed before anything is written. Replay rejects outputs that were',
      'edited by hand, and a broken history. Where a service runs this (CI is set), --yes must be given.',
      '',
      '--check COMMIT accepts nothing: it reports for each vector what was accepted since a commit, by whom, and',
      'in which commits, and fails if acceptances were rewritten, removed or reordered, if outputs changed without',
      'an acceptance, or if a vector was removed. A shallow clone needs only the commit itself.',
      '',
      'Exit code 0: accepted, or nothing to accept; with --check, only added to. 1: with --check, not so.',
      '2: bad input.',
    ),
  },
  parameters: {
    positional: { kind: 'array', parameter: { ...vectorArgument, brief: 'Vectors, by name or folder' } },
    flags: {
      by: optionalWords('Who accepts the outputs', 'name'),
      reason: optionalWords('Why the new outputs are right', 'text'),
      signals: optional(list, 'Signals that may have changed, separated by commas; if others have, nothing is accepted', 'names'),
      check: option('Check what was accepted since this commit, branch or tag, and accept nothing', 'commit'),
      dryRun: toggle('Show what would be accepted, and write nothing'),
      yes: toggle('Accept although no person looks at it now, such as in a job that a person started'),
      json: jsonFlag,
    },
  },
});
