import { InputError } from '../../common/input-error.js';
import type { OnProgress } from '../../common/progress.js';
import { findConversion } from '../../common/unit-conversion.js';
import { ColumnReader, type ColumnSummary } from './column-summary.js';
import { type ClockReport, SampleClock, TimeColumn } from './csv-clock.js';
import { CsvFile, type CsvRow, type TableLayout } from './csv-file.js';
import { type ClockSettings, isoFormat } from './csv-mapping.js';
import { guessOrders, guessSignal, type OrderGuess, type SignalGuess } from './guess-columns.js';
import { DECIDE, guessTime, type TimeGuess } from './guess-time.js';
import { type Sniffed, sniffTable } from './sniff.js';
import { compileTimeFormat } from './time-format.js';

/** What a log seems to hold. */
export interface LogInspection {
  readonly file: string;
  readonly table: Sniffed['layout'];
  readonly headerLine: number;
  readonly lines: number;
  /** Whether the log has more lines than were read. */
  readonly isPartial: boolean;
  readonly columns: readonly ColumnSummary[];
  readonly rows?: number | undefined;
  /** The one row is assumed, because no name has the number of a row. */
  readonly isOneRow: boolean;
  readonly time?: TimeGuess | undefined;
  /** Undefined if the form of the time is not decided. */
  readonly clock?: ClockReport | undefined;
  readonly signals: readonly SignalGuess[];
  readonly orders: readonly OrderGuess[];
}

/** Lines that are read: 100 s at 2 kHz. */
const ROWS_READ = 200_000;
/** Reads the first lines of a log through `take`. Returns their number, and whether more follow. */
function readRows(csv: CsvFile, take: (row: CsvRow) => void): { lines: number; isPartial: boolean } {
  let lines = 0;
  for (const row of csv.rows()) {
    if (lines === ROWS_READ) return { lines, isPartial: true };
    take(row);
    lines++;
  }
  return { lines, isPartial: false };
}

/** The settings for a time whose form is known; what its clock does is not refused, but reported. */
function clockOf({ columns: indices, keys }: TimeGuess, columns: readonly ColumnSummary[]): ClockSettings | undefined {
  if (Object.values(keys).includes(DECIDE)) return undefined;
  const names = indices.map((index) => columns[index]?.name ?? '');
  const { format: pattern, unit = 's' } = keys;
  const tolerant = { repeated: 'spread', backwards: 'continue', gaps: 'keep' } as const;
  if (pattern === undefined) {
    const toSeconds = findConversion(unit, 'second');
    return toSeconds === undefined ? undefined : { ...tolerant, time: { columns: names, toSeconds } };
  }
  const format = pattern === 'date' ? isoFormat('Z') : compileTimeFormat(pattern);
  return format === undefined ? undefined : { ...tolerant, time: { columns: names, format, rule: `a time in the form ${pattern}` } };
}

/** Gaps and jitter of a log whose form of the time is known. */
function inspectClock(csv: CsvFile, settings: ClockSettings, columns: readonly number[], onProgress: OnProgress): ClockReport {
  const clock = new SampleClock(settings, new TimeColumn(csv, settings, columns));
  const none = new Float64Array();
  let read = 0;
  for (const _ of clock.samples(csv.rows(), () => none)) {
    onProgress(csv.share);
    if (++read === ROWS_READ) break;
  }
  return clock.report();
}

/** Rows by the numbers in the names of columns, if they count from 1. */
function rowsOf(signals: readonly SignalGuess[]): number | undefined {
  const rows = new Set(signals.flatMap(({ row }) => (row === undefined ? [] : [row])));
  return rows.size > 0 && Math.max(...rows) === rows.size ? rows.size : undefined;
}

/** Each input once: a second column that seems to be the same is not used. */
function uniqueSignals(columns: readonly ColumnSummary[], otherwise?: number): SignalGuess[] {
  const seen = new Set<string>();
  return columns.flatMap((column) => {
    const guess = guessSignal(column, otherwise);
    const key = `${guess?.signal} ${guess?.row}`;
    if (guess === undefined || seen.has(key)) return [];
    seen.add(key);
    return [guess];
  });
}

/** Rows, inputs and orders by the names of columns; those of one row if no name has the number of a row. */
function guessUses(columns: readonly ColumnSummary[]): Pick<LogInspection, 'rows' | 'isOneRow' | 'signals' | 'orders'> {
  const numbered = uniqueSignals(columns);
  const isOneRow = numbered.every(({ row }) => row === undefined);
  const otherwise = isOneRow ? 1 : undefined;
  const signals = isOneRow ? uniqueSignals(columns, otherwise) : numbered;
  const rows = rowsOf(signals);
  const orders = rows === undefined ? [] : guessOrders(columns, rows, otherwise);
  const ordered = new Set(orders.flatMap((one) => Object.values(one.columns)));
  return { rows, isOneRow: isOneRow && rows !== undefined, signals: signals.filter(({ column }) => !ordered.has(column)), orders };
}

/** Opens a log, and closes it after use. */
function withLog<T>(file: string, layout: TableLayout, use: (csv: CsvFile) => T): T {
  const csv = new CsvFile(file, layout);
  try {
    return use(csv);
  } finally {
    csv.close();
  }
}

/**
 * Looks at a log without a mapping file: how it is written, what its columns hold, and what they seem to be, by conservative rules.
 * It reads at most 200,000 lines.
 * @throws InputError if the log has no header, or a row that does not fit it
 */
export function inspectLog(file: string, onProgress: OnProgress = () => {}): LogInspection {
  const { layout, headerLine, isHeaderless } = sniffTable(file);
  if (isHeaderless) {
    const problem = 'this line holds numbers; a log needs a line with the names of its columns';
    throw new InputError({ file, line: headerLine, column: 1, problem, hint: 'Add one above it' });
  }
  const { columns, ...extent } = withLog(file, layout, (csv) => {
    const readers = csv.header.map((_, index) => new ColumnReader(csv, index));
    const found = readRows(csv, (row) => {
      for (const reader of readers) reader.take(row);
      onProgress(csv.share / 2);
    });
    return { ...found, columns: readers.map((reader) => reader.summary()) };
  });
  // A mapping file cannot name a column with characters that are not visible.
  const mappable = columns.filter(({ name }) => !/\p{C}/u.test(name));
  const time = guessTime(mappable);
  const settings = time === undefined ? undefined : clockOf(time, columns);
  const clock =
    settings === undefined
      ? undefined
      : withLog(file, layout, (csv) => inspectClock(csv, settings, time?.columns ?? [], (share) => onProgress((1 + share) / 2)));
  const others = mappable.filter(({ index }) => !time?.columns.includes(index));
  return { file, table: layout, headerLine, ...extent, columns, time, clock, ...guessUses(others) };
}
