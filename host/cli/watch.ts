import { buildCommand } from '@stricli/core';
import { BUILD_FORMS, defaulted, jsonFlag, lines, option, optional, positiveInteger, text, unitsFlag, vectorArguments } from './flags.js';

export const watchCommand = buildCommand({
  loader: () => import('./run/watch.js'),
  docs: {
    brief: 'Rebuild on every save and report what changed',
    customUsage: ['[flags] [<vector>...]'],
    fullDescription: lines(
      'Compares the working tree with another build on the chosen vectors: once at the start, and again whenever',
      'a file in assembly/controller, asconfig.json or the parameter file is saved. Compiler errors are shown with',
      'their line, and the previous verdict is shown again; a deleted file is named. A save drops a comparison that',
      'still runs, and the time that is shown counts from the last save. With --json, prints one line of JSON per',
      'verdict. Runs until interrupted.',
      '',
      'Exit code 0: nothing differed in the last verdict. 1: something did. 2: bad input.',
    ),
  },
  parameters: {
    positional: vectorArguments,
    flags: {
      against: defaulted(text, `Build to compare with: ${BUILD_FORMS}`, 'build', 'HEAD'),
      parameters: option("Parameter file, applied over each vector's parameters; watched too", 'file'),
      verdicts: optional(positiveInteger, 'Exit after this number of verdicts', 'count'),
      units: unitsFlag,
      json: jsonFlag,
    },
  },
});
