import { buildCommand } from '@stricli/core';
import { jsonFlag, lines } from './flags.js';
import { LIST_KINDS } from './list-kinds.js';

export const listCommand = buildCommand({
  loader: () => import('./run/list.js'),
  docs: {
    brief: 'List vectors, scenarios, machines, signals, metrics, faults and more, with titles and units',
    customUsage: [`[flags] [${LIST_KINDS.join('|')}]`],
    fullDescription: lines(
      'Vectors, scenarios, machines and catalogues are files of the project, found by the names that are listed.',
      'Parameters, signals and faults are those of the contract, and metrics those that requirements may name; they',
      'come with latchbench. A file that is not valid is listed with its problem. Without a kind: what there is.',
      '',
      'Exit code 0: listed. 2: bad usage.',
    ),
  },
  parameters: {
    positional: {
      kind: 'tuple',
      parameters: [{ brief: `What to list: ${LIST_KINDS.join(', ')}`, parse: kindOf, placeholder: 'kind', optional: true }],
    },
    flags: { json: jsonFlag },
  },
});

function kindOf(value: string): (typeof LIST_KINDS)[number] {
  const found = LIST_KINDS.find((kind) => kind === value);
  if (found === undefined) throw new Error(`it must be one of ${LIST_KINDS.join(', ')}`);
  return found;
}
