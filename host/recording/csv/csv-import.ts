import type { FieldType } from '../../../shared/records.js';
import { InputError } from '../../common/input-error.js';
import { type OnProgress, refuseOwnInput } from '../../common/write-atomic.js';
import type { Contract } from '../../contract/contract.js';
import { writeField } from '../../contract/fields.js';
import { messageBytes } from '../../contract/messages.js';
import { RecordingWriter } from '../writer.js';
import { CsvFile, type CsvRow } from './csv-file.js';
import { type Assignment, type CsvMap, readCsvMap } from './csv-mapping.js';

/** A hole in the samples: the interval was longer than `gapMs`. */
export interface Gap {
  readonly ms: number;
  /** Line of the CSV file with the sample after it. */
  readonly line: number;
  /** Time of the sample before it, s from the first one. */
  readonly fromS: number;
}

export interface ImportReport {
  readonly rows: number;
  readonly tickHz: number;
  readonly samples: number;
  readonly ticks: number;
  /** Times of the first and the last sample as in the file, s. */
  readonly firstTimeS: number;
  readonly lastTimeS: number;
  readonly gaps: number;
  readonly longestGap?: Gap;
  /** Signals with samples beyond what their field can hold; those were set to its limit. */
  readonly clamped: readonly { readonly signal: string; readonly samples: number }[];
  /** Signals that the mapping leaves out, and what they were set to. */
  readonly defaults: readonly { readonly signal: string; readonly value: string }[];
}

/** Longest recording that is made from a CSV file: a longer one means that the time's unit is wrong. */
const DURATION_MAX_S = 86400;
/** A gap is longer than this many sample periods, unless the mapping says `gapMs`. */
const GAP_PERIODS = 5;
/** Samples this close behind a tick, in ticks, belong to it: times are decimal fractions and don't hit ticks exactly. */
const TICK_TOLERANCE = 1e-3;

const NUMBER = /^\s*[-+]?(\d+\.?\d*|\.\d+)(e[-+]?\d+)?\s*$/i;

function readNumber(csv: CsvFile, row: CsvRow, column: number): number {
  const cell = row.cells[column] ?? '';
  const value = Number(cell);
  if (NUMBER.test(cell) && Number.isFinite(value)) return value;
  const what = cell.trim() === '' ? 'empty cell in column' : `${JSON.stringify(cell)} in column`;
  throw csv.wrong(row.line, column, what, csv.header[column], 'a finite number with a decimal point');
}

/** Which tick each sample falls on, and where samples are missing. */
class SampleClock {
  firstS = 0;
  lastS = 0;
  samples = 0;
  gaps = 0;
  longestGap: Gap | undefined;
  readonly #csv: CsvFile;
  readonly #map: CsvMap;
  readonly #column: number;
  #regularSum = 0;
  #regularCount = 0;

  constructor(csv: CsvFile, map: CsvMap, column: number) {
    this.#csv = csv;
    this.#map = map;
    this.#column = column;
  }

  /** The first tick that is not before the sample. @throws InputError when time runs backwards or too far. */
  tickOf(row: CsvRow): number {
    const time = this.#time(row);
    if (this.samples === 0) this.firstS = time;
    else this.#step(row, time);
    this.lastS = time;
    this.samples++;
    const elapsed = time - this.firstS;
    if (elapsed > DURATION_MAX_S) throw this.#wrong(row, `${elapsed} s after the first sample`, `at most ${DURATION_MAX_S} s`);
    return Math.max(0, Math.ceil(elapsed * this.#map.tickHz - TICK_TOLERANCE));
  }

  #time(row: CsvRow): number {
    const { time, rateHz = 1 } = this.#map;
    if (time === undefined) return this.samples / rateHz;
    return readNumber(this.#csv, row, this.#column) * time.toSeconds.gain + time.toSeconds.bias;
  }

  /** The sample period is the mean of the intervals so far that were no gaps. */
  #step(row: CsvRow, time: number): void {
    const interval = time - this.lastS;
    if (interval < 0) throw this.#wrong(row, 'time that runs backwards', `at least ${this.lastS} s`);
    const mean = this.#regularCount === 0 ? Number.POSITIVE_INFINITY : this.#regularSum / this.#regularCount;
    const { gapMs } = this.#map;
    const limit = gapMs === undefined ? GAP_PERIODS * mean : gapMs / 1000;
    if (interval <= limit) {
      this.#regularSum += interval;
      this.#regularCount++;
      return;
    }
    this.gaps++;
    const gap = { ms: interval * 1000, line: row.line, fromS: this.lastS - this.firstS };
    if (gap.ms > (this.longestGap?.ms ?? 0)) this.longestGap = gap;
  }

  #wrong(row: CsvRow, what: string, allowed: string): InputError {
    const { file } = this.#csv;
    if (this.#map.time === undefined) return new InputError({ file, line: row.line, column: 1, what, allowed });
    return this.#csv.wrong(row.line, this.#column, what, row.cells[this.#column], allowed);
  }
}

const LIMIT: Readonly<Record<FieldType, readonly [number, number]>> = {
  u8: [0, 0xff],
  u16: [0, 0xffff],
  u32: [0, 0xffffffff],
  i32: [-0x80000000, 0x7fffffff],
  f32: [Number.NEGATIVE_INFINITY, Number.POSITIVE_INFINITY],
  f64: [Number.NEGATIVE_INFINITY, Number.POSITIVE_INFINITY],
};

/** The message being put together: it holds what each signal was last set to. */
class Payload {
  readonly bytes: Uint8Array;
  readonly clamped = new Map<string, number>();
  readonly #view: DataView;

