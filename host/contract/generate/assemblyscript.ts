import { CHANNELS } from '../../../shared/channels.js';
import type { Fault } from '../../../shared/faults.js';
import { CHANNEL_KINDS, PREVIEW_S, PREVIEW_SAMPLES } from '../../../shared/limits.js';
import { ATMOSPHERE_KPA } from '../../../shared/physics.js';
import type { Each } from '../../../shared/records.js';
import type { Contract } from '../contract.js';
import { countInRow, type Place, type RecordLayout } from '../layout.js';
import { CHECKS, ENUMS } from '../tables.js';

export const NOTE = '// Written from shared/ by `npm run contract`. Do not edit.\n';

export const constantCase = (name: string): string => name.replace(/([a-z0-9])([A-Z])/g, '$1_$2').toUpperCase();
export const capitalized = (name: string): string => name.charAt(0).toUpperCase() + name.slice(1);

export function recordClass(record: RecordLayout): string {
  const fields = record.fields.map(
    (field) => `  /** ${field.help}. Unit: ${field.unit}. Offset ${field.offset}. */\n  ${field.name}: ${field.type};`,
  );
  return [
    `/** ${record.help}. ${record.size} bytes. */`,
    '@unmanaged',
    '@final',
    `export class ${record.name} {`,
    fields.join('\n'),
    '}',
    `export const ${constantCase(record.name)}_BYTES: usize = ${record.size};`,
  ].join('\n');
}

/** Number of records of a place that do not belong to a row, as an expression. */
const BANK_COUNT = { bank: '1', channelKind: `${CHANNEL_KINDS}`, bankFault: 'BANK_FAULTS', rowFaultKind: 'ROW_FAULTS' } as const;

/** Number of records that each row has at a place, as an expression. */
const rowCountOf = (each: Each): string => (each === 'rowFault' ? 'ROW_FAULTS' : `${countInRow(each)}`);

function countOfPlace({ each, stride }: Place): string {
  if (stride !== undefined) return rowCountOf(each);
  return each in BANK_COUNT ? BANK_COUNT[each as keyof typeof BANK_COUNT] : `ROWS_MAX * ${rowCountOf(each)}`;
}

/** Address of a place as an expression of the previous one, so that the compiler packs a build for fewer rows. */
function placeAddress(place: Place, before: Place | undefined, contract: Contract): string {
  const name = `${constantCase(place.name)}_AT`;
  if (before === undefined) return `export const ${name}: usize = ${place.at};`;
  const bytes = `${constantCase(before.record)}_BYTES * (${countOfPlace(before)})`;
  const size = contract.records.find((record) => record.name === before.record)?.size ?? 0;
  const start = `${constantCase(before.name)}_AT + ${bytes}`;
  return `export const ${name}: usize = ${size % 4 === 0 ? start : `(${start} + 3) & ~3`};`;
}

function accessor(place: Place): string {
  const { name, record, each, stride } = place;
  const at = `${constantCase(name)}_AT`;
  const step = `${constantCase(record)}_BYTES`;
  if (stride === undefined) {
    if (each === 'bank') return `export function ${name}(): ${record} {\n  return changetype<${record}>(${at});\n}`;
    return `export function ${name}(index: i32): ${record} {\n  return changetype<${record}>(${at} + <usize>index * ${step});\n}`;
  }
  const row = `${at} + <usize>row * ROW_STATE_BYTES`;
  if (each === 'row') return `export function ${name}(row: i32): ${record} {\n  return changetype<${record}>(${row});\n}`;
  return `/** \`which\`: of those of the row, from 0. */\nexport function ${name}(row: i32, which: i32): ${record} {\n  return changetype<${record}>(${row} + <usize>which * ${step});\n}`;
}

