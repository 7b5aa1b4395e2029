import type { FieldType } from '../../../shared/records.js';
import { InputError, showValue } from '../../common/input-error.js';
import type { OnProgress } from '../../common/progress.js';
import { refuseOverwritingInput } from '../../common/write-atomic.js';
import type { Contract } from '../../contract/contract.js';
import { writeField } from '../../contract/fields.js';
import { messageBytes } from '../../contract/messages.js';
import { RecordingWriter } from '../writer.js';
import { CsvFile, type CsvRow } from './csv-file.js';
import { type Assignment, type CsvMapping, readCsvMapping } from './csv-mapping.js';

/** An interval between two samples that is longer than `gapMs`. */
export interface Gap {
  readonly ms: number;
  /** Line of the sample after it in the CSV file. */
  readonly line: number;
  /** Time of the sample before it, s from the first one. */
  readonly fromS: number;
}

export interface ImportReport {
  readonly rows: number;
  readonly tickHz: number;
  readonly samples: number;
  readonly ticks: number;
  /** Times of the first and the last sample in the file, s. */
  readonly firstTimeS: number;
  readonly lastTimeS: number;
  readonly gaps: number;
  readonly longestGap?: Gap;
  /** Signals with samples beyond the range of their field; these were clamped to its limit. */
  readonly clamped: readonly { readonly signal: string; readonly samples: number }[];
  /** Signals that the mapping omits, and what they were set to. */
  readonly defaults: readonly { readonly signal: string; readonly value: string }[];
}

/** Longest recording that is made from a CSV file: a longer one means that the unit of the time is wrong. */
const DURATION_MAX_S = 86400;
/** A gap is longer than this number of sample periods, unless the mapping gives `gapMs`. */
const GAP_PERIODS = 5;
/** A sample up to this many ticks after a tick belongs to it: times are decimal fractions and don't match ticks exactly. */
const TICK_TOLERANCE = 1e-3;

const NUMBER = /^\s*[-+]?(\d+\.?\d*|\.\d+)(e[-+]?\d+)?\s*$/i;

function readNumber(csv: CsvFile, row: CsvRow, column: number): number {
  const cell = row.cells[column] ?? '';
  const value = Number(cell);
  if (NUMBER.test(cell) && Number.isFinite(value)) return value;
  const problem = cell.trim() === '' ? `${csv.header[column]} is empty` : `${csv.header[column]} is ${showValue(cell)}`;
  throw csv.errorAt(row.line, column, { problem, value: cell, allowed: 'a finite number (decimal point, not comma)' });
}

/** Finds the tick of each sample, and the gaps between samples. */
class SampleClock {
  firstS = 0;
  lastS = 0;
  samples = 0;
  gaps = 0;
  longestGap: Gap | undefined;
  readonly #csv: CsvFile;
  readonly #map: CsvMapping;
  readonly #column: number;
  #regularSum = 0;
  #regularCount = 0;

  constructor(csv: CsvFile, map: CsvMapping, column: number) {
    this.#csv = csv;
    this.#map = map;
    this.#column = column;
  }

  /** Returns the first tick that is not before the sample. @throws InputError if time runs backwards or too far */
  tickOf(row: CsvRow): number {
    const time = this.#time(row);
    if (this.samples === 0) this.firstS = time;
    else this.#step(row, time);
    this.lastS = time;
    this.samples++;
    const elapsed = time - this.firstS;
    if (elapsed > DURATION_MAX_S) throw this.#error(row, `this is ${elapsed} s after the first sample`, `at most ${DURATION_MAX_S} s`);
    return Math.max(0, Math.ceil(elapsed * this.#map.tickHz - TICK_TOLERANCE));
  }

  #time(row: CsvRow): number {
    const { time, rateHz = 1 } = this.#map;
    if (time === undefined) return this.samples / rateHz;
    return readNumber(this.#csv, row, this.#column) * time.toSeconds.gain + time.toSeconds.bias;
  }

  /** The sample period is the mean of the intervals so far that were not gaps. */
  #step(row: CsvRow, time: number): void {
    const interval = time - this.lastS;
    if (interval < 0) throw this.#error(row, `time runs backwards to ${time} s`, `at least ${this.lastS} s`);
    const mean = this.#regularCount === 0 ? Number.POSITIVE_INFINITY : this.#regularSum / this.#regularCount;
    const { gapMs } = this.#map;
    const limit = gapMs === undefined ? GAP_PERIODS * mean : gapMs / 1000;
    if (interval <= limit) {
      this.#regularSum += interval;
      this.#regularCount++;
      return;
    }
    this.gaps++;
    const gap = { ms: Number((interval * 1000).toFixed(6)), line: row.line, fromS: this.lastS - this.firstS };
    if (gap.ms > (this.longestGap?.ms ?? 0)) this.longestGap = gap;
  }

  #error(row: CsvRow, problem: string, allowed: string): InputError {
    const { file } = this.#csv;
    if (this.#map.time === undefined) return new InputError({ file, line: row.line, column: 1, problem, allowed });
    return this.#csv.errorAt(row.line, this.#column, { problem, value: row.cells[this.#column], allowed });
  }
}

const LIMITS: Readonly<Record<FieldType, readonly [number, number]>> = {
  u8: [0, 0xff],
  u16: [0, 0xffff],
  u32: [0, 0xffffffff],
  i32: [-0x80000000, 0x7fffffff],
  f32: [Number.NEGATIVE_INFINITY, Number.POSITIVE_INFINITY],
  f64: [Number.NEGATIVE_INFINITY, Number.POSITIVE_INFINITY],
};

/** The message under construction: it holds what each signal was last set to. */
class Payload {
  readonly bytes: Uint8Array;
  readonly clamped = new Map<string, number>();
  readonly #view: DataView;

