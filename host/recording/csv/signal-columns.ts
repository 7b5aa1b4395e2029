import type { Field, FieldType } from '../../../shared/records.js';
import { type Conversion, combine, convertibleSymbols, findConversion } from '../../common/unit-conversion.js';
import type { YamlFile, YamlPath } from '../../common/yaml-file.js';
import { type Contract, recordOf } from '../../contract/contract.js';
import type { RecordLayout } from '../../contract/layout.js';
import { MESSAGES } from '../../contract/messages.js';
import { parameterValue } from '../../contract/parameter-values.js';
import { ratiometricSensor } from '../../contract/ratiometric.js';
import { findColumn, headerUnit, type NumberColumn, wordMap } from './columns.js';
import type { CsvFile } from './csv-file.js';
import type { LogMapping } from './csv-mapping.js';
import type { MapFile, SignalEntry, WrittenMissing } from './mapping-schema.js';

/** What stands in for values that are missing. */
export interface FillPolicy {
  readonly fill: 'none' | 'hold' | 'interpolate';
  /** Longest time without a value that is filled, s. */
  readonly upToS: number;
  /** After a longer time. */
  readonly beyond: 'refuse' | 'hold' | 'invalid';
}

/** A column of a signal. */
export interface SignalColumn extends NumberColumn {
  readonly isLinear: boolean;
  readonly policy: FillPolicy;
}

/** Where the values of a signal come from, how they are converted, and where they are stored. */
export interface Assignment {
  /** `railCounts`, `loadCounts[3]`, or `loadCounts` for all rows. */
  readonly signal: string;
  readonly type: FieldType;
  /** Bytes from the payload's start. */
  readonly offsets: readonly number[];
  readonly conversion: Conversion;
  readonly source: SignalColumn | { readonly value: number };
  /** It is an analog input, whose changes the controller checks. */
  readonly isSensor: boolean;
  /** What the controller takes for an invalid value; undefined if it has none. */
  readonly invalid: number | undefined;
  /** The unit, if it was read from the header: it is reported. */
  readonly unitFromHeader?: string | undefined;
  /** Of a default: its value and unit as text. */
  readonly defaultText?: string;
}

/** `loadCounts[3]` for one row, otherwise the name alone. */
const nameOf = ({ signal, row }: SignalEntry): string => (typeof row === 'number' ? `${signal}[${row}]` : signal);

const TARGET: SignalEntry = { signal: 'targetLoadN', value: 450, unit: 'N' };

/**
 * Defaults of inputs that the mapping omits: a bank at work without faults, the load on target and the rail at its nominal
 * pressure; these two are filled in below. A bank's entry comes before a row's of the same name.
 */
