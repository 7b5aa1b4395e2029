import { buildCommand } from '@stricli/core';
import { jsonFlag, lines, option, optionalWords, text } from './flags.js';

export const initCommand = buildCommand({
  loader: () => import('./run/init.js'),
  docs: {
    brief: "Make a folder for a team's own controller, tables, machines and vectors",
    customUsage: ['[flags] <folder>'],
    fullDescription: lines(
      'Makes a project: the sources of the controller and the tables of its contract to change, a machine, a',
      'scenario, a parameter file, three vectors, package.json, a script for CI, and a README that says what is',
      'whose and how to upgrade. The last part of the path is its name. Then: npm ci && npm start.',
      '',
      'The project keeps the package file that this program was installed from, or that --package names (npm pack',
      'makes it), so that it can be installed without a registry. Without one, npm gets latchbench by its version.',
      '',
      'Exit code 0: made. 2: bad input; nothing is left.',
    ),
  },
  parameters: {
    positional: { kind: 'tuple', parameters: [{ brief: 'Folder to make', parse: text, placeholder: 'folder' }] },
    flags: {
      title: optionalWords('Title for people (default: the name)', 'text'),
      package: option('Package of this version to install latchbench from', 'file'),
      json: jsonFlag,
    },
  },
});
