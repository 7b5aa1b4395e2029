import type { Field, FieldType } from '../../../shared/records.js';
import type { UnitName } from '../../../shared/units.js';
import { chain, type Line, lineBetween, wordsFor } from '../../common/unit-conversion.js';
import { readYaml, type YamlFile } from '../../common/yaml-file.js';
import { type Contract, type ParameterValues, recordOf } from '../../contract/contract.js';
import { isSignal } from '../../contract/fields.js';
import type { LaidRecord } from '../../contract/layout.js';
import { MESSAGES } from '../../contract/messages.js';
import { parameterProperties } from '../../contract/parameter-schema.js';
import { checkRules, valuesOf, type WrittenParameters } from '../../contract/parameter-values.js';
import { inForce, sensorOf } from '../../contract/ratiometric.js';

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
  readonly time?: { readonly column: string; readonly unit?: string };
  readonly rate?: { readonly hz: number };
  readonly gapMs?: number;
  readonly parameters?: WrittenParameters;
  readonly about?: Readonly<Record<string, string>>;
  readonly signals: readonly Entry[];
}

/** Where a number goes, and how it becomes what is stored there. */
export interface Assignment {
  /** `railCounts`, `loadCounts[3]`, or `loadCounts` for all rows. */
  readonly signal: string;
  readonly type: FieldType;
  /** Bytes from the payload's start. */
  readonly places: readonly number[];
  readonly line: Line;
  readonly source: { readonly column: string } | { readonly value: number };
  /** Place in the mapping file's list; undefined for a default. */
  readonly index?: number;
  /** Of a default: what it is, in words. */
  readonly words?: string;
}

export interface CsvMap {
  readonly yaml: YamlFile<unknown>;
  readonly rows: number;
  readonly tickHz: number;
  readonly time?: { readonly column: string; readonly toSeconds: Line };
  readonly rateHz?: number;
  readonly gapMs?: number;
  readonly about: Readonly<Record<string, string>>;
  readonly assignments: readonly Assignment[];
}

const TARGET: Entry = { signal: 'targetLoadN', value: 450, unit: 'N' };

/**
 * What inputs take that the mapping leaves out: a bank at work with everything in order. The load is on its target
 * and the rail at its nominal pressure; both are filled in below. A bank's entry comes before a row's of the same name.
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
  { signal: 'enabled', row: 'all', value: 1 },
];

function mappingSchema(contract: Contract, signals: readonly string[]): object {
  const { tickHz, parameters } = parameterProperties(contract);
  const word = { type: 'string', minLength: 1, maxLength: 2000 };
  const mapping = (required: readonly string[], of: object): object => ({
    type: 'object',
    properties: of,
    required,
    additionalProperties: false,
  });
  return mapping(['rows', 'signals'], {
    rows: { type: 'integer', minimum: 1, maximum: contract.rowsMax },
    tickHz,
    time: mapping(['column'], { column: word, unit: { type: 'string', enum: wordsFor('second') } }),
    rate: mapping(['hz'], { hz: { type: 'number', minimum: 1e-6, maximum: 1e6, unit: 'Hz' } }),
    gapMs: { type: 'number', minimum: 0, maximum: 1e9, unit: 'ms' },
    parameters,
    about: { type: 'object', additionalProperties: word },
    signals: {
      type: 'array',
      items: mapping(['signal'], {
        signal: { type: 'string', enum: signals },
        row: { anyOf: [{ type: 'integer', minimum: 1, maximum: contract.rowsMax }, { const: 'all' }] },
        column: word,
        value: { type: 'number' },
        unit: word,
        scale: { type: 'number' },
        offset: { type: 'number' },
      }),
    },
  });
}

/** Turns entries into assignments and sees to it that no input is assigned twice. */
class Assigner {
  readonly #bank: LaidRecord;
  readonly #row: LaidRecord;
  readonly #contract: Contract;
  readonly #yaml: YamlFile<MapFile>;
  readonly values: ParameterValues;
  readonly #taken = new Set<number>();

  constructor(contract: Contract, yaml: YamlFile<MapFile>) {
    this.#contract = contract;
    this.#yaml = yaml;
    this.values = valuesOf(yaml.value.parameters ?? {}, contract);
    this.#bank = recordOf(contract, MESSAGES.input.bank);
    this.#row = recordOf(contract, MESSAGES.input.row);
  }

  /** @throws InputError when an entry contradicts itself, the number of rows or another entry. */
  assign(entry: Entry, index: number): Assignment {
    this.#checkSource(entry, index);
    const { field, places } = this.#target(entry, index);
    if (places.some((place) => this.#taken.has(place))) {
      throw this.#yaml.wrong(['signals', index, 'signal'], 'second mapping of signal', 'each signal once for a row');
    }
    return this.#made(entry, field, places, this.#line(entry, field, index), { index });
  }

  /** A default for the places that are still free; undefined when there are none. */
  assignDefault(entry: Entry): Assignment | undefined {
    const { field, places } = this.#target(entry, -1);
    const free = places.filter((place) => !this.#taken.has(place));
    if (free.length === 0) return undefined;
    const words = entry.column === undefined ? `${entry.value} ${entry.unit ?? ''}`.trim() : 'as the target';
    return this.#made(entry, field, free, this.#line(entry, field, -1), { words });
  }

  #made(entry: Entry, field: Field, places: number[], line: Line, more: { index: number } | { words: string }): Assignment {
    for (const place of places) this.#taken.add(place);
    const source = entry.column === undefined ? { value: entry.value ?? 0 } : { column: entry.column };
    const signal = typeof entry.row === 'number' ? `${field.name}[${entry.row}]` : field.name;
    return { signal, type: field.type, places, line, source, ...more };
  }

  #checkSource({ column, value }: Entry, index: number): void {
    if ((column === undefined) !== (value === undefined)) return;
    const what = column === undefined ? 'signal without column and value' : 'signal with both column and value';
    throw this.#yaml.wrong(['signals', index, 'signal'], what, 'either a column or a value');
  }