const DEFAULTS: readonly SignalEntry[] = [
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

/** A two-byte value of an ISO 11783 message that is not available (ISO 11783-7, as SAE J1939-71 table 1). */
const SPEED_NOT_AVAILABLE = 0xffff;

const REFUSE: FillPolicy = { fill: 'none', upToS: 0, beyond: 'refuse' };

/** The policy as it is written in the mapping file. */
function policyOf(written: WrittenMissing): FillPolicy {
  if (written === 'refuse') return REFUSE;
  if (written === 'invalid') return { fill: 'none', upToS: 0, beyond: 'invalid' };
  if (written === 'hold') return { fill: 'hold', upToS: Number.POSITIVE_INFINITY, beyond: 'hold' };
  const { fill, upToMs, beyond = 'refuse' } = written;
  return { fill, upToS: upToMs / 1000, beyond };
}

/** Turns entries into assignments and checks that no input is assigned twice. */
class Assigner {
  readonly #bank: RecordLayout;
  readonly #row: RecordLayout;
  readonly #yaml: YamlFile<MapFile>;
  readonly #assigned = new Set<number>();

  constructor(
    private readonly map: LogMapping,
    private readonly contract: Contract,
    private readonly csv: CsvFile,
  ) {
    this.#yaml = map.yaml;
    this.#bank = recordOf(contract, MESSAGES.input.bank);
    this.#row = recordOf(contract, MESSAGES.input.row);
  }

  /** @throws InputError if an entry contradicts itself, the number of rows, the log's columns or another entry */
  assign(entry: SignalEntry, index: number): Assignment {
    const { signal, column: name, value } = entry;
    const path: YamlPath = ['signals', index];
    if ((name === undefined) === (value === undefined)) {
      const problem = name === undefined ? `${signal} has neither a column nor a value` : `${signal} has both a column and a value`;
      throw this.#yaml.errorAt([...path, 'signal'], { problem });
    }
    const { field, offsets } = this.#target(entry, index);
    if (offsets.some((offset) => this.#assigned.has(offset)))
      throw this.#yaml.errorAt([...path, 'signal'], { problem: `${nameOf(entry)} is mapped twice` });
    if (name === undefined) return this.#make(entry, field, offsets, entry.unit, { value: value ?? 0 }, index);
    const column = findColumn(this.csv, this.map, name, [...path, 'column']);
    const fromHeader = entry.unit === undefined && entry.words === undefined ? headerUnit(this.csv, column) : undefined;
    const source = this.#columnOf(entry, field, column, path);
    return { ...this.#make(entry, field, offsets, entry.unit ?? fromHeader, source, index), unitFromHeader: fromHeader };
  }

  /** Assigns a default to the offsets that are still free; returns undefined if there are none. */
  assignDefault(entry: SignalEntry): Assignment | undefined {
    const { field, offsets } = this.#target(entry, -1);
    const free = offsets.filter((offset) => !this.#assigned.has(offset));
    if (free.length === 0) return undefined;
    return {
      ...this.#make(entry, field, free, entry.unit, { value: entry.value ?? 0 }, -1),
      defaultText: `${entry.value} ${entry.unit ?? ''}`.trim(),
    };
  }

  /** Gives the rows that have no load yet that of the target. */
  followTarget(target: Assignment): Assignment | undefined {
    const { field, offsets } = this.#target({ signal: 'loadCounts', row: 'all' }, -1);
    const free = offsets.filter((offset) => !this.#assigned.has(offset));
    if (free.length === 0) return undefined;
    const sensor = ratiometricSensor(field.name, this.contract, this.map.values);
    if (sensor === undefined) throw new Error(`${field.name} has no sensor`);
    const made = this.#make({ signal: field.name }, field, free, undefined, target.source, -1);
    return { ...made, conversion: combine(target.conversion, sensor.toCounts), defaultText: 'equal to the target' };
  }

  #make(
    entry: SignalEntry,
    field: Field,
    offsets: readonly number[],
    unit: string | undefined,
    source: Assignment['source'],
    index: number,
  ): Assignment {
    for (const offset of offsets) this.#assigned.add(offset);
    const conversion = this.#conversion(entry, unit, field, index);
    const isSensor = ratiometricSensor(field.name, this.contract, this.map.values) !== undefined;
    return { signal: nameOf(entry), type: field.type, offsets, conversion, source, isSensor, invalid: this.#invalidOf(field) };
  }

  /** @throws InputError if the signal has no invalid value, and the entry asks for one */
  #columnOf(entry: SignalEntry, field: Field, column: number, path: YamlPath): SignalColumn {
    const own = policyOf(entry.missing ?? this.map.yaml.value.missing ?? 'refuse');
    const canBeInvalid = own.beyond !== 'invalid' || this.#invalidOf(field) !== undefined;
    if (!canBeInvalid && entry.missing !== undefined) {
      const problem = `${field.name} has no invalid value that the controller knows`;
      throw this.#yaml.errorAt([...path, 'missing'], { problem, hint: 'Choose hold or interpolate' });
    }
    const policy = canBeInvalid ? own : REFUSE;
    const others = this.#invalidOf(field) === undefined ? '' : ', invalid';
    const isRefused = policy.fill === 'none' && policy.beyond === 'refuse';
    return {
      column,
      words: wordMap(entry.words),
      missingHint: isRefused
        ? `Give ${nameOf(entry)} \`missing\` in the mapping file: hold${others}, or { fill: interpolate, upToMs: 100 }`
        : undefined,
      isLinear: entry.between === 'linear',
      policy,
    };
  }

  /** What the controller takes for an open circuit of an analog input, or for a value that is not available. */
  #invalidOf({ name, type }: Field): number | undefined {
    if (ratiometricSensor(name, this.contract, this.map.values) !== undefined)
      return parameterValue('adcFullScaleCounts', this.contract, this.map.values);
    if (name === 'groundSpeedMmPerS') return SPEED_NOT_AVAILABLE;
    return type === 'f32' ? Number.NaN : undefined;
  }

  /** A name that both the bank and its rows have means the bank's unless a row is given. */
  #target({ signal, row }: SignalEntry, index: number): { field: Field; offsets: number[] } {
    const { rows } = this.map;
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

  #conversion({ scale = 1, offset = 0, unit: own }: SignalEntry, unit: string | undefined, field: Field, index: number): Conversion {
    const scaled: Conversion = { gain: scale, bias: offset };
    if (unit === undefined) return scaled;
    const direct = findConversion(unit, field.unit);
    const sensor = ratiometricSensor(field.name, this.contract, this.map.values);
    if (direct !== undefined && (sensor === undefined || /^counts?$/.test(unit))) return combine(scaled, direct);
    const physical = sensor === undefined ? undefined : findConversion(unit, sensor.unit);
    if (sensor !== undefined && physical !== undefined) return combine(combine(scaled, physical), sensor.toCounts);
    const allowed = sensor === undefined ? convertibleSymbols(field.unit) : ['counts', ...convertibleSymbols(sensor.unit)];
    const problem = `${field.name} cannot have the unit ${unit}${own === undefined ? ', which the header says' : ''}`;
    const hint = unit === 'kg' && allowed.includes('kgf') ? 'A load that is displayed in kg is in kgf' : undefined;
    throw this.#yaml.errorAt(['signals', index, own === undefined ? 'column' : 'unit'], { problem, allowed, ...(hint ? { hint } : {}) });
  }
}

/**
 * Finds for every input where its values come from: the entries of the mapping file, and defaults for what it omits.
 * @throws InputError at the entry of the mapping file that contradicts itself, the log or another one
 */
export function assignSignals(map: LogMapping, contract: Contract, csv: CsvFile): Assignment[] {
  const assigner = new Assigner(map, contract, csv);
  const { signals } = map.yaml.value;
  const given = signals.map((entry, index) => assigner.assign(entry, index));
  const target = given.find(({ signal }) => signal === TARGET.signal) ?? assigner.assignDefault(TARGET);
  if (target === undefined) throw new Error('the target has no place');
  const railKpa = parameterValue('railNominalKpa', contract, map.values);
  const others = [
    ...(target.defaultText === undefined ? [] : [target]),
    assigner.assignDefault({ signal: 'railCounts', value: railKpa, unit: 'kPa' }),
    assigner.followTarget(target),
    ...DEFAULTS.map((entry) => assigner.assignDefault(entry)),
  ];
  return [...given, ...others.filter((one) => one !== undefined)];
}