/** Where the rows' blocks start, how long one is, and where the last one ends. */
function rowStateBlock({ places }: Contract): string {
  const first = places.find(({ stride }) => stride !== undefined);
  if (first?.stride === undefined) throw new Error('rows have no state');
  return [
    `/** State of the rows, one block per row. */\nexport const ROW_STATE_AT: usize = ${constantCase(first.name)}_AT;`,
    `export const ROW_STATE_BYTES: usize = ${first.stride};`,
    '/** First byte after the last record. */\nexport const RECORDS_END: usize = ROW_STATE_AT + ROW_STATE_BYTES * ROWS_MAX;',
  ].join('\n');
}

function recordsFile(contract: Contract): string {
  const places = contract.places;
  const faultCount = (scope: string): number => contract.faults.filter((fault) => fault.scope === scope).length;
  return [
    NOTE,
    `/** Maximum number of rows of this build; \`--use ROWS=24\` makes a smaller one. */\nexport const ROWS_MAX: i32 = isDefined(ROWS) ? ROWS : ${contract.rowsMax};`,
    `/** Standard atmosphere, kPa (ISO 2533:1975). */\nexport const ATMOSPHERE_KPA: f32 = ${ATMOSPHERE_KPA};`,
    `/** Time by which soilAheadN is ahead of the row, s, and the values of it that a row keeps for that time. */\nexport const PREVIEW_S: f32 = ${PREVIEW_S};\nexport const PREVIEW_SAMPLES: i32 = ${PREVIEW_SAMPLES};`,
    `export const BANK_FAULTS: i32 = ${faultCount('bank')};\nexport const ROW_FAULTS: i32 = ${faultCount('row')};`,
    ...contract.records.map(recordClass),
    "// Memory map: parameters, derived, inputs, outputs, probes, the bank's state, then one block of state per row.",
    places.map((place, index) => placeAddress(place, places[index - 1], contract)).join('\n'),
    rowStateBlock(contract),
    ...places.map(accessor),
  ].join('\n\n');
}

const constant = (name: string, value: number | string): string => `  export const ${name}: u32 = ${value};`;
const maskOf = (faults: readonly Fault[]): number => faults.reduce((sum, { code }) => sum + 2 ** code, 0);

/** Fault bits of a scope, masks by reaction, and shift and mask of each channel's checks. */
function faultNamespace(contract: Contract, scope: Fault['scope']): string {
  const faults = contract.faults.filter((fault) => fault.scope === scope);
  const bits = faults.map((fault) => `  /** ${fault.help}. */\n${constant(capitalized(fault.name), `1 << ${fault.code}`)}`);
  const reactions = [...new Set(faults.map(({ reaction }) => reaction))].map((reaction) => {
    const mask = maskOf(faults.filter((fault) => fault.reaction === reaction));
    return `  /** All with reaction ${reaction}. */\n${constant(`ANY_${reaction.toUpperCase()}`, mask)}`;
  });
  const channels = CHANNELS.filter((channel) => channel.scope === scope).map(({ name }) => {
    const checks = CHECKS.map((check) => faults.find((fault) => fault.name === name + check.name) as Fault);
    const codes = checks.map(({ code }) => code);
    if (codes.some((code, index) => code !== (codes[0] ?? 0) + index))
      throw new Error(`the checks of channel ${name} are not consecutive bits`);
    const comment = `  /** Checks of channel ${name}: from Check to fault bits, and all of them. */`;
    return `${comment}\n${constant(`${name.toUpperCase()}_SHIFT`, codes[0] ?? 0)}\n${constant(`ANY_${name.toUpperCase()}`, maskOf(checks))}`;
  });
  return `export namespace ${capitalized(scope)}Fault {\n${[...bits, ...reactions, ...channels].join('\n')}\n}`;
}

function checkNamespace(): string {
  const bits = CHECKS.map(({ name, help }, index) => `  /** ${capitalized(help)}. */\n${constant(name, `1 << ${index}`)}`);
  return `/** Checks of an analog channel, as bits. */\nexport namespace Check {\n${bits.join('\n')}\n}`;
}

