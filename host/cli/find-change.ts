import { buildCommand } from '@stricli/core';
import { defaulted, jsonFlag, lines, option, required, text, toggle, unitsFlag, vectorArgument } from './flags.js';

export const findChangeCommand = buildCommand({
  loader: () => import('./run/find-change.js'),
  docs: {
    brief: "Find the commit that changed a vector's outputs",
    customUsage: ['[flags] --from COMMIT <vector>'],
    fullDescription: lines(
      'Builds commits between two by binary search, and compares their outputs on the inputs of a vector; stored',
      'outputs are not needed. Names the commit at which they changed, and later ones if they changed again; what',
      'was reverted in between is not named. For what a merge brings in, the commit on that side is named, and a',
      'merge only if it does what neither of its sides does. If the two have diverged, the search starts where they',
      'did. Commits that touch none of the sources of a build are left out; those that do not build are skipped and',
      'listed. The working tree and the index are not touched.',
      '',
      'Exit code 0: found. 2: bad input, or nothing differs.',
    ),
  },
  parameters: {
    positional: { kind: 'tuple', parameters: [vectorArgument] },
    flags: {
      from: required('Commit, branch or tag before the change', 'commit'),
      to: defaulted(text, 'Commit, branch or tag after it, or on another branch', 'commit', 'HEAD'),
      state: toggle('Also count differences of the internal state'),
      parameters: option("Parameter file, applied over the vector's parameters", 'file'),
      units: unitsFlag,
      json: jsonFlag,
    },
  },
});
