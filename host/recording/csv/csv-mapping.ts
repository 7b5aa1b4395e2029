import type { Field, FieldType } from '../../../shared/records.js';
import { INSTANT_RULE, parseInstant } from '../../common/instant.js';
import { oncePer } from '../../common/once.js';
import { TEXT } from '../../common/text-schema.js';
import { type Conversion, combine, convertibleSymbols, convertibleUnits, findConversion } from '../../common/unit-conversion.js';
import { readYaml, type YamlFile } from '../../common/yaml-file.js';
import { type Contract, type ParameterValues, recordOf } from '../../contract/contract.js';
import { isSignal } from '../../contract/fields.js';
import type { RecordLayout } from '../../contract/layout.js';
import { MESSAGES } from '../../contract/messages.js';
import { parameterProperties } from '../../contract/parameter-schema.js';
import { checkRules, parameterValue, valuesOf, type WrittenParameters } from '../../contract/parameter-values.js';
import { ratiometricSensor } from '../../contract/ratiometric.js';

/** One entry of `signals:` in a mapping file: value = (column or value) · scale + offset, in `unit`. */
interface Entry {
  readonly signal: string;
  readonly row?: number | 'all';
  readonly column?: string;
  readonly value?: number;
  readonly unit?: string;
  readonly scale?: number;
  readonly offset?: number;
}

/** A mapping file: how the columns of a CSV file become input messages. */
interface MapFile {
  readonly rows: number;
  readonly tickHz?: number;
  readonly time?: { readonly column: string; readonly unit?: string; readonly format?: 'date'; readonly since?: string };
  readonly rate?: { readonly hz: number; readonly since?: string };
  readonly gapMs?: number;
  readonly parameters?: WrittenParameters;
  readonly about?: Readonly<Record<string, string>>;
  readonly signals: readonly Entry[];
}

/** Where the values of a signal come from, how they are converted, and where they are stored. */
export interface Assignment {
  /** `railCounts`, `loadCounts[3]`, or `loadCounts` for all rows. */
  readonly signal: string;
  readonly type: FieldType;
  /** Bytes from the payload's start. */
  readonly offsets: readonly number[];
  readonly conversion: Conversion;
  readonly source: { readonly column: string } | { readonly value: number };
  /** Position in the mapping file's list; undefined for a default. */
  readonly index?: number;
  /** Of a default: its value and unit as text. */
  readonly defaultText?: string;
}

export interface CsvMapping {
  readonly yaml: YamlFile<unknown>;
  readonly rows: number;
  readonly tickHz: number;
  /** The column of the time; without a conversion its cells are dates. */
  readonly time?: { readonly column: string; readonly toSeconds?: Conversion };
  readonly rateHz?: number;
  /** Instant of time 0, ns since 1970, if it is known. */
  readonly sinceNs?: bigint;
  readonly gapMs?: number;
  readonly about: Readonly<Record<string, string>>;
  readonly assignments: readonly Assignment[];
}

/** `loadCounts[3]` for one row, otherwise the name alone. */
const nameOf = ({ signal, row }: Entry): string => (typeof row === 'number' ? `${signal}[${row}]` : signal);

const TARGET: Entry = { signal: 'targetLoadN', value: 450, unit: 'N' };

/**
 * Defaults of inputs that the mapping omits: a bank at work without faults, the load on target and the rail at its nominal
 * pressure; these two are filled in below. A bank's entry comes before a row's of the same name.
 */
const DEFAULTS: readonly Entry[] = [
  { signal: 'lowered', value: 1 },
  { signal: 'enabled', value: 1 },
  { signal: 'shutDown', value: 0 },
  { signal: 'supplyMv', value: 12800, unit: 'mV' },
  { signal: 'reservoirMv', value: 12800, unit: 'mV' },
  { signal: 'oilTemperatureC', value: 40, unit: '°C' },
  { signal: 'groundSpeedMmPerS', value: 3000, unit: 'mm/s' },
  { signal: 'pressureCounts', row: 'all', value: 4500, unit: 'kPa' },
  { signal: 'accelerationCounts', row: 'all', value: 0, unit: 'm/s²' },
  { signal: 'soilAheadN', row: 'all', value: 0, unit: 'N' },
  { signal: 'enabled', row: 'all', value: 1 },
];

/** No number of a machine is larger, in any unit: 1 km is 10¹² nm. */
export const NUMBER_MAX = 1e12;
const LIMITED = { type: 'number', minimum: -NUMBER_MAX, maximum: NUMBER_MAX } as const;