function enumsFile(contract: Contract): string {
  const enums = Object.entries(ENUMS).map(([name, values]) => {
    const constants = values.map((value, index) => `  export const ${capitalized(value)}: u8 = ${index};`);
    return `export namespace ${name} {\n${constants.join('\n')}\n}`;
  });
  const faults = (['bank', 'row'] as const).map((scope) => faultNamespace(contract, scope));
  return [NOTE, ...enums, checkNamespace(), ...faults].join('\n\n');
}

/** Runs of parameter numbers whose change needs a restart, as a condition. */
function restartCondition(contract: Contract): string {
  const runs: [first: number, last: number][] = [];
  for (const [index, { needsRestart }] of contract.parameters.entries()) {
    if (needsRestart !== true) continue;
    const run = runs.at(-1);
    if (run?.[1] === index) run[1] = index + 1;
    else runs.push([index + 1, index + 1]);
  }
  return runs.map(([first, last]) => `(number >= ${first} && number <= ${last})`).join(' ||\n    ');
}

function parametersFile(contract: Contract): string {
  const numberOf = (name: string): number => contract.parameters.findIndex((one) => one.name === name) + 1;
  const defaults = contract.parameters.map((one) => `  p.${one.name} = ${one.default};`);
  const limits = contract.parameters.map((one, index) => {
    const lower = one.type === 'u32' && one.min === 0 ? '' : `p.${one.name} >= ${one.min} && `;
    return `  if (!(${lower}p.${one.name} <= ${one.max})) return ${index + 1};`;
  });
  const rules = contract.rules.map((rule) => `  if (!(p.${rule.left} ${rule.is} p.${rule.right})) return ${numberOf(rule.left)};`);
  const faultTimes = contract.faults.map((fault) => {
    const at = `${fault.scope}FaultSetting(${fault.code})`;
    return `  setFaultTimes(${at}, ${fault.debounceMs}, ${fault.recoveryMs}, tickMs);`;
  });
  return [
    NOTE,
    "import { bankFaultSetting, FaultSetting, Parameters, rowFaultSetting } from './records';",
    `export function writeDefaults(p: Parameters): void {\n${defaults.join('\n')}\n}`,
    `/** Returns the number of the first parameter that is outside its limits or breaks a rule, 0 if none. NaN is outside. */\nexport function firstBadParameter(p: Parameters): i32 {\n${[...limits, ...rules].join('\n')}\n  return 0;\n}`,
    `export const PARAMETER_COUNT: i32 = ${contract.parameters.length};\n\n/** Whether a change of the parameter with this number needs configure(). */\nexport function needsRestart(number: i32): bool {\n  return (\n    ${restartCondition(contract)}\n  );\n}`,
    'function setFaultTimes(setting: FaultSetting, debounceMs: f32, recoveryMs: f32, tickMs: f32): void {\n  setting.debounceTicks = <u16>max<i32>(1, <i32>nearest<f32>(debounceMs / tickMs));\n  setting.recoveryTicks = recoveryMs == 0 ? 0 : <u16>max<i32>(1, <i32>nearest<f32>(recoveryMs / tickMs));\n}',
    `export function writeFaultSettings(tickMs: f32): void {\n${faultTimes.join('\n')}\n}`,
  ].join('\n\n');
}

/** Names the contract that a file was written from, as its second line. */
export const contractNote = ({ hash }: Pick<Contract, 'hash'>): string => `// Contract ${hash}.`;

/** The AssemblyScript side of the contract: path below assembly/controller/generated → text. */
export function writeAssemblyScript(contract: Contract): Record<string, string> {
  const noted = (text: string): string => `${text.replace(NOTE, `${NOTE}${contractNote(contract)}\n`)}\n`;
  return {
    'records.ts': noted(recordsFile(contract)),
    'enums.ts': noted(enumsFile(contract)),
    'parameters.ts': noted(parametersFile(contract)),
  };
}