  /** A name that both the bank and its rows have means the bank unless a row is given. */
  #target({ signal, row }: Entry, index: number): { field: Field; places: number[] } {
    const { rows } = this.#yaml.value;
    const inBank = this.#bank.fields.find((field) => field.name === signal);
    const inRow = this.#row.fields.find((field) => field.name === signal);
    if (inBank !== undefined && (row === undefined || inRow === undefined)) {
      if (row === undefined) return { field: inBank, places: [inBank.offset] };
      throw this.#yaml.wrong(['signals', index, 'row'], `row of ${signal}`, 'no row: the signal is the bank’s');
    }
    if (inRow === undefined) throw new Error(`neither bank nor row has an input ${signal}`);
    const place = (number: number): number => this.#bank.size + (number - 1) * this.#row.size + inRow.offset;
    if (typeof row === 'number' && row > rows) throw this.#yaml.wrong(['signals', index, 'row'], 'row', `1 to ${rows}, or all`);
    const numbers = typeof row === 'number' ? [row] : Array.from({ length: rows }, (_, one) => one + 1);
    return { field: inRow, places: numbers.map(place) };
  }

  #line({ scale = 1, offset = 0, unit }: Entry, field: Field, index: number): Line {
    const own: Line = { gain: scale, bias: offset };
    if (unit === undefined) return own;
    const plain = lineBetween(unit, field.unit);
    const sensor = sensorOf(field.name, this.#contract, this.values);
    if (plain !== undefined && (sensor === undefined || unit === 'count' || unit === 'counts')) return chain(own, plain);
    const physical = sensor === undefined ? undefined : lineBetween(unit, sensor.unit);
    if (sensor !== undefined && physical !== undefined) return chain(chain(own, physical), sensor.toCounts);
    throw this.#yaml.wrong(['signals', index, 'unit'], `unit of ${field.name}`, this.#unitWords(field.unit, sensor?.unit));
  }

  #unitWords(own: UnitName, sensor: UnitName | undefined): string[] {
    return sensor === undefined ? wordsFor(own) : ['counts', ...wordsFor(sensor)];
  }
}

function assignAll(contract: Contract, yaml: YamlFile<MapFile>): Assignment[] {
  const assigner = new Assigner(contract, yaml);
  const { signals } = yaml.value;
  const given = signals.map((entry, index) => assigner.assign(entry, index));
  const { row: _, ...target } = signals.find((entry) => entry.signal === TARGET.signal) ?? TARGET;
  const defaults: Entry[] = [
    TARGET,
    { signal: 'railCounts', value: inForce('railNominalKpa', contract, assigner.values), unit: 'kPa' },
    { ...target, signal: 'loadCounts', row: 'all', unit: target.unit ?? 'N' },
    ...DEFAULTS,
  ];
  return [...given, ...defaults.map((entry) => assigner.assignDefault(entry)).filter((one) => one !== undefined)];
}

/** @throws InputError unless exactly one of `time` and `rate` is given. */
function checkClock(yaml: YamlFile<MapFile>): void {
  const { time, rate } = yaml.value;
  if ((time === undefined) !== (rate === undefined)) return;
  if (time === undefined) throw yaml.wrong([], 'mapping without time and rate', 'time: with a column, or rate: with hz');
  throw yaml.wrong(['rate'], 'rate besides time', 'either time: or rate:');
}

/**
 * Reads a mapping file.
 * @throws InputError with line and column of what is wrong in it.
 */
export function readCsvMap(file: string, contract: Contract): CsvMap {
  const records = [MESSAGES.input.bank, MESSAGES.input.row].map((name) => recordOf(contract, name));
  const signals = new Set(records.flatMap(({ fields }) => fields.filter(isSignal).map(({ name }) => name)));
  const yaml = readYaml<MapFile>(file, mappingSchema(contract, [...signals]));
  const { rows, time, rate, gapMs, parameters = {}, about = {} } = yaml.value;
  checkRules(valuesOf(parameters, contract), contract, yaml, ['parameters']);
  checkClock(yaml);
  const toSeconds = lineBetween(time?.unit ?? 's', 'second');
  const tickHz = yaml.value.tickHz ?? contract.parameters.find((one) => one.name === 'tickHz')?.default ?? 1000;
  return {
    yaml,
    rows,
    tickHz,
    ...(time === undefined || toSeconds === undefined ? {} : { time: { column: time.column, toSeconds } }),
    ...(rate === undefined ? {} : { rateHz: rate.hz }),
    ...(gapMs === undefined ? {} : { gapMs }),
    about,
    assignments: assignAll(contract, yaml),
  };
}
