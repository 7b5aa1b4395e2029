import { buildCommand } from '@stricli/core';
import { jsonFlag, lines, text } from './flags.js';

export const helpCommand = buildCommand({
  loader: () => import('./run/help.js'),
  docs: {
    brief: 'Show the help of a command',
    customUsage: ['[flags] [<command>...]'],
    fullDescription: lines(
      'Prints what the command prints with --help, such as `help replay` or `help chip build`; without a command,',
      'the overview.',
      '',
      'Exit code 0: shown. 2: there is no such command.',
    ),
  },
  parameters: {
    positional: { kind: 'array', parameter: { brief: 'Command, and the command within it', parse: text, placeholder: 'command' } },
    flags: { json: jsonFlag },
  },
});