  constructor(size: number) {
    this.bytes = new Uint8Array(size);
    this.#view = new DataView(this.bytes.buffer);
  }

  /** Converts and stores. False when the result is beyond 32-bit floating point. */
  set({ signal, type, places, line }: Assignment, value: number): boolean {
    const exact = value * line.gain + line.bias;
    const rounded = type === 'f32' ? Math.fround(exact) : Math.round(exact);
    const [least, most] = LIMIT[type];
    const kept = Math.min(most, Math.max(least, rounded));
    if (kept !== rounded) this.clamped.set(signal, (this.clamped.get(signal) ?? 0) + 1);
    for (const offset of places) writeField(this.#view, 0, { type, offset }, kept);
    return Number.isFinite(rounded);
  }
}

interface Bound {
  readonly assignment: Assignment;
  readonly column: number;
}

/** @throws InputError, at the mapping's line, when the CSV file has no such column, or two of that name. */
function findColumn(csv: CsvFile, map: CsvMap, name: string, path: (string | number)[]): number {
  const column = csv.header.indexOf(name);
  if (column < 0) throw map.yaml.wrong(path, 'column', csv.header);
  const second = csv.header.indexOf(name, column + 1);
  if (second >= 0) throw csv.wrong(1, second, 'second column', name, 'each name once');
  return column;
}

/** Constants go into the payload at once; what comes from a column is bound to it. */
function bindColumns(csv: CsvFile, map: CsvMap, payload: Payload): Bound[] {
  const bound: Bound[] = [];
  for (const assignment of map.assignments) {
    const { source, index } = assignment;
    if ('column' in source) {
      bound.push({ assignment, column: findColumn(csv, map, source.column, ['signals', index ?? 0, 'column']) });
    } else if (!payload.set(assignment, source.value)) {
      throw map.yaml.wrong(['signals', index ?? 0, 'value'], 'value', 'a number that 32-bit floating point holds');
    }
  }
  return bound;
}

function setCells(csv: CsvFile, row: CsvRow, bound: readonly Bound[], payload: Payload): void {
  for (const { assignment, column } of bound) {
    if (payload.set(assignment, readNumber(csv, row, column))) continue;
    throw csv.wrong(row.line, column, `value of ${assignment.signal}`, row.cells[column], 'a number that 32-bit floating point holds');
  }
}

/** Holds each sample until the next one. Answers the number of ticks. */
function resample(
  csv: CsvFile,
  clock: SampleClock,
  bound: readonly Bound[],
  payload: Payload,
  writer: RecordingWriter,
  onProgress: OnProgress,
): number {
  let tick = 0;
  for (const row of csv.rows()) {
    const sampleTick = clock.tickOf(row);
    for (; tick < sampleTick; tick++) writer.write('input', tick, payload.bytes);
    setCells(csv, row, bound, payload);
    onProgress(csv.share);
  }
  if (clock.samples === 0)
    throw new InputError({ file: csv.file, line: 2, column: 1, what: 'no sample', allowed: 'rows below the header' });
  writer.write('input', tick, payload.bytes);
  return tick + 1;
}

function report(map: CsvMap, clock: SampleClock, payload: Payload, ticks: number): ImportReport {
  return {
    rows: map.rows,
    tickHz: map.tickHz,
    samples: clock.samples,
    ticks,
    firstTimeS: clock.firstS,
    lastTimeS: clock.lastS,
    gaps: clock.gaps,
    ...(clock.longestGap === undefined ? {} : { longestGap: clock.longestGap }),
    clamped: [...payload.clamped].map(([signal, samples]) => ({ signal, samples })),
    defaults: map.assignments.flatMap(({ signal, words }) => (words === undefined ? [] : [{ signal, value: words }])),
  };
}

/**
 * Makes a recording of input messages from a CSV file: one message a tick, the last sample held. What the mapping
 * file leaves out takes the defaults of csv-map.ts and is named in the report. Rows are streamed, not kept.
 * @throws InputError with line and column in the CSV file or the mapping; nothing is written then.
 */
export function importCsv(
  csvPath: string,
  mapPath: string,
  outPath: string,
  contract: Contract,
  onProgress: OnProgress = () => {},
): ImportReport {
  refuseOwnInput(outPath, csvPath, mapPath);
  const map = readCsvMap(mapPath, contract);
  const { rows, tickHz, about } = map;
  const csv = new CsvFile(csvPath);
  try {
    const payload = new Payload(messageBytes(contract, 'input', rows));
    const bound = bindColumns(csv, map, payload);
    const timeColumn = map.time === undefined ? -1 : findColumn(csv, map, map.time.column, ['time', 'column']);
    const clock = new SampleClock(csv, map, timeColumn);
    const writer = RecordingWriter.create(outPath, { contract, rows, tickHz, messages: ['input'], about });
    try {
      const ticks = resample(csv, clock, bound, payload, writer, onProgress);
      writer.close();
      return report(map, clock, payload, ticks);
    } catch (error) {
      writer.abandon();
      throw error;
    }
  } finally {
    csv.close();
  }
}
