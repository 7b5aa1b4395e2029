import { basename } from 'node:path';
import type { FieldType } from '../../../shared/records.js';
import { InputError } from '../../common/input-error.js';
import { formatInstant } from '../../common/instant.js';
import type { OnProgress } from '../../common/progress.js';
import { checkWork } from '../../common/work-limit.js';
import { refuseOverwritingInput } from '../../common/write-atomic.js';
import type { Contract } from '../../contract/contract.js';
import { writeField } from '../../contract/fields.js';
import { messageBytes, messageRecords, type RecordingMessage } from '../../contract/messages.js';
import { parameterValue } from '../../contract/parameter-values.js';
import { RecordingWriter } from '../writer.js';
import { findColumn, type NumberColumn, readCell } from './columns.js';
import { type ClockReport, type Sample, SampleClock, TimeColumn } from './csv-clock.js';
import { CsvFile, type CsvRow } from './csv-file.js';
import { type LogMapping, readCsvMapping } from './csv-mapping.js';
import { type Order, readOrders } from './order-columns.js';
import { OrderTicks, OrderTrack, type ValveReport, valveReport } from './order-track.js';
import { decided, FillTrack, INVALID, valueBetween } from './resample.js';
import { type Assignment, assignSignals, type SignalColumn } from './signal-columns.js';

/** Missing values of a signal, and what became of them. */
export interface MissingReport {
  readonly signal: string;
  readonly column: string;
  readonly samples: number;
  /** Of these, set to what the controller takes for invalid; the others were filled. */
  readonly invalid: number;
}

export interface ImportReport extends ClockReport {
  readonly rows: number;
  readonly tickHz: number;
  readonly ticks: number;
  /** Times of the first and the last sample in the file, s; of dates, the time since the first. */
  readonly firstTimeS: number;
  readonly lastTimeS: number;
  /** The same as the log has them; empty if the mapping gives a rate. */
  readonly firstTime: string;
  readonly lastTime: string;
  /** Date and time of the first sample, UTC, if the log has it. */
  readonly startTime?: string;
  /** Signals with samples beyond the range of their field; these were clamped to its limit. */
  readonly clamped: readonly { readonly signal: string; readonly samples: number; readonly line: number; readonly time: string }[];
  readonly missing: readonly MissingReport[];
  /** What a person should know before the recording is used. */
  readonly cautions: readonly string[];
  /** Units that were read from the header. */
  readonly headerUnits: readonly { readonly signal: string; readonly unit: string }[];
  /** Signals that the mapping omits, and what they were set to. */
  readonly defaults: readonly { readonly signal: string; readonly value: string }[];
  /** Orders of the log's controller; undefined if the mapping has none. */
  readonly orders?: readonly ValveReport[];
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
/** A sample up to this many ticks after a tick belongs to it: times are decimal fractions and don't match ticks exactly. */
const TICK_TOLERANCE = 1e-3;
/** A recording may be this many times as large as the log: one with a column has about 30 times the bytes. */
const GROWTH_MAX = 100;

/** The inputs of a tick under construction: they hold what each signal was last set to. */
class Payload {
  readonly bytes: Uint8Array;
  readonly #view: DataView;

  constructor(size: number) {
    this.bytes = new Uint8Array(size);
    this.#view = new DataView(this.bytes.buffer);
  }

  /** Converts and stores a value, which with its scale is within the range of 32-bit floating point. Returns whether it was clamped. */
  set({ type, offsets, conversion, invalid }: Assignment, value: number): boolean {
    if (value === INVALID) return this.#store(type, offsets, invalid ?? 0);
    const exact = value * conversion.gain + conversion.bias;
    const rounded = type === 'f32' ? Math.fround(exact) : Math.round(exact);
    const [min, max] = LIMITS[type];
    const clamped = Math.min(max, Math.max(min, rounded));
    this.#store(type, offsets, clamped);
    return clamped !== rounded;
  }

