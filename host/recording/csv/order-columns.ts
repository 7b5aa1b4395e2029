import { InputError } from '../../common/input-error.js';
import { findConversion } from '../../common/unit-conversion.js';
import type { YamlPath } from '../../common/yaml-file.js';
import type { Contract } from '../../contract/contract.js';
import { parameterValue } from '../../contract/parameter-values.js';
import { findColumn, headerUnit, type NumberColumn, wordMap } from './columns.js';
import type { CsvFile } from './csv-file.js';
import type { LogMapping } from './csv-mapping.js';
import type { OrderEntry } from './mapping-schema.js';

/** An order as a number of the enumeration Order. */
export type Order = 0 | 1 | 2;
export const [NONE, OPEN, CLOSE]: readonly [Order, Order, Order] = [0, 1, 2];

/** What the columns of a valve hold. */
export type OrderSource =
  | { readonly kind: 'order'; readonly columns: readonly [NumberColumn] }
  | { readonly kind: 'position'; readonly columns: readonly [NumberColumn] }
  | { readonly kind: 'switches'; readonly columns: readonly [open: NumberColumn, close: NumberColumn] }
  /** One column that is positive to open, or one for each coil. */
  | {
      readonly kind: 'currents';
      readonly columns: readonly [NumberColumn] | readonly [open: NumberColumn, close: NumberColumn];
      /** A per unit of the columns. */
      readonly gainA: number;
      readonly onA: number;
      readonly offA: number;
    };

/** Where the orders of a valve come from. */
export interface ValveOrders {
  readonly valve: 'supply' | 'return';
  /** From 1. */
  readonly row: number;
  readonly source: OrderSource;
  /** Names of the columns, for errors and the report. */
  readonly names: readonly string[];
  readonly minS: number;
  /** Length of every stroke, s; undefined if the log shows it. */
  readonly strokeS: number | undefined;
  readonly overlap: 'refuse' | 'later' | 'none';
}

/** The keys that say what columns hold; one group belongs to each valve. */
const KINDS = [['order'], ['position'], ['open', 'close'], ['current'], ['openCurrent', 'closeCurrent']] as const;
type Kind = (typeof KINDS)[number];
type ColumnKey = Kind[number];

/** Keys that have a meaning with some kinds of columns only. */
const KEY_NEEDS: readonly (readonly [key: keyof OrderEntry, kinds: readonly ColumnKey[], why: string])[] = [
  ['words', ['order'], 'only a column of orders has words'],
  ['unit', ['current', 'openCurrent'], 'only currents have a unit'],
  ['scale', ['current', 'openCurrent'], 'only currents have a scale'],
  ['onA', ['current', 'openCurrent'], 'only currents have a threshold'],
  ['offA', ['current', 'openCurrent'], 'only currents have a threshold'],
  ['overlap', ['open', 'openCurrent'], 'only orders in two columns can overlap'],
];

const ORDER_WORDS = new Map([['none', NONE] as const, ['open', OPEN] as const, ['close', CLOSE] as const]);
const DEFAULT_WORDS = new Map([...ORDER_WORDS, ['0', NONE], ['1', OPEN], ['2', CLOSE]]);

class OrderReader {
  constructor(
    private readonly map: LogMapping,
    private readonly contract: Contract,
    private readonly csv: CsvFile,
  ) {}

  /** @throws InputError if the entry contradicts itself, or the log has no such column */
  read(entry: OrderEntry, index: number): ValveOrders {
    const path: YamlPath = ['orders', index];
    const kind = this.#kindOf(entry, path);
    for (const [key, kinds, problem] of KEY_NEEDS)
      if (entry[key] !== undefined && !kinds.includes(kind[0])) throw this.map.yaml.errorAt([...path, key], { problem });
    const { rows } = this.map;
    if (entry.row > rows) throw this.map.yaml.errorAt([...path, 'row'], { allowed: rows === 1 ? '1' : `between 1 and ${rows}` });
    const { valve, row, minMs = 0, overlap = 'refuse' } = entry;
    const byDefaultMs = kind[0] === 'position' ? parameterValue('strokeMs', this.contract, this.map.values) : undefined;
    const strokeMs = entry.strokeMs ?? byDefaultMs;
    return {
      valve,
      row,
      source: this.#sourceOf(entry, kind, path),
      names: kind.map((key) => entry[key] ?? ''),
      minS: minMs / 1000,
      strokeS: strokeMs === undefined ? undefined : strokeMs / 1000,
      overlap,
    };
  }

