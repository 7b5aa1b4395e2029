import { buildCommand } from '@stricli/core';
import { defaulted, jsonFlag, lines, option, required, text, toggle, vectorArgument } from './flags.js';

export const findChangeCommand = buildCommand({
  loader: () => import('./run/find-change.js'),
  docs: {
    brief: "Find the commit that changed a vector's outputs",
    customUsage: ['[flags] --from COMMIT <vector>'],
    fullDescription: lines(
      'Builds commits between two by binary search, and compares their outputs on the inputs of a vector with',
      'those of the first one; stored outputs are not needed. Commits that touch none of the sources of a',
      'build, and commits that do not build, are skipped; a merge counts as one commit. If the outputs changed',
      'more than once, one of those commits is found. The working tree and the index are not touched.',
      '',
      'Exit code 0: found. 2: bad input, or nothing differs.',
    ),
  },
  parameters: {
    positional: { kind: 'tuple', parameters: [vectorArgument] },
    flags: {
      from: required('Commit, branch or tag before the change', 'commit'),
      to: defaulted(text, 'Commit, branch or tag after it, a descendant of the first one', 'commit', 'HEAD'),
      state: toggle('Also count differences of the internal state'),
      parameters: option("Parameter file, applied over the vector's parameters", 'file'),
      json: jsonFlag,
    },
  },
});