  #store(type: FieldType, offsets: readonly number[], value: number): false {
    for (const offset of offsets) writeField(this.#view, 0, { type, offset }, value);
    return false;
  }
}

/** A signal with a column, whose values have the same place in every sample. */
interface BoundSignal {
  readonly assignment: Assignment;
  readonly column: SignalColumn;
  readonly fill: FillTrack;
}

/** A valve with orders. */
interface BoundValve {
  readonly track: OrderTrack;
  readonly ticks: OrderTicks;
  /** Byte of its order in the payload. */
  readonly offset: number;
}

/** A log that is being imported: its columns bound to signals and valves. */
class Log {
  readonly clock: SampleClock;
  readonly input: Payload;
  readonly orders: Uint8Array;
  readonly signals: readonly BoundSignal[];
  readonly valves: readonly BoundValve[];
  readonly assignments: readonly Assignment[];
  readonly clamped = new Map<string, { samples: number; line: number; time: string }>();
  readonly #columns: NumberColumn[] = [];
  #tick = 0;

  constructor(
    readonly csv: CsvFile,
    readonly map: LogMapping,
    readonly contract: Contract,
  ) {
    const { rows, clock, yaml } = map;
    this.input = new Payload(messageBytes(contract, 'input', rows));
    this.orders = new Uint8Array(messageBytes(contract, 'orders', rows));
    this.assignments = assignSignals(map, contract, csv);
    for (const one of this.assignments) if ('value' in one.source) this.input.set(one, one.source.value);
    this.signals = this.assignments.flatMap((assignment) => this.#bindSignal(assignment));
    this.valves = this.#bindValves();
    const names = clock.time?.columns ?? [];
    const path = yaml.value.time?.column === undefined ? (index: number) => ['time', 'columns', index] : () => ['time', 'column'];
    const columns = names.map((name, index) => findColumn(csv, map, name, path(index)));
    this.clock = new SampleClock(clock, new TimeColumn(csv, clock, columns));
  }

  get #slots(): number {
    return this.#columns.length + this.valves.length;
  }

  #bindSignal(assignment: Assignment): BoundSignal[] {
    const { source, signal } = assignment;
    if ('value' in source) return [];
    const slot = this.#columns.push(source) - 1;
    const name = this.csv.header[source.column] ?? '';
    const fill = new FillTrack(slot, source.policy, ({ line, timeText, timeS }, sinceS) => {
      const at = timeText === '' ? '' : `, up to ${timeText}`;
      const problem = `${name} has had no value for ${Number((timeS - sinceS).toFixed(6))} s${at}`;
      const hint = `Give ${signal} another policy for \`missing\`, such as \`beyond: hold\` or \`beyond: invalid\``;
      throw new InputError({ file: this.csv.file, line, column: 1, problem, hint });
    });
    return [{ assignment, column: source, fill }];
  }

