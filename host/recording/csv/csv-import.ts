import type { FieldType } from '../../../shared/records.js';
import { InputError, showValue } from '../../common/input-error.js';
import { formatInstant } from '../../common/instant.js';
import type { OnProgress } from '../../common/progress.js';
import { checkWork } from '../../common/work-limit.js';
import { refuseOverwritingInput } from '../../common/write-atomic.js';
import type { Contract } from '../../contract/contract.js';
import { writeField } from '../../contract/fields.js';
import { messageBytes } from '../../contract/messages.js';
import { RecordingWriter } from '../writer.js';
import { type Gap, readNumber, SampleClock, TimeColumn } from './csv-clock.js';
import { CsvFile, type CsvRow } from './csv-file.js';
import { type Assignment, type CsvMapping, NUMBER_MAX, readCsvMapping } from './csv-mapping.js';

export interface ImportReport {
  readonly rows: number;
  readonly tickHz: number;
  readonly samples: number;
  readonly ticks: number;
  /** Times of the first and the last sample in the file, s; of dates, the time since the first. */
  readonly firstTimeS: number;
  readonly lastTimeS: number;
  /** Date and time of the first sample, UTC, if the log has it. */
  readonly startTime?: string;
  readonly gaps: number;
  readonly longestGap?: Gap;
  /** Signals with samples beyond the range of their field; these were clamped to its limit. */
  readonly clamped: readonly { readonly signal: string; readonly samples: number }[];
  /** Signals that the mapping omits, and what they were set to. */
  readonly defaults: readonly { readonly signal: string; readonly value: string }[];
}

/** How to import. */
export interface ImportOptions {
  readonly onProgress?: OnProgress;
  readonly isConfirmed?: boolean | undefined;
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

  /** Converts and stores a value, which with its scale is within the range of 32-bit floating point. */
  set({ signal, type, offsets, conversion }: Assignment, value: number): void {
    const exact = value * conversion.gain + conversion.bias;
    const rounded = type === 'f32' ? Math.fround(exact) : Math.round(exact);
    const [min, max] = LIMITS[type];
    const clamped = Math.min(max, Math.max(min, rounded));
    if (clamped !== rounded) this.clamped.set(signal, (this.clamped.get(signal) ?? 0) + 1);
    for (const offset of offsets) writeField(this.#view, 0, { type, offset }, clamped);
  }
}

interface Bound {
  readonly assignment: Assignment;
  readonly column: number;
}

/** @throws InputError at the mapping's line if the CSV file has no such column */
function findColumn(csv: CsvFile, map: CsvMapping, name: string, path: (string | number)[]): number {
  const column = csv.header.indexOf(name);
  if (column < 0) throw map.yaml.errorAt(path, { problem: `${csv.file} has no column ${showValue(name)}`, allowed: csv.header });
  return column;
}

/** Writes constants into the payload and binds the other assignments to their columns. */
function bindColumns(csv: CsvFile, map: CsvMapping, payload: Payload): Bound[] {
  const bound: Bound[] = [];
  for (const assignment of map.assignments) {
    const { source, index } = assignment;
    if ('column' in source) {
      bound.push({ assignment, column: findColumn(csv, map, source.column, ['signals', index ?? 0, 'column']) });
    } else {
      payload.set(assignment, source.value);
    }
  }
  return bound;
}

function setCells(csv: CsvFile, row: CsvRow, bound: readonly Bound[], payload: Payload): void {
  for (const { assignment, column } of bound) {
    const number = readNumber(csv, row, column);
    if (Math.abs(number) > NUMBER_MAX) {
      const value = row.cells[column];
      const allowed = `between ${-NUMBER_MAX} and ${NUMBER_MAX}`;
      throw csv.errorAt(row.line, column, { problem: `${csv.header[column]} is ${showValue(value)}`, value, allowed });
    }
    payload.set(assignment, number);
  }
}

/** Resamples a CSV file: one message per tick, each sample held until the next one. */
interface Resampling {
  readonly csv: CsvFile;
  readonly clock: SampleClock;
  readonly bound: readonly Bound[];
  readonly payload: Payload;
  readonly onProgress: OnProgress;
  /** The user has agreed to a recording of any size. */
  readonly isConfirmed: boolean | undefined;
}

/** A recording may be this many times as large as the log: one with a column has about 30 times the bytes. */
const GROWTH_MAX = 100;

/** @throws InputError at a sample that is so late that the recording becomes large, and the log is not */
function checkSize({ file, size }: CsvFile, { line }: CsvRow, bytes: number, isConfirmed: boolean | undefined): void {
  if (bytes > size * GROWTH_MAX) checkWork({ file, line, column: 1 }, 'the recording up to this sample', { bytes }, isConfirmed);
}

/** Yields the number of each tick, with its message in the payload. The clock has the start before the first one. */
function* resample({ csv, clock, bound, payload, onProgress, isConfirmed }: Resampling): Generator<number, void, undefined> {
  let tick = 0;
  for (const row of csv.rows()) {
    const sampleTick = clock.tickOf(row);
    checkSize(csv, row, sampleTick * payload.bytes.length, isConfirmed);
    for (; tick < sampleTick; tick++) yield tick;
    setCells(csv, row, bound, payload);
    onProgress(csv.share);
  }
  if (clock.samples === 0) throw new InputError({ file: csv.file, line: 2, column: 1, problem: 'there are no rows below the header' });
  yield tick;
}

/** Writes each tick. The recording is created at the first one, when its start is known. Returns the number of ticks. */
function writeTicks(ticks: Iterable<number>, payload: Payload, create: () => RecordingWriter): number {
  let writer: RecordingWriter | undefined;
  let count = 0;
  try {
    for (const tick of ticks) {
      writer ??= create();
      writer.write('input', tick, payload.bytes);
      count++;
    }
    writer?.close();
  } catch (error) {
    writer?.abandon();
    throw error;
  }
  return count;
}

function report(map: CsvMapping, clock: SampleClock, payload: Payload, ticks: number): ImportReport {
  return {
    rows: map.rows,
    tickHz: map.tickHz,
    samples: clock.samples,
    ticks,
    firstTimeS: clock.firstS,
    lastTimeS: clock.lastS,
    ...(clock.startNs === undefined ? {} : { startTime: formatInstant(clock.startNs) }),
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
  { onProgress = () => {}, isConfirmed }: ImportOptions = {},
): ImportReport {
  refuseOverwritingInput(outPath, csvPath, mapPath);
  const map = readCsvMapping(mapPath, contract);
  const { rows, tickHz, about } = map;
  const csv = new CsvFile(csvPath);
  try {
    const payload = new Payload(messageBytes(contract, 'input', rows));
    const bound = bindColumns(csv, map, payload);
    const timeColumn = map.time === undefined ? -1 : findColumn(csv, map, map.time.column, ['time', 'column']);
    const clock = new SampleClock(map, new TimeColumn(csv, map, timeColumn));
    const ticks = writeTicks(resample({ csv, clock, bound, payload, onProgress, isConfirmed }), payload, () => {
      const { startNs } = clock;
      const start = startNs === undefined ? {} : { startNs };
      return RecordingWriter.create(outPath, { contract, rows, tickHz, ...start, messages: ['input'], about });
    });
    return report(map, clock, payload, ticks);
  } finally {
    csv.close();
  }
}
