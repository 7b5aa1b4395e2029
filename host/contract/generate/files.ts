import { PLANT_RECORDS, type PlantTable } from '../../../shared/plant.js';
import { UNITS } from '../../../shared/units.js';
import { METRICS } from '../../assess/metrics.js';
import { type Key, type KeyMapping, keyMappings } from '../../common/schema-keys.js';
import { FILE_KINDS, type FileKind, type FileKindName } from '../../files/kinds.js';
import { EVENTS, keysOf, valueKeys } from '../../simulate/events.js';
import { describeContract } from '../contract.js';
import { table } from './tables.js';

/** A bar would end a cell. */
const cell = (text: string): string => text.replaceAll('|', '\\|').replaceAll(/\s+/g, ' ');

const keyRow = ({ name, isRequired, unit, allowed, default: byDefault, meaning }: Key): string[] => [
  `\`${name}\`${isRequired ? ' (required)' : ''}`,
  unit,
  cell(allowed),
  cell(byDefault),
  cell(meaning),
];

/** A mapping within a file, as a section with a table of its keys. */
const mappingTable = ({ path, description, keys }: KeyMapping): string[] => [
  ...(path === '' ? [] : [`### ${path}`, ...(description === '' ? [] : [`${description}.`])]),
  table(['key', 'unit', 'allowed', 'default', 'meaning'], keys.map(keyRow)),
];

/** One line for each event: what it acts on, its keys, and what happens. */
const eventTable = (): string =>
  table(
    ['event', 'acts on', 'its keys besides `atS` and `what`', 'meaning'],
    EVENTS.map((kind) => {
      const values = valueKeys(kind).map((one) => [one.name, `${one.min} to ${one.max} ${UNITS[one.unit].symbol}`.trimEnd(), one] as const);
      const keys = keysOf(kind)
        .filter((name) => name !== 'atS' && name !== 'what')
        .map((name) => {
          const [, limits, one] = values.find(([other]) => other === name) ?? [];
          return one === undefined ? `\`${name}\`` : `\`${name}\` ${limits}, default ${one.default}: ${one.help}`;
        });
      return [`\`${kind.what}\``, kind.scope, keys.join('; '), kind.help];
    }),
  );

const metricTable = (): string =>
  table(
    ['metric', 'of', 'unit', 'over rows', 'meaning'],
    METRICS.map((one) => [`\`${one.name}\``, one.scope, UNITS[one.unit].symbol, one.scope === 'row' ? one.over : '', cell(one.help)]),
  );

/** Tables of the true signals of a simulation, one per record. */
const truthTables = ({ name, help, fields }: PlantTable): string[] => [
  `### ${name}`,
  `${help}.`,
  table(
    ['signal', 'unit', 'meaning'],
    fields.map((field) => [`\`${field.name}\``, UNITS[field.unit].symbol, field.help]),
  ),
];

/** What a scenario's tables need besides the keys. */
const ofScenario = (): string[] => [
  '### Kinds of events',
  'An event without `forS` lasts to the end of the run, unless its meaning says otherwise. Where one has a `row`, that is a row, a list of rows, or `all`.',
  eventTable(),
  '### Metrics',
  'What requirements may name. `latchbench simulate` prints them; those of load and depth also for each segment of the field.',
  metricTable(),
];

function kindSection(name: FileKindName): string[] {
  const { title, about, schema }: FileKind = FILE_KINDS[name];
  const head = [`## ${title}`, `${about}.`];
  // The contract's own document has them.
  if (name === 'parameters') return [...head, 'The keys are the parameters in [contract.md](contract.md).'];
  const mappings = keyMappings(schema(describeContract()));
  return [...head, ...mappings.flatMap(mappingTable), ...(name === 'scenario' ? ofScenario() : [])];
}

/** Returns files.md: every key of every file that a person writes, and the true signals of a simulation. */
export function writeFileTables(): string {
  const names = Object.keys(FILE_KINDS) as FileKindName[];
  return [
    '<!-- Written from the schemas by `npm run contract`. Do not edit. -->',
    '# Files',
    `Every key of the files that people write (YAML), from the schemas that check them. \`latchbench new ${names.filter((name) => name !== 'case').join('|')} NAME\` writes one to start from. A key that is not required may be left out. A quantity is a number in the unit that its name ends with, or text with another unit, such as \`"12 bar"\`; its limits apply after the conversion.`,
    ...names.flatMap(kindSection),
    '## True signals',
    'True values of a simulation, which the controller does not get.',
    ...PLANT_RECORDS.filter(({ kind }) => kind === 'truth').flatMap(truthTables),
    '',
  ].join('\n\n');
}
