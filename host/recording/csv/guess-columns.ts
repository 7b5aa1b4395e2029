import type { UnitName } from '../../../shared/units.js';
import { findConversion } from '../../common/unit-conversion.js';
import type { ColumnSummary } from './column-summary.js';

/** An input that a column seems to be. */
export interface SignalGuess {
  readonly column: ColumnSummary;
  readonly signal: string;
  readonly row?: number | undefined;
  /** Undefined if neither the header nor the name says it: a person must decide. */
  readonly unit?: string | undefined;
  /** What it is measured in, for the choice of a unit. */
  readonly quantity: UnitName;
}

/** Orders that the columns of a valve seem to be; a pair has a column for each direction. */
export interface OrderGuess {
  readonly valve: 'supply' | 'return';
  readonly row: number;
  readonly columns: Readonly<Partial<Record<OrderKey, ColumnSummary>>>;
}
type OrderKey = 'order' | 'position' | 'open' | 'close' | 'current' | 'openCurrent' | 'closeCurrent';

const ROWS_MAX = 48;

/** The words of a column's name in lower case, without its unit in brackets; numbers are words. */
function wordsOf(name: string): string[] {
  const spaced = name
    .replace(/[[(][^\])]*[\])]\s*$/, '')
    .replaceAll(/([a-z])([A-Z])/g, '$1 $2')
    .replaceAll(/([A-Za-z])(\d)/g, '$1 $2')
    .replaceAll(/(\d)([A-Za-z])/g, '$1 $2');
  return spaced
    .toLowerCase()
    .split(/[^\p{L}\d]+/u)
    .filter(Boolean);
}

/** The row of a column: the only number in its name that can be one. */
function rowIn(words: readonly string[]): number | undefined {
  const numbers = words.filter((word) => /^\d+$/.test(word)).map(Number);
  const [row] = numbers;
  return numbers.length === 1 && row !== undefined && row >= 1 && row <= ROWS_MAX ? row : undefined;
}

type Rule = readonly [signal: string, isOfRow: boolean, quantity: UnitName, groups: readonly string[], without?: string];

/** By words that a name must have, one of each group, and must not have. The first rule that fits counts. */
const RULES: readonly Rule[] = [
  ['targetLoadN', false, 'newton', ['target|setpoint|set|desired|demand', 'load|force|target|downforce']],
  ['railCounts', false, 'kilopascal', ['rail|system|pump', 'pressure|press']],
  ['reservoirMv', false, 'volt', ['reservoir|capacitor', 'voltage|volt|v|u']],
  ['supplyMv', false, 'volt', ['battery|supply', 'voltage|volt|v|u'], 'valve|coil'],
  ['groundSpeedMmPerS', false, 'metrePerSecond', ['speed|velocity'], 'engine|fan|motor|wind|meter|seed'],
  ['oilTemperatureC', false, 'degreeCelsius', ['oil|hydraulic', 'temp|temperature']],
  ['lowered', false, 'none', ['lowered']],
  ['loadCounts', true, 'newton', ['load'], 'target|setpoint|set|desired|engine|cpu|bus'],
  ['pressureCounts', true, 'kilopascal', ['pressure|press'], 'supply|air|rail|system|pump|tyre|tire'],
  ['accelerationCounts', true, 'metrePerSecondSquared', ['acc|accel|acceleration']],
];

const hasWord = (words: readonly string[], choice: string): boolean => choice.split('|').some((word) => words.includes(word));

/** The unit by the header, or by the last word of the name; undefined if there is none that fits. */
function unitOf({ unit, name }: ColumnSummary, quantity: UnitName): string | undefined {
  if (unit === 'counts') return unit;
  const last = name.split(/[\s_]+/);
  return [unit, ...(last.length > 1 ? [last.at(-1)] : [])].find((one) => one !== undefined && findConversion(one, quantity) !== undefined);
}

/**
 * Finds the input that a column seems to be. Not if its unit is of another quantity.
 * @param otherwise row of names without the number of a row
 */
export function guessSignal(column: ColumnSummary, otherwise?: number): SignalGuess | undefined {
  const words = wordsOf(column.name);
  const row = rowIn(words) ?? otherwise;
  if (!column.isNumeric) return undefined;
  for (const [signal, isOfRow, quantity, groups, without] of RULES) {
    if (!groups.every((group) => hasWord(words, group)) || (without !== undefined && hasWord(words, without))) continue;
    if (isOfRow && row === undefined) continue;
    const unit = unitOf(column, quantity);
    if (unit === undefined && column.unit !== undefined) continue;
    return { column, signal, quantity, unit, ...(isOfRow ? { row } : {}) };
  }
  return undefined;
}

/** What a column of a valve holds, by its unit and the words of its name. */
function orderKey(words: readonly string[], isCurrent: boolean): OrderKey | undefined {
  const direction = hasWord(words, 'open') ? 'open' : hasWord(words, 'close|closed|shut') ? 'close' : undefined;
  if (isCurrent) return direction === undefined ? 'current' : `${direction}Current`;
  if (hasWord(words, 'position|pos|state')) return 'position';
  if (direction !== undefined) return direction;
  return hasWord(words, 'order|command|cmd') ? 'order' : undefined;
}

/** The valve, row and kind that a column of orders seems to have. */
function orderColumn(column: ColumnSummary, otherwise?: number): { valve: 'supply' | 'return'; row: number; key: OrderKey } | undefined {
  const words = wordsOf(column.name);
  const row = rowIn(words) ?? otherwise;
  const valve = hasWord(words, 'supply') ? 'supply' : hasWord(words, 'return') ? 'return' : undefined;
  const unit = unitOf(column, 'ampere');
  const key = orderKey(words, unit !== undefined);
  if (!column.isNumeric || valve === undefined || row === undefined || key === undefined) return undefined;
  if (hasWord(words, 'pressure|press|voltage|volt|temp|temperature') || (unit === undefined && column.unit !== undefined)) return undefined;
  return { valve, row, key };
}

const KINDS: readonly (readonly OrderKey[])[] = [['order'], ['openCurrent', 'closeCurrent'], ['current'], ['open', 'close'], ['position']];

/** Finds the orders of both valves of all rows; empty unless each valve has them in columns of one kind. */
export function guessOrders(columns: readonly ColumnSummary[], rows: number, otherwise?: number): OrderGuess[] {
  const found = columns.map((column) => ({ column, ...orderColumn(column, otherwise) }));
  const valves = Array.from({ length: rows }, (_, row) => (['supply', 'return'] as const).map((valve) => ({ row: row + 1, valve }))).flat();
  for (const keys of KINDS) {
    const guesses = valves.map(({ row, valve }) => {
      const ofKey = (key: OrderKey) => found.filter((one) => one.valve === valve && one.row === row && one.key === key);
      const isWhole = keys.every((key) => ofKey(key).length === 1);
      return isWhole ? { valve, row, columns: Object.fromEntries(keys.map((key) => [key, ofKey(key)[0]?.column])) } : undefined;
    });
    const whole = guesses.filter((one) => one !== undefined);
    if (whole.length === valves.length) return whole;
  }
  return [];
}
