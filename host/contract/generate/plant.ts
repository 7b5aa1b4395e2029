import { FIELD, PROFILE_STEP_M, ROAD_REFERENCE_PER_M } from '../../../shared/field.js';
import { PREVIEW_S } from '../../../shared/limits.js';
import { MACHINE, type Part, type Quantity } from '../../../shared/machine.js';
import { ATMOSPHERE_KPA, GRAVITY_MPS2, ZERO_C_K } from '../../../shared/physics.js';
import { PLANT_ENUMS, PLANT_RECORDS, type PlantTable, RING, SECTIONS, SOIL_LEAD, SOIL_POINTS, WINDOW } from '../../../shared/plant.js';
import { SIZING } from '../../../shared/sizing.js';
import { UNITS } from '../../../shared/units.js';
import { DRIVE_KEYS, SWITCHES } from '../../simulate/drive.js';
import { EVENTS, valueKeys } from '../../simulate/events.js';
import { PLANT_LAYOUT, type PlantPlace } from '../plant-layout.js';
import { capitalized, NOTE, recordClass } from './assemblyscript.js';
import { table } from './tables.js';

function accessor({ name, record, each, at }: PlantPlace): string {
  if (each === 'bank') return `export function ${name}(): ${record.name} {\n  return changetype<${record.name}>(${at});\n}`;
  const step = `<usize>index * ${record.size}`;
  return `export function ${name}(index: i32): ${record.name} {\n  return changetype<${record.name}>(<usize>${at} + ${step});\n}`;
}

/** Returns the AssemblyScript source of the plant's records. */
export function writePlant(): string {
  const enums = Object.entries(PLANT_ENUMS).map(([name, values]) => {
    const constants = values.map((value, index) => `  export const ${capitalized(value)}: f64 = ${index};`);
    return `export namespace ${name} {\n${constants.join('\n')}\n}`;
  });
  return `${[
    NOTE,
    `/** Standard atmosphere, Pa (ISO 2533:1975). */\nexport const ATMOSPHERE_PA: f64 = ${1000 * ATMOSPHERE_KPA};\n/** 0 °C, K. */\nexport const ZERO_C_K: f64 = ${ZERO_C_K};\n/** Standard gravity, m/s² (ISO 80000-3). */\nexport const GRAVITY_MPS2: f64 = ${GRAVITY_MPS2};`,
    `/** Points of a track that the interpolation uses. */\nexport const RING: i32 = ${RING};\n/** First-order sections of the waviness filter. */\nexport const SECTIONS: i32 = ${SECTIONS};\n/** Profile points under the largest gauge wheel. */\nexport const WINDOW: i32 = ${WINDOW};`,
    `/** Points of a track's soil that are kept. */\nexport const SOIL_POINTS: i32 = ${SOIL_POINTS};\n/** Points by which the soil is known ahead of the height. */\nexport const SOIL_LEAD: i64 = ${SOIL_LEAD};\n/** Time by which a preview is ahead of the row, s. */\nexport const PREVIEW_S: f64 = ${PREVIEW_S};`,
    `/** Distance between profile points, m. */\nexport const PROFILE_STEP_M: f64 = ${PROFILE_STEP_M};`,
    `/** Reference spatial frequency of ISO 8608, cycles/m. */\nexport const ROAD_REFERENCE_PER_M: f64 = ${ROAD_REFERENCE_PER_M};`,
    `/** Address of a height profile from a file. */\nexport const PROFILE_AT: usize = ${PLANT_LAYOUT.end};`,
    ...enums,
    ...PLANT_LAYOUT.records.map(recordClass),
    ...PLANT_LAYOUT.places.map(accessor),
  ].join('\n\n')}\n`;
}

const quantityRows = (quantities: readonly Quantity[]): string[][] =>
  quantities.map((one) => [`\`${one.name}\``, UNITS[one.unit].symbol, `${one.min}`, `${one.max}`, `${one.default}`, one.help]);

/** Tables of the true signals of a simulation, one per record. */
const truthTables = ({ name, help, fields }: PlantTable): string[] => [
  `### ${name}`,
  `${help}.`,
  table(
    ['signal', 'unit', 'meaning'],
    fields.map((field) => [`\`${field.name}\``, UNITS[field.unit].symbol, field.help]),
  ),
];

/** One line for each event: what it acts on, its own keys with limits and default, and what happens. */
const eventRows = (): string[][] =>
  EVENTS.map((kind) => {
    const keys = valueKeys(kind).map((one) => {
      const limits = [`${one.min} to ${one.max}`, UNITS[one.unit].symbol].join(' ').trim();
      return `\`${one.name}\` ${limits}, default ${one.default}: ${one.help}`;
    });
    return [`\`${kind.what}\``, kind.scope, keys.join('; '), kind.help];
  });

/** Returns machine.md: the quantities of machines, fields and drives, the events, and the true signals of a simulation, in tables. */
export function writeMachineTables(): string {
  const head = ['name', 'unit', 'min', 'max', 'default', 'meaning'];
  const partTables = ({ name, help, none, quantities }: Part): string[] => [
    `### ${name}`,
    `${help}.${none === undefined ? '' : ` A machine without it has \`${name}: none\`.`}`,
    table(head, quantityRows(quantities)),
  ];
  return [
    '<!-- Written from shared/ by `npm run contract`. Do not edit. -->',
    '# Machines and fields',
    'Quantities of a machine file, one mapping per part; then field, drive and events of a scenario.',
    '## The machine',
    ...MACHINE.flatMap(partTables),
    '## Sizing',
    'Parts of the machine file that only `latchbench size` uses.',
    ...SIZING.flatMap(partTables),
    '## The field',
    table(head, quantityRows(FIELD)),
    '## The drive',
    'Keys of the key points of a scenario.',
    table(head, [
      ...quantityRows(DRIVE_KEYS),
      ...SWITCHES.map((one) => [`\`${one.name}\``, '', 'false', 'true', `${one.default}`, one.help]),
    ]),
    '## Events',
    'An event of a row also has the key `row`, of a valve `row` and `valve`.',
    table(['event', 'acts on', 'keys', 'meaning'], eventRows()),
    '## True signals',
    'True values of a simulation, which the controller does not get.',
    ...PLANT_RECORDS.filter(({ kind }) => kind === 'truth').flatMap(truthTables),
    '',
  ].join('\n\n');
}