const mappingSchema = oncePer((contract: Contract): object => {
  const records = [MESSAGES.input.bank, MESSAGES.input.row].map((name) => recordOf(contract, name));
  const signals = new Set(records.flatMap(({ fields }) => fields.filter(isSignal).map(({ name }) => name)));
  const { tickHz, parameters } = parameterProperties(contract);
  const mapping = (required: readonly string[], properties: object): object => ({
    type: 'object',
    properties,
    required,
    additionalProperties: false,
  });
  return mapping(['rows', 'signals'], {
    rows: { type: 'integer', minimum: 1, maximum: contract.rowsMax },
    tickHz,
    time: mapping(['column'], {
      column: TEXT,
      unit: { type: 'string', enum: convertibleUnits('second') },
      format: { type: 'string', enum: ['date'] },
      since: TEXT,
    }),
    rate: mapping(['hz'], { hz: { type: 'number', minimum: 1e-6, maximum: 1e6, unit: 'Hz' }, since: TEXT }),
    gapMs: { type: 'number', minimum: 0, maximum: 1e9, unit: 'ms' },
    parameters,
    about: { type: 'object', additionalProperties: TEXT },
    signals: {
      type: 'array',
      items: mapping(['signal'], {
        signal: { type: 'string', enum: [...signals] },
        row: { anyOf: [{ type: 'integer', minimum: 1, maximum: contract.rowsMax }, { const: 'all' }] },
        column: TEXT,
        value: LIMITED,
        unit: TEXT,
        scale: LIMITED,
        offset: LIMITED,
      }),
    },
  });
});

/** Turns entries into assignments and checks that no input is assigned twice. */
class Assigner {
  readonly #bank: RecordLayout;
  readonly #row: RecordLayout;
  readonly #contract: Contract;
  readonly #yaml: YamlFile<MapFile>;
  readonly values: ParameterValues;
  readonly #assigned = new Set<number>();

  constructor(contract: Contract, yaml: YamlFile<MapFile>) {
    this.#contract = contract;
    this.#yaml = yaml;
    this.values = valuesOf(yaml.value.parameters ?? {}, contract);
    this.#bank = recordOf(contract, MESSAGES.input.bank);
    this.#row = recordOf(contract, MESSAGES.input.row);
  }

  /** @throws InputError if an entry contradicts itself, the number of rows or another entry */
  assign(entry: Entry, index: number): Assignment {
    this.#checkSource(entry, index);
    const { field, offsets } = this.#target(entry, index);
    if (offsets.some((offset) => this.#assigned.has(offset))) {
      throw this.#yaml.errorAt(['signals', index, 'signal'], { problem: `${nameOf(entry)} is mapped twice` });
    }
    return this.#make(entry, field, offsets, this.#conversion(entry, field, index), { index });
  }

  /** Assigns a default to the offsets that are still free; returns undefined if there are none. */
  assignDefault(entry: Entry): Assignment | undefined {
    const { field, offsets } = this.#target(entry, -1);
    const free = offsets.filter((offset) => !this.#assigned.has(offset));
    if (free.length === 0) return undefined;
    const defaultText = entry.column === undefined ? `${entry.value} ${entry.unit ?? ''}`.trim() : 'equal to the target';
    return this.#make(entry, field, free, this.#conversion(entry, field, -1), { defaultText });
  }

  #make(
    entry: Entry,
    { type }: Field,
    offsets: number[],
    conversion: Conversion,
    more: { index: number } | { defaultText: string },
  ): Assignment {
    for (const offset of offsets) this.#assigned.add(offset);
    const source = entry.column === undefined ? { value: entry.value ?? 0 } : { column: entry.column };
    return { signal: nameOf(entry), type, offsets, conversion, source, ...more };
  }

  #checkSource({ signal, column, value }: Entry, index: number): void {
    if ((column === undefined) !== (value === undefined)) return;
    const problem = column === undefined ? `${signal} has neither a column nor a value` : `${signal} has both a column and a value`;
    throw this.#yaml.errorAt(['signals', index, 'signal'], { problem });
  }

