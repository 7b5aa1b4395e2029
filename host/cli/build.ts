import { buildCommand } from '@stricli/core';
import { jsonFlag, lines } from './flags.js';

export const buildCommandOfProject = buildCommand({
  loader: () => import('./run/build.js'),
  docs: {
    brief: "Write the generated files of a team's project, and compile its controller",
    customUsage: ['[flags]'],
    fullDescription: lines(
      'From the tables in shared/: the generated sources of the controller, and contract/ with tables for people,',
      'JSON, a schema for editors and a C header. Then dist/controller.wasm. What is up to date stays as it is.',
      '',
      'Exit code 0: built. 2: bad input, with the messages of the compiler.',
    ),
  },
  parameters: { flags: { json: jsonFlag } },
});