  #kindOf(entry: OrderEntry, path: YamlPath): Kind {
    const kinds = KINDS.filter((keys) => keys.some((key) => entry[key] !== undefined));
    const [kind] = kinds;
    const isWhole = kind?.every((key) => entry[key] !== undefined);
    if (kinds.length === 1 && kind !== undefined && isWhole) return kind;
    const problem = `the orders of row ${entry.row}'s ${entry.valve} valve come from ${kinds.length === 0 ? 'no column' : kinds.flat().join(' and ')}`;
    throw this.map.yaml.errorAt([...path, 'valve'], {
      problem,
      allowed: 'one of: order; position; open and close; current; openCurrent and closeCurrent',
    });
  }

  #sourceOf(entry: OrderEntry, kind: Kind, path: YamlPath): OrderSource {
    const words = kind[0] === 'order' ? (this.#words(entry) ?? DEFAULT_WORDS) : undefined;
    const hint = 'Give the entry of this valve `missing: none` in the mapping file: no stroke';
    const columns = kind.map((key) => ({
      column: findColumn(this.csv, this.map, entry[key] ?? '', [...path, key]),
      words,
      missingHint: entry.missing === 'none' ? undefined : hint,
    }));
    const [first, second] = columns;
    if (first === undefined) throw new Error('a kind has no key');
    if (kind[0] === 'order' || kind[0] === 'position') return { kind: kind[0], columns: [first] };
    if (kind[0] === 'open' && second !== undefined) return { kind: 'switches', columns: [first, second] };
    return {
      kind: 'currents',
      columns: second === undefined ? [first] : [first, second],
      ...this.#thresholds(entry, kind, first.column, path),
    };
  }

  #words({ words }: OrderEntry): ReadonlyMap<string, number> | undefined {
    const written = wordMap(words);
    return written === undefined ? undefined : new Map([...written].map(([word, order]) => [word, ORDER_WORDS.get(order) ?? NONE]));
  }

  /** @throws InputError without a unit or a threshold, or if they do not fit */
  #thresholds(entry: OrderEntry, kind: Kind, column: number, path: YamlPath): { gainA: number; onA: number; offA: number } {
    const { yaml } = this.map;
    const [key] = kind;
    const unit = entry.unit ?? headerUnit(this.csv, column);
    if (unit === undefined)
      throw yaml.errorAt([...path, key], { problem: `the header gives no unit of ${entry[key]}`, hint: 'Add `unit: A` or `unit: mA`' });
    const toA = findConversion(unit, 'ampere');
    if (toA === undefined)
      throw yaml.errorAt([...path, entry.unit === undefined ? key : 'unit'], {
        problem: `a coil current cannot have the unit ${unit}`,
        allowed: ['A', 'mA'],
      });
    const { onA, scale = 1 } = entry;
    if (onA === undefined)
      throw yaml.errorAt([...path, key], {
        problem: 'a coil current needs a threshold',
        hint: 'Add `onA`, about half of the peak current',
      });
    const { offA = onA / 2 } = entry;
    if (offA > onA) throw yaml.errorAt([...path, 'offA'], { allowed: `at most onA, which is ${onA}` });
    return { gainA: toA.gain * scale, onA, offA };
  }
}

/**
 * Finds for every valve where its orders come from; empty if the mapping file has no orders.
 * @throws InputError at an entry that contradicts itself, the log or another one, or if a valve has none
 */
export function readOrders(map: LogMapping, contract: Contract, csv: CsvFile): ValveOrders[] {
  const { orders = [] } = map.yaml.value;
  if (orders.length === 0) return [];
  const reader = new OrderReader(map, contract, csv);
  const valves = orders.map((entry, index) => reader.read(entry, index));
  const seen = new Set<string>();
  for (const [index, { valve, row }] of valves.entries()) {
    const key = `${valve} ${row}`;
    if (seen.has(key)) throw map.yaml.errorAt(['orders', index, 'valve'], { problem: `row ${row}'s ${valve} valve has two entries` });
    seen.add(key);
  }
  for (let row = 1; row <= map.rows; row++)
    for (const valve of ['supply', 'return'])
      if (!seen.has(`${valve} ${row}`))
        throw map.yaml.errorAt(['orders'], {
          problem: `row ${row}'s ${valve} valve has no orders`,
          allowed: 'both valves of every row, or none',
        });
  return valves;
}

/** An error about orders at a line that may have been read some time ago. */
export const orderError = (csv: CsvFile, line: number, problem: string, hint: string): InputError =>
  new InputError({ file: csv.file, line, column: 1, problem, hint });