  /** A name that both the bank and its rows have means the bank's unless a row is given. */
  #target({ signal, row }: Entry, index: number): { field: Field; offsets: number[] } {
    const { rows } = this.#yaml.value;
    const inBank = this.#bank.fields.find((field) => field.name === signal);
    const inRow = this.#row.fields.find((field) => field.name === signal);
    if (inBank !== undefined && (row === undefined || inRow === undefined)) {
      if (row === undefined) return { field: inBank, offsets: [inBank.offset] };
      throw this.#yaml.errorAt(['signals', index, 'row'], { problem: `${signal} is a signal of the bank; it has no row` });
    }
    if (inRow === undefined) throw new Error(`neither bank nor row has an input ${signal}`);
    const offsetOf = (number: number): number => this.#bank.size + (number - 1) * this.#row.size + inRow.offset;
    if (typeof row === 'number' && row > rows)
      throw this.#yaml.errorAt(['signals', index, 'row'], { allowed: rows === 1 ? '1 or all' : `between 1 and ${rows}, or all` });
    const numbers = typeof row === 'number' ? [row] : Array.from({ length: rows }, (_, one) => one + 1);
    return { field: inRow, offsets: numbers.map(offsetOf) };
  }

  #conversion({ scale = 1, offset = 0, unit }: Entry, field: Field, index: number): Conversion {
    const scaled: Conversion = { gain: scale, bias: offset };
    if (unit === undefined) return scaled;
    const direct = findConversion(unit, field.unit);
    const sensor = ratiometricSensor(field.name, this.#contract, this.values);
    if (direct !== undefined && (sensor === undefined || unit === 'count' || unit === 'counts')) return combine(scaled, direct);
    const physical = sensor === undefined ? undefined : findConversion(unit, sensor.unit);
    if (sensor !== undefined && physical !== undefined) return combine(combine(scaled, physical), sensor.toCounts);
    const allowed = sensor === undefined ? convertibleSymbols(field.unit) : ['counts', ...convertibleSymbols(sensor.unit)];
    throw this.#yaml.errorAt(['signals', index, 'unit'], { problem: `${field.name} cannot have the unit ${unit}`, allowed });
  }
}

function assignAll(contract: Contract, yaml: YamlFile<MapFile>): Assignment[] {
  const assigner = new Assigner(contract, yaml);
  const { signals } = yaml.value;
  const given = signals.map((entry, index) => assigner.assign(entry, index));
  const { row: _, ...target } = signals.find((entry) => entry.signal === TARGET.signal) ?? TARGET;
  const defaults: Entry[] = [
    TARGET,
    { signal: 'railCounts', value: parameterValue('railNominalKpa', contract, assigner.values), unit: 'kPa' },
    { ...target, signal: 'loadCounts', row: 'all', unit: target.unit ?? 'N' },
    ...DEFAULTS,
  ];
  return [...given, ...defaults.map((entry) => assigner.assignDefault(entry)).filter((one) => one !== undefined)];
}

/** @throws InputError unless exactly one of `time` and `rate` is given */
function checkClock(yaml: YamlFile<MapFile>): void {
  const { time, rate } = yaml.value;
  if ((time === undefined) !== (rate === undefined)) return;
  if (time === undefined) throw yaml.errorAt([], { problem: 'time and rate are both missing; the mapping file must have one of them' });
  throw yaml.errorAt(['rate'], { problem: 'time and rate are both given; the mapping file must have only one of them' });
}

type Clock = Pick<CsvMapping, 'time' | 'rateHz' | 'sinceNs'>;

/** @throws InputError if `since` is not a date, or the column holds dates itself */
function readClock(yaml: YamlFile<MapFile>): Clock {
  checkClock(yaml);
  const { time, rate } = yaml.value;
  const since = time?.since ?? rate?.since;
  const sinceNs = since === undefined ? undefined : parseInstant(since);
  if (since !== undefined && sinceNs === undefined)
    throw yaml.errorAt([time === undefined ? 'rate' : 'time', 'since'], { allowed: INSTANT_RULE });
  const start = sinceNs === undefined ? {} : { sinceNs };
  if (time === undefined) return { ...start, ...(rate === undefined ? {} : { rateHz: rate.hz }) };
  const { column, unit, format } = time;
  if (format === undefined) {
    const toSeconds = findConversion(unit ?? 's', 'second');
    if (toSeconds === undefined) throw new Error(`the schema let ${unit} pass`);
    return { ...start, time: { column, toSeconds } };
  }
  const second = unit === undefined ? 'since' : 'unit';
  if (time[second] !== undefined) throw yaml.errorAt(['time', second], { problem: `a column of dates has no ${second}` });
  return { time: { column } };
}

/** Reads a mapping file. @throws InputError with line and column */
export function readCsvMapping(file: string, contract: Contract): CsvMapping {
  const yaml = readYaml<MapFile>(file, mappingSchema(contract));
  const { rows, tickHz = parameterValue('tickHz', contract, {}), gapMs, parameters = {}, about = {} } = yaml.value;
  checkRules(valuesOf(parameters, contract), contract, yaml, (name) => ['parameters', name]);
  return {
    yaml,
    rows,
    tickHz,
    ...readClock(yaml),
    ...(gapMs === undefined ? {} : { gapMs }),
    about,
    assignments: assignAll(contract, yaml),
  };
}