  constructor(size: number) {
    this.bytes = new Uint8Array(size);
    this.#view = new DataView(this.bytes.buffer);
  }

  /** Converts and stores a value. Returns false if the result is beyond the range of 32-bit floating point. */
  set({ signal, type, offsets, conversion }: Assignment, value: number): boolean {
    const exact = value * conversion.gain + conversion.bias;
    const rounded = type === 'f32' ? Math.fround(exact) : Math.round(exact);
    const [min, max] = LIMITS[type];
    const clamped = Math.min(max, Math.max(min, rounded));
    if (clamped !== rounded) this.clamped.set(signal, (this.clamped.get(signal) ?? 0) + 1);
    for (const offset of offsets) writeField(this.#view, 0, { type, offset }, clamped);
    return Number.isFinite(rounded);
  }
}

const FLOAT_RANGE = 'within the range of 32-bit floating point';

interface Bound {
  readonly assignment: Assignment;
  readonly column: number;
}

/** @throws InputError at the mapping's line if the CSV file has no such column; in the CSV file if it has two */
function findColumn(csv: CsvFile, map: CsvMapping, name: string, path: (string | number)[]): number {
  const column = csv.header.indexOf(name);
  if (column < 0) throw map.yaml.errorAt(path, { problem: `${csv.file} has no column ${showValue(name)}`, allowed: csv.header });
  const second = csv.header.indexOf(name, column + 1);
  if (second >= 0) throw csv.errorAt(1, second, { problem: `this is a second column named ${showValue(name)}`, value: name });
  return column;
}

/** Writes constants into the payload and binds the other assignments to their columns. */
function bindColumns(csv: CsvFile, map: CsvMapping, payload: Payload): Bound[] {
  const bound: Bound[] = [];
  for (const assignment of map.assignments) {
    const { source, index } = assignment;
    if ('column' in source) {
      bound.push({ assignment, column: findColumn(csv, map, source.column, ['signals', index ?? 0, 'column']) });
    } else if (!payload.set(assignment, source.value)) {
      throw map.yaml.errorAt(['signals', index ?? 0, 'value'], { allowed: FLOAT_RANGE });
    }
  }
  return bound;
}

function setCells(csv: CsvFile, row: CsvRow, bound: readonly Bound[], payload: Payload): void {
  for (const { assignment, column } of bound) {
    if (payload.set(assignment, readNumber(csv, row, column))) continue;
    const value = row.cells[column];
    throw csv.errorAt(row.line, column, { problem: `${assignment.signal} is ${value}`, value, allowed: FLOAT_RANGE });
  }
}

/** Writes one message per tick, holding each sample until the next one. Returns the number of ticks. */
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
  if (clock.samples === 0) throw new InputError({ file: csv.file, line: 2, column: 1, problem: 'there are no rows below the header' });
  writer.write('input', tick, payload.bytes);
  return tick + 1;
}

function report(map: CsvMapping, clock: SampleClock, payload: Payload, ticks: number): ImportReport {
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
    defaults: map.assignments.flatMap(({ signal, defaultText }) => (defaultText === undefined ? [] : [{ signal, value: defaultText }])),
  };
}

/**
 * Makes a recording of input messages from a CSV file: one message per tick, each sample held until the next one. Signals that
 * the mapping file omits take the defaults of csv-mapping.ts and are listed in the report. Rows are streamed.
 * @throws InputError with line and column in the CSV file or the mapping; nothing is written then
 */
export function importCsv(
  csvPath: string,
  mapPath: string,
  outPath: string,
  contract: Contract,
  onProgress: OnProgress = () => {},
): ImportReport {
  refuseOverwritingInput(outPath, csvPath, mapPath);
  const map = readCsvMapping(mapPath, contract);
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
