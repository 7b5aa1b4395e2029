import { REACTIONS } from '../../../shared/faults.js';
import { UNITS } from '../../../shared/units.js';
import type { Contract } from '../contract.js';

export const table = (head: readonly string[], rows: readonly (readonly string[])[]): string =>
  [head, head.map(() => '---'), ...rows].map((cells) => `| ${cells.join(' | ')} |`).join('\n');

const unitSymbol = (unit: keyof typeof UNITS): string => UNITS[unit].symbol;

/** Returns a table of fields for each record that is recorded. */
const recordTables = (contract: Contract): string[] =>
  contract.records
    .filter((record) => record.kind === 'input' || record.kind === 'output' || record.kind === 'probe')
    .flatMap((record) => [
      `### ${record.name}`,
      `${record.help}. ${record.size} bytes.`,
      table(
        ['offset', 'field', 'type', 'unit', 'meaning'],
        record.fields.map((field) => [
          `${field.offset}`,
          `\`${field.name}\``,
          field.type,
          unitSymbol(field.unit),
          field.values === undefined
            ? field.help
            : `${field.help}: ${contract.enums[field.values]?.map((word, index) => `${index} ${word}`).join(', ')}`,
        ]),
      ),
    ]);

/** Returns the contract as Markdown tables. */
export function writeTables(contract: Contract): string {
  const parameters = contract.parameters.map((one, index) => {
    const words = one.choices?.map((word, value) => `${value} ${word}`).join(', ');
    const limits = words === undefined ? [`${one.min}`, `${one.max}`] : ['', ''];
    const help = words === undefined ? one.help : `${one.help} (${words})`;
    const defaultValue = one.choices?.[one.default] ?? `${one.default}`;
    return [
      `${index + 1}`,
      one.group,
      `\`${one.name}\``,
      unitSymbol(one.unit),
      ...limits,
      defaultValue,
      one.needsRestart === true ? 'yes' : '',
      help,
    ];
  });
  const faults = contract.faults.map((fault) => [
    fault.scope,
    `${fault.code}`,
    `\`${fault.name}\``,
    `${fault.fmi}`,
    fault.reaction,
    `${fault.debounceMs}`,
    fault.recoveryMs === 0 ? 'restart' : `${fault.recoveryMs}`,
    fault.help,
  ]);
  return [
    '<!-- Written from shared/ by `npm run contract`. Do not edit. -->',
    '# The contract',
    '## Parameters',
    'Restart `yes`: `reconfigure()` refuses a change, `configure()` is needed.',
    table(['no.', 'group', 'name', 'unit', 'min', 'max', 'default', 'restart', 'meaning'], parameters),
    '## Faults',
    'FMI is the failure mode identifier of SAE J1939-73. Recovery `restart`: the fault is latched until a restart.',
    table(
      ['reaction', 'meaning'],
      Object.entries(REACTIONS).map(([name, meaning]) => [name, meaning]),
    ),
    table(['scope', 'bit', 'name', 'FMI', 'reaction', 'debounce ms', 'recovery ms', 'meaning'], faults),
    '## Records',
    ...recordTables(contract),
    '',
  ].join('\n\n');
}
