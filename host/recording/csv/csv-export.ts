import { once } from 'node:events';
import type { Writable } from 'node:stream';
import type { FieldType } from '../../../shared/records.js';
import { dataViewOf } from '../../common/data-view.js';
import { formatF32 } from '../../common/format-f32.js';
import { InputError } from '../../common/input-error.js';
import { tickTime } from '../../common/moment.js';
import type { OnProgress } from '../../common/progress.js';
import { AtomicFile, refuseOverwritingInput } from '../../common/write-atomic.js';
import { isSignal, readField } from '../../contract/fields.js';
import type { FieldLayout, RecordLayout } from '../../contract/layout.js';
import { RECORDING_MESSAGES, type RecordingMessage } from '../../contract/messages.js';
import { openRecording, type RecordedChannel, type Recording } from '../reader.js';

/** What to export; everything by default. */
export interface ExportOptions {
  /** Column names without or with a row: `loadCounts` for all rows, `loadCounts[3]` for one. */
  readonly signals?: readonly string[] | undefined;
  /** First and last tick, inclusive. */
  readonly fromTick?: number | undefined;
  readonly toTick?: number | undefined;
  /** Only every n-th tick, counted from tick 0. */
  readonly everyTicks?: number | undefined;
}

interface Column {
  readonly name: string;
  /** The name without the row. */
  readonly signal: string;
  readonly message: RecordingMessage;
  readonly type: FieldType;
  /** Bytes from the payload's start. */
  readonly offset: number;
}

function readCell(view: DataView, column: Column): string {
  const value = readField(view, 0, column);
  return column.type === 'f32' ? formatF32(value) : String(value);
}

const signalsOf = (record: RecordLayout): readonly FieldLayout[] => record.fields.filter(isSignal);

/** All columns of a channel. A name that another channel has too gets the message's name as a prefix. */
function columnsOf(channel: RecordedChannel, ambiguous: ReadonlySet<string>): Column[] {
  const { message, layout } = channel;
  const signalName = (name: string): string => (ambiguous.has(name) ? `${message}.${name}` : name);
  const bank = signalsOf(layout.bank).map(({ name, type, offset }) => {
    const signal = signalName(name);
    return { name: signal, signal, message, type, offset };
  });
  const rows = signalsOf(layout.row).flatMap(({ name, type, offset }) =>
    Array.from({ length: layout.rows }, (_, index) => {
      const signal = signalName(name);
      return { name: `${signal}[${index + 1}]`, signal, message, type, offset: layout.bank.size + index * layout.row.size + offset };
    }),
  );
  return [...bank, ...rows];
}

function allColumns(recording: Recording): Column[] {
  const order = Object.keys(RECORDING_MESSAGES);
  const channels = [...recording.channels].sort((a, b) => order.indexOf(a.message) - order.indexOf(b.message));
  const seen = new Set<string>();
  const ambiguous = new Set<string>();
  for (const { layout } of channels) {
    const names = new Set([...signalsOf(layout.bank), ...signalsOf(layout.row)].map(({ name }) => name));
    for (const name of names) (seen.has(name) ? ambiguous : seen).add(name);
  }
  return channels.flatMap((channel) => columnsOf(channel, ambiguous));
}

/** Each column once, in the order in which they are named. @throws InputError if a name is neither a column nor a signal */
function selectColumns(recording: Recording, signals: readonly string[] | undefined): Column[] {
  const columns = allColumns(recording);
  if (signals === undefined) return columns;
  const selected = signals.flatMap((value) => {
    const found = columns.filter(({ name, signal }) => name === value || signal === value);
    if (found.length > 0) return found;
    const allowed = [...new Set(columns.map(({ signal }) => signal))];
    throw new InputError({ file: recording.file, problem: `there is no signal ${value}`, value, allowed });
  });
  return [...new Set(selected)];
}

