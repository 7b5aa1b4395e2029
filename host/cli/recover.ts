import { buildCommand } from '@stricli/core';
import { jsonFlag, lines, requiredOutputFile, text } from './flags.js';

export const recoverCommand = buildCommand({
  loader: () => import('./run/recover.js'),
  docs: {
    brief: 'Recover the intact part of a damaged or truncated recording',
    customUsage: ['[flags] -o RECORDING <recording>'],
    fullDescription: lines(
      'Keeps every message of every intact chunk before the damage. Also works on the .partial file that an',
      'interrupted run leaves behind, and gives a recording of an older version the indexes that viewers need.',
      '',
      'Exit code 0: written. 2: bad input.',
    ),
  },
  parameters: {
    positional: { kind: 'tuple', parameters: [{ brief: 'Damaged recording', parse: text, placeholder: 'recording' }] },
    flags: { output: requiredOutputFile('Recording to write'), json: jsonFlag },
    aliases: { o: 'output' },
  },
});