  #bindValves(): BoundValve[] {
    const { map, contract, csv } = this;
    const valves = readOrders(map, contract, csv);
    const slots = valves.map(({ source }) => source.columns.map((column) => this.#columns.push(column) - 1));
    const { bank, row: record } = messageRecords(contract, 'orders');
    return valves.map((orders, index) => {
      const { valve, row, strokeS } = orders;
      const field = record.fields.find(({ name }) => name === `${valve}Order`);
      const track = new OrderTrack(orders, slots[index] ?? [], this.#columns.length + index, csv);
      const ticks = new OrderTicks(strokeS === undefined ? undefined : Math.max(1, Math.round(strokeS * map.tickHz)));
      return { track, ticks, offset: bank.size + (row - 1) * record.size + (field?.offset ?? 0) };
    });
  }

  #readValues(row: CsvRow): Float64Array {
    const values = new Float64Array(this.#slots);
    for (const [slot, column] of this.#columns.entries()) values[slot] = readCell(this.csv, row, column);
    return values;
  }

  /** First tick that is not before a sample. */
  #tickOf({ timeS }: Sample): number {
    return Math.max(0, Math.ceil(timeS * this.map.tickHz - TICK_TOLERANCE));
  }

  /** Yields the number of each tick, with its messages in the payloads. The clock has the start before the first one. */
  *ticks({ onProgress = () => {}, isConfirmed }: ImportOptions): Generator<number, void, undefined> {
    const { csv, clock } = this;
    const tracks = [...this.signals.map(({ fill }) => fill), ...this.valves.map(({ track }) => track)];
    let last: Sample | undefined;
    for (const sample of decided(
      clock.samples(csv.rows(), (row) => this.#readValues(row)),
      tracks,
    )) {
      const tick = this.#tickOf(sample);
      this.#checkSize(sample, tick, isConfirmed);
      if (last !== undefined) yield* this.#between(last, sample, tick);
      this.#take(sample, tick);
      last = sample;
      onProgress(csv.share);
    }
    if (last === undefined)
      throw new InputError({ file: csv.file, line: csv.headerLine + 1, column: 1, problem: 'there are no rows below the header' });
    this.#setOrders(this.#tick);
    yield this.#tick;
  }

  /** @throws InputError at a sample that is so late that the recording becomes large, and the log is not */
  #checkSize({ line }: Sample, tick: number, isConfirmed: boolean | undefined): void {
    const { file, size } = this.csv;
    const bytes = tick * (this.input.bytes.length + (this.valves.length > 0 ? this.orders.length : 0));
    if (bytes > size * GROWTH_MAX) checkWork({ file, line, column: 1 }, 'the recording up to this sample', { bytes }, isConfirmed);
  }

  /** Takes over the values of a sample, from this tick on. */
  #take(sample: Sample, tick: number): void {
    for (const [slot, { assignment }] of this.signals.entries()) {
      if (!this.input.set(assignment, sample.values[slot] as number)) continue;
      const { signal } = assignment;
      const found = this.clamped.get(signal) ?? { samples: 0, line: sample.line, time: sample.timeText };
      this.clamped.set(signal, { ...found, samples: found.samples + 1 });
    }
    for (const { track, ticks } of this.valves) ticks.take(sample.values[track.to] as Order, tick);
    this.#tick = tick;
  }

  *#between(from: Sample, to: Sample, endTick: number): Generator<number, void, undefined> {
    const { tickHz } = this.map;
    const { gapS } = to;
    const varying = [...this.signals.entries()].filter(([, { column }]) => gapS !== undefined || column.isLinear);
    const gapTick = gapS === undefined ? Number.NaN : Math.ceil((from.timeS + gapS) * tickHz);
    for (; this.#tick < endTick; this.#tick++) {
      const timeS = this.#tick / tickHz;
      for (const [slot, { assignment, column }] of varying) this.input.set(assignment, valueBetween(column, [from, to], slot, timeS));
      // The end of a stroke in a gap is not known.
      if (this.#tick === gapTick) for (const { ticks } of this.valves) ticks.interrupt(gapTick);
      this.#setOrders(this.#tick);
      yield this.#tick;
    }
  }

  #setOrders(tick: number): void {
    for (const { ticks, offset } of this.valves) this.orders[offset] = ticks.at(tick);
  }
}

/** Writes each tick. The recording is created at the first one, when its start is known. Returns the number of ticks. */
function writeTicks(log: Log, options: ImportOptions, create: () => RecordingWriter): number {
  let writer: RecordingWriter | undefined;
  let count = 0;
  try {
    for (const tick of log.ticks(options)) {
      writer ??= create();
      writer.write('input', tick, log.input.bytes);
      if (log.valves.length > 0) writer.write('orders', tick, log.orders);
      count++;
    }
    writer?.close();
  } catch (error) {
    writer?.abandon();
    throw error;
  }
  return count;
}

/** Held values that change only every few ticks look like jumps to the controller, from about this number on. */
const HELD_TICKS_MAX = 4;

