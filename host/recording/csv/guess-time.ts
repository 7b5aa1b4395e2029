import { parseInstant } from '../../common/instant.js';
import { findConversion } from '../../common/unit-conversion.js';
import type { ColumnSummary } from './column-summary.js';
import { compileTimeFormat } from './time-format.js';

/** What the time of a log seems to be. */
export interface TimeGuess {
  /** Positions of the columns. */
  readonly columns: readonly number[];
  /** Keys of `time` in the mapping file beside the columns; undecided ones are `decide`. */
  readonly keys: { readonly unit?: string; readonly format?: string; readonly since?: string };
  /** What a person must know to decide. */
  readonly note?: string;
}

export const DECIDE = 'decide';

const TIME_NAME = /^(t|time|zeit|clock|utc|epoch|elapsed|timestamp|datetime|date)(\b|_)|time|timestamp|datum/i;
const DATE_NAME = /date|datum|day/i;

/** Forms of dates and clock times; a fraction may be missing. */
const PATTERNS = [
  'DD.MM.YYYY hh:mm:ss.fff',
  'DD/MM/YYYY hh:mm:ss.fff',
  'MM/DD/YYYY hh:mm:ss.fff',
  'MM/DD/YYYY hh:mm:ss.fff AM',
  'DD-MM-YYYY hh:mm:ss.fff',
  'YYYY/MM/DD hh:mm:ss.fff',
  'DD.MM.YY hh:mm:ss.fff',
  'hh:mm:ss.fff',
];

/** Times since 1970 by their size: 2001 to 2100 in each unit. */
const EPOCHS = [
  ['s', 1e9],
  ['ms', 1e12],
  ['us', 1e15],
  ['ns', 1e18],
] as const;

const fits = (pattern: string, texts: readonly string[]): boolean => {
  const format = compileTimeFormat(pattern);
  return format !== undefined && texts.length > 0 && texts.every((text) => format.parse(text) !== undefined);
};

/** A form of dates or clock times that all texts have; several if they can't be told apart. */
function formOf(columns: readonly number[], texts: readonly string[]): TimeGuess | undefined {
  if (texts.length > 0 && texts.every((text) => parseInstant(text) !== undefined)) return { columns, keys: { format: 'date' } };
  const patterns = PATTERNS.filter((pattern) => fits(pattern, texts));
  const [pattern, other] = patterns;
  if (pattern === undefined) return undefined;
  if (other === undefined) return { columns, keys: { format: pattern } };
  return { columns, keys: { format: DECIDE }, note: `these fit: ${patterns.map((one) => `"${one}"`).join(', ')}` };
}

/** The unit of numbers: that of the header or the name, or by their size; undecided if none of these say. */
function unitGuess(column: ColumnSummary): TimeGuess {
  const columns = [column.index];
  const unit = column.unit ?? column.name.split(/[\s_]+/).at(-1) ?? '';
  const epoch = EPOCHS.find(([, size]) => column.min >= size && column.min < 4.2 * size);
  if (epoch !== undefined) return { columns, keys: { unit: epoch[0], since: '1970-01-01' } };
  if (/\S[\s_[(]/.test(column.name) || column.unit !== undefined)
    if (findConversion(unit, 'second') !== undefined) return { columns, keys: { unit } };
  if (!(column.stepMedian > 0)) return { columns, keys: { unit: DECIDE } };
  const note = `the values step by ${Number(column.stepMedian.toPrecision(4))}: in s that is ${hertz(1 / column.stepMedian)}, in ms ${hertz(1000 / column.stepMedian)}`;
  return { columns, keys: { unit: DECIDE }, note };
}

const hertz = (value: number): string => `${Number(value.toPrecision(4))} Hz`;

/** Finds the column of the time, or that of dates and that of clock times. Undefined if there is none. */
export function guessTime(columns: readonly ColumnSummary[]): TimeGuess | undefined {
  const named = columns.filter(({ name }) => TIME_NAME.test(name));
  const date = named.find(({ name, texts }) => DATE_NAME.test(name) && !texts.some((text) => text.includes(':')));
  const clock = named.find(({ texts }) => texts.some((text) => text.includes(':')));
  if (date !== undefined && clock !== undefined && date !== clock) {
    const joined = date.texts.map((text, index) => `${text} ${clock.texts[index] ?? ''}`);
    const both = formOf([date.index, clock.index], joined);
    if (both !== undefined) return both;
  }
  for (const column of named) {
    const guess = column.isNumeric ? (column.isRising ? unitGuess(column) : undefined) : formOf([column.index], column.texts);
    if (guess !== undefined) return guess;
  }
  return undefined;
}