/** @throws InputError if the range of ticks is reversed, or starts after the last tick */
function checkTicks(recording: Recording, { fromTick = 0, toTick = Number.POSITIVE_INFINITY }: ExportOptions): void {
  const { file, tickHz } = recording;
  const at = (tick: number): string => tickTime(tick, tickHz);
  if (toTick < fromTick)
    throw new InputError({ file, problem: `--to is ${at(toTick)}`, value: toTick, allowed: `at or after --from, ${at(fromTick)}` });
  if (fromTick === 0) return;
  const [first] = recording.messages({ fromTick });
  if (first === undefined)
    throw new InputError({ file, problem: `the recording has no ${at(fromTick)}`, value: fromTick, hint: 'Give an earlier --from' });
}

interface Cell {
  readonly column: Column;
  /** Position in the line. */
  readonly index: number;
}

/** Groups the columns by the message that fills them. */
function cellsByMessage(columns: readonly Column[]): Partial<Record<RecordingMessage, Cell[]>> {
  const cells: Partial<Record<RecordingMessage, Cell[]>> = {};
  for (const [index, column] of columns.entries()) {
    cells[column.message] ??= [];
    cells[column.message]?.push({ column, index });
  }
  return cells;
}

/** Yields the header and one line per tick; a message that is missing at a tick leaves its cells empty. */
function* lines(
  recording: Recording,
  columns: readonly Column[],
  options: ExportOptions,
  onProgress: OnProgress,
): Generator<string, void, undefined> {
  const { fromTick, toTick, everyTicks = 1 } = options;
  const cells = cellsByMessage(columns);
  const empty: readonly string[] = columns.map(() => '');
  let texts = [...empty];
  let tick = -1;
  let done = 0;
  const line = (): string => `${[tick / recording.tickHz, tick, ...texts].join(',')}\n`;
  yield `${['time_s', 'tick', ...columns.map(({ name }) => name)].join(',')}\n`;
  for (const one of recording.messages({ messages: Object.keys(cells) as RecordingMessage[], fromTick, toTick })) {
    done++;
    onProgress(done / recording.count);
    if (one.tick % everyTicks !== 0) continue;
    if (one.tick !== tick && tick >= 0) {
      yield line();
      texts = [...empty];
    }
    tick = one.tick;
    const view = dataViewOf(one.payload);
    for (const { column, index } of cells[one.message] ?? []) texts[index] = readCell(view, column);
  }
  if (tick >= 0) yield line();
}

const BLOCK_LENGTH = 1 << 16;

/** Joins lines into blocks, because each write is a system call. */
function* blocks(parts: Iterable<string>): Generator<string, void, undefined> {
  let block = '';
  for (const part of parts) {
    block += part;
    if (block.length < BLOCK_LENGTH) continue;
    yield block;
    block = '';
  }
  if (block !== '') yield block;
}

/**
 * Writes a recording as CSV: `time_s`, `tick`, then the bank's fields and `name[row]` of each message, one line per tick.
 * A name that two messages share gets the prefix `input.`, `output.` or `probe.`. Numbers read back exactly, except the
 * payload of a NaN. `out` is a path, or a stream such as standard output, which stays open.
 * @throws InputError if the recording is damaged, or has no such signal or tick; no file is written then
 */
export async function exportCsv(
  recordingPath: string,
  out: string | Writable,
  options: ExportOptions = {},
  onProgress: OnProgress = () => {},
): Promise<void> {
  const recording = openRecording(recordingPath);
  checkTicks(recording, options);
  const text = blocks(lines(recording, selectColumns(recording, options.signals), options, onProgress));
  if (typeof out !== 'string') {
    for (const block of text) if (!out.write(block)) await once(out, 'drain');
    return;
  }
  refuseOverwritingInput(out, recordingPath);
  const file = new AtomicFile(out);
  try {
    for (const block of text) file.write(block);
  } catch (error) {
    file.abandon();
    throw error;
  }
  file.commit();
}