/** What a log cannot show because its samples are far apart. */
function cautionsOf({ tickHz, values }: LogMapping, { signals, valves, assignments, contract }: Log, periodS: number): string[] {
  const ms = Number((periodS * 1000).toPrecision(4));
  const held = signals
    .filter(({ assignment, column }) => assignment.isSensor && !column.isLinear)
    .map(({ assignment }) => assignment.signal);
  const constant = assignments.filter(({ isSensor, source, signal }) => isSensor && 'value' in source && signal !== 'accelerationCounts');
  const isSeen = ({ track }: BoundValve): boolean => track.orders.source.kind !== 'position' && track.orders.strokeS === undefined;
  return [
    ...(constant.length > 0
      ? [
          `${constant.map(({ signal }) => signal).join(', ')}: constant, which the controller takes for a frozen sensor; run with the parameter frozenMs: 0`,
        ]
      : []),
    ...(periodS * tickHz > HELD_TICKS_MAX && held.length > 0
      ? [
          `samples are ${ms} ms apart: to the controller, held values of ${held.join(', ')} jump or stand still, which it reports as faults of the sensors; \`between: linear\` avoids that`,
        ]
      : []),
    ...(periodS * 1000 > parameterValue('strokeMs', contract, values) * 1.001 && valves.some(isSeen)
      ? [`samples are ${ms} ms apart and strokes may be shorter: some may be missing; log faster, or log positions`]
      : []),
  ];
}

function report(log: Log, ticks: number): ImportReport {
  const { map, csv, clock, clamped, signals, valves, assignments } = log;
  return {
    rows: map.rows,
    tickHz: map.tickHz,
    ticks,
    firstTimeS: clock.firstS,
    lastTimeS: clock.lastS,
    firstTime: clock.firstText,
    lastTime: clock.lastText,
    ...(clock.startNs === undefined ? {} : { startTime: formatInstant(clock.startNs) }),
    ...clock.report(),
    clamped: [...clamped].map(([signal, found]) => ({ signal, ...found })),
    missing: signals
      .filter(({ assignment, fill }) => fill.missing > 0 && assignment.defaultText === undefined)
      .map(({ assignment, column, fill: { missing, invalid } }) => ({
        signal: assignment.signal,
        column: csv.header[column.column] ?? '',
        samples: missing,
        invalid,
      })),
    cautions: cautionsOf(map, log, clock.report().intervals?.medianS ?? 0),
    headerUnits: assignments.flatMap(({ signal, unitFromHeader: unit }) => (unit === undefined ? [] : [{ signal, unit }])),
    defaults: assignments.flatMap(({ signal, defaultText }) => (defaultText === undefined ? [] : [{ signal, value: defaultText }])),
    ...(valves.length === 0 ? {} : { orders: valves.map(({ track, ticks: found }) => valveReport(track, found)) }),
  };
}

/** What the recording says about its origin: the log, and which of its times tick 0 is. */
function aboutOf({ csv, map, clock, valves }: Log): Record<string, string> {
  const start = clock.firstText === '' ? '' : `; tick 0 is at ${clock.firstText}`;
  const orders = "from the log, of its controller and not of latchbench's";
  return { log: `${basename(csv.file)}${start}`, ...(valves.length === 0 ? {} : { orders }), ...map.about };
}

/**
 * Makes a recording from a CSV file: inputs in every tick, and the orders of the log's controller, if the mapping file says where they
 * are. Signals that it omits take the defaults of signal-columns.ts and are listed in the report. Rows are streamed.
 * @throws InputError with line and column in the CSV file or the mapping; nothing is written then
 */
export function importCsv(
  csvPath: string,
  mapPath: string,
  outPath: string,
  contract: Contract,
  options: ImportOptions = {},
): ImportReport {
  refuseOverwritingInput(outPath, csvPath, mapPath);
  const map = readCsvMapping(mapPath, contract);
  const { rows, tickHz, table } = map;
  const csv = new CsvFile(csvPath, table);
  try {
    const log = new Log(csv, map, contract);
    const messages: RecordingMessage[] = log.valves.length === 0 ? ['input'] : ['input', 'orders'];
    const ticks = writeTicks(log, options, () => {
      const { startNs } = log.clock;
      const start = startNs === undefined ? {} : { startNs };
      return RecordingWriter.create(outPath, { contract, rows, tickHz, ...start, messages, about: aboutOf(log) });
    });
    return report(log, ticks);
  } finally {
    csv.close();
  }
}
