import { buildCommand } from '@stricli/core';
import { TEMPLATE_KINDS, type TemplateKind } from '../files/template-kinds.js';
import { jsonFlag, lines, text, toggle } from './flags.js';

function kindOf(value: string): TemplateKind {
  const found = TEMPLATE_KINDS.find((kind) => kind === value);
  if (found === undefined) throw new Error(`it must be one of ${TEMPLATE_KINDS.join(', ')}`);
  return found;
}

export const newCommand = buildCommand({
  loader: () => import('./run/new.js'),
  docs: {
    brief: 'Write a scenario, machine, catalogue or other file to start from, with comments',
    customUsage: ['[flags] <kind> <name>'],
    fullDescription: lines(
      'The file is valid as it stands and can be used at once. Its comments give every key with unit, limits,',
      'default and meaning; host/contract/generated/files.md has the same as a document. A scenario, machine or',
      'catalogue is written to its folder of the project, where commands find it by its name, other files to the',
      'current folder; a path is written as it is. Nothing is overwritten. For the mapping of a log that is there,',
      'use `import --new-map FILE LOG`.',
      '',
      'Exit code 0: written. 2: bad usage, or there is such a file.',
    ),
  },
  parameters: {
    positional: {
      kind: 'tuple',
      parameters: [
        { brief: `Kind of file: ${TEMPLATE_KINDS.join(', ')}`, parse: kindOf, placeholder: 'kind' },
        { brief: 'Name, or path of the file', parse: text, placeholder: 'name' },
      ],
    },
    flags: { print: toggle('Print the file instead of writing it'), json: jsonFlag },
  },
});
