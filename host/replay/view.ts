import { InputError } from '../common/input-error.js';
import { tickTime } from '../common/moment.js';
import type { OnProgress } from '../common/progress.js';
import { type Contract, describeContract } from '../contract/contract.js';
import { type ControllerMessage, type MessageName, messageBytes, messageRecords, type RecordingMessage } from '../contract/messages.js';
import { identifyRun } from '../contract/run-identity.js';
import { openRecording, type Recording } from '../recording/reader.js';
import { type Controller, createWasmRunner } from '../runner/wasm-runner.js';
import { type Change, ChangeDetector, outputSignals } from './change.js';
import { OrderDetector } from './log-orders.js';
import { InputMarks, type Mark } from './marks.js';
import { type RecordedPass, type Run, runRecording } from './replay.js';
import { findSignal, type Part, type Series, SeriesCollector, type Signal } from './series.js';
import { LaneCollector, type Lanes } from './spans.js';

/** What to view of a run. */
export interface ViewOptions {
  /** Row of signals without one. */
  readonly row: number;
  /** Names of signals, those of a pane together; the default panes if not given. */
  readonly panes?: readonly (readonly string[])[] | undefined;
  /** Maximum number of values of a series. */
  readonly bins: number;
  /** First and last tick, both inclusive; the whole run if not given. */
  readonly fromTick?: number | undefined;
  readonly toTick?: number | undefined;
}

/** Signals and outputs of a run, or of a part of it, over time. */
export interface View {
  readonly title: string;
  /** In force; undefined if a recording does not say. */
  readonly strategy?: string | undefined;
  /** Rows of the bank. */
  readonly rows: number;
  readonly tickHz: number;
  readonly part: Part;
  readonly panes: readonly (readonly Series[])[];
  /** Of the rows that the signals belong to; undefined for a recording without outputs and orders. */
  readonly lanes?: Lanes | undefined;
  /** The open valves are by the orders of a log's controller, whose modes and faults are not known. */
  readonly isOfLog?: boolean;
  /** What happens to the bank from outside, within the part. */
  readonly marks: readonly Mark[];
  /** Where the controller stopped, if it did. */
  readonly trap?: Run['trap'];
}

/** Adds marks to a view: those within its part, of the bank and of the rows that it shows. */
export function withMarks(view: View, marks: readonly Mark[]): View {
  const { first, ticks } = view.part;
  const rows = view.lanes?.rows.map(({ row }) => row);
  const shown = marks.filter(({ row, fromTick, untilTick }) => {
    return fromTick < first + ticks && untilTick > first && (row === 0 || rows === undefined || rows.includes(row));
  });
  return { ...view, marks: [...view.marks, ...shown].sort((one, other) => one.fromTick - other.fromTick) };
}

export interface ViewListener {
  /** Called for each change of an output up to the end of the part. */
  readonly onChange?: (change: Change) => void;
  readonly onProgress?: OnProgress;
}

/** Panes that fit on a page, signals that can be distinguished in a pane, rows whose lanes fit below the panes. */
const PANES_MAX = 24;
const PANE_SIGNALS_MAX = 12;
const LANE_ROWS_MAX = 4;

/** Panes by the message that they are read from. The first message that a recording has decides. */
const DEFAULT_PANES: readonly (readonly [MessageName, readonly (readonly string[])[]])[] = [
  [
    'truth',
    [
      ['targetLoadN', 'wheelN', 'loadN'],
      ['chamberKpa', 'setPointKpa', 'pressureKpa'],
      ['groundMm', 'travelMm'],
    ],
  ],
  [
    'probe',
    [
      ['targetLoadN', 'loadRawN', 'loadN'],
      ['setPointKpa', 'pressureRawKpa'],
    ],
  ],
  ['input', [['loadCounts'], ['pressureCounts']]],
];

/** Order in which messages are searched for a name. */
const MESSAGE_ORDER: readonly RecordingMessage[] = ['probe', 'truth', 'input', 'output', 'orders'];

/** A run to view, before its first tick. */
interface Source {
  readonly contract: Contract;
  readonly title: string;
  readonly strategy: string | undefined;
  readonly file: string;
  readonly rows: number;
  readonly tickHz: number;
  readonly ticks: number;
  readonly messages: readonly RecordingMessage[];
}

/** Collects a view. */
interface ViewCollector {
  readonly part: Part;
  readonly series: SeriesCollector;
  readonly lanes: LaneCollector;
  readonly inputs: InputMarks;
  /** @param hasOutputs whether the run has outputs to draw lanes of */
  view(hasOutputs: boolean, trap?: Run['trap']): View;
}

/** @throws InputError if the part lies outside the run, or is empty */
function partOf({ ticks, tickHz, file }: Source, { fromTick = 0, toTick = Number.POSITIVE_INFINITY, bins }: ViewOptions): Part {
  const at = (tick: number): string => tickTime(tick, tickHz);
  if (toTick < fromTick)
    throw new InputError({ file, problem: `--to is ${at(toTick)}`, value: toTick, allowed: `at or after --from, ${at(fromTick)}` });
  if (fromTick > 0 && fromTick >= ticks)
    throw new InputError({ file, problem: `--from is ${at(fromTick)}`, value: fromTick, allowed: `before the end at ${at(ticks)}` });
  const length = Math.min(ticks, toTick + 1) - fromTick;
  return { first: fromTick, ticks: length, bins: Math.min(length, bins) };
}

function hasSignal({ contract, messages }: Source, name: string): boolean {
  const records = messages.flatMap((message) => Object.values(messageRecords(contract, message)));
  return records.some(({ fields }) => fields.some((field) => field.name === name));
}

/** The default panes, without the signals that the source does not have. */
function defaultPanes(source: Source): readonly (readonly string[])[] {
  const panes = DEFAULT_PANES.find(([message]) => source.messages.includes(message))?.[1] ?? [['mode']];
  return panes.map((names) => names.filter((name) => hasSignal(source, name))).filter((names) => names.length > 0);
}

/** @throws InputError if there are too many panes, or signals in one, or if a pane mixes units */
function checkPanes(panes: readonly (readonly Signal[])[], file: string): void {
  const tooMany = (problem: string, value: number, max: number): InputError =>
    new InputError({ file, problem, value, allowed: `at most ${max}` });
  if (panes.length > PANES_MAX) throw tooMany(`the number of panes is ${panes.length}`, panes.length, PANES_MAX);
  for (const signals of panes) {
    const symbols = new Set(signals.map((signal) => signal.symbol));
    if (symbols.size > 1) {
      const named = signals.map((signal) => `${signal.label} in ${signal.symbol || '1'}`).join(', ');
      const hint = 'Give each unit its own --signal';
      throw new InputError({ file, problem: `one pane mixes units: ${named}`, value: named, hint });
    }
    if (signals.length > PANE_SIGNALS_MAX)
      throw tooMany(`the number of signals in one pane is ${signals.length}`, signals.length, PANE_SIGNALS_MAX);
  }
}

/** Rows that signals belong to, or the default row if all are of the bank. */
function rowsOf(signals: readonly Signal[], row: number): number[] {
  const rows = [...new Set(signals.map((signal) => signal.row))].filter((one) => one > 0);
  return rows.length === 0 ? [row] : rows.sort((a, b) => a - b).slice(0, LANE_ROWS_MAX);
}

/** @throws InputError if there is no such row, signal or part */
function collectorOf(source: Source, options: ViewOptions): ViewCollector {
  const { contract, title, strategy, file, rows, tickHz } = source;
  const { row } = options;
  if (row < 1 || row > rows) throw new InputError({ file, problem: `--row is ${row}`, value: row, allowed: `between 1 and ${rows}` });
  const part = partOf(source, options);
  const panes = (options.panes ?? defaultPanes(source)).map((names) => names.map((name) => findSignal({ ...source, row }, name)));
  checkPanes(panes, file);
  const signals = panes.flat();
  const collector = new SeriesCollector(signals, part);
  const lanes = new LaneCollector(contract, rowsOf(signals, row), part);
  const inputs = new InputMarks(contract);
  const view: ViewCollector['view'] = (hasOutputs, trap) => ({
    title,
    strategy,
    rows,
    tickHz,
    part,
    panes: panes.map((inPane) => collector.series.filter(({ signal }) => inPane.includes(signal))),
    lanes: hasOutputs ? lanes.finish() : undefined,
    marks: inputs.marks.filter(({ fromTick, untilTick }) => fromTick < part.first + part.ticks && untilTick > part.first),
    trap,
  });
  return { part, series: collector, lanes, inputs, view };
}

/**
 * Replays recorded inputs and collects a view. Inputs, outputs and probes are available by name.
 * @throws InputError if there is no such row, signal or part, or the recording is damaged
 */
export function viewReplay(
  controller: Controller,
  pass: RecordedPass,
  options: ViewOptions,
  { onChange, onProgress }: ViewListener = {},
): View {
  const { contract } = controller.description;
  const { title, inputFile: file, rows, tickHz } = pass;
  const messages: readonly ControllerMessage[] = ['probe', 'input', 'output'];
  const { strategy } = identifyRun(contract, pass.values);
  const ticks = openRecording(file, contract).counts.input ?? 0;
  const { part, series, lanes, inputs, view } = collectorOf({ contract, title, strategy, file, rows, tickHz, ticks, messages }, options);
  const runner = createWasmRunner(controller, rows, pass.values);
  const end = part.first + part.ticks;
  const take = (change: Change): void => {
    if (change.tick >= end) return;
    lanes.take(change);
    onChange?.(change);
  };
  const { trap } = runRecording(runner, file, tickHz, take, (tick) => {
    for (const message of messages) series.take(message, tick, runner[message]);
    inputs.take(tick, runner.input);
    onProgress?.((tick + 1) / ticks);
  });
  return view(true, trap);
}

/**
 * Length of a recording in ticks. Each kind of message comes at most once a tick, so the last tick is at least the largest count
 * less one: chunks before that need not be unpacked.
 */
function lengthOf(recording: Recording): number {
  const count = Math.max(0, ...Object.values(recording.counts));
  let ticks = 0;
  for (const { tick } of recording.messages({ fromTick: Math.max(0, count - 1) })) ticks = tick + 1;
  return ticks;
}

/** A log does not say modes and faults. */
const withoutModes = ({ rows }: Lanes): Lanes => ({
  bank: { mode: [], faults: [] },
  rows: rows.map((row) => ({ ...row, mode: [], faults: [] })),
});

/**
 * Reads a recording and collects a view of the messages in it. Memory does not depend on its length.
 * @throws InputError if there is no such row, signal or part, or the recording is damaged
 */
export function viewRecording(
  file: string,
  options: ViewOptions,
  { onChange, onProgress }: ViewListener = {},
  contract = describeContract(),
): View {
  const recording = openRecording(file, contract);
  const { rows, tickHz, about, channels } = recording;
  const messages = MESSAGE_ORDER.filter((message) => channels.some((channel) => channel.message === message));
  const { title = file, strategy } = about;
  const source = { contract, title, strategy, file, rows, tickHz, ticks: lengthOf(recording), messages };
  const { part, series, lanes, inputs, view } = collectorOf(source, options);
  // The detector needs one address for the outputs of all messages.
  const output = new Uint8Array(messageBytes(contract, 'output', rows));
  const detector = new ChangeDetector(output, outputSignals(contract));
  const isOfLog = messages.includes('orders') && !messages.includes('output');
  const orders = new OrderDetector(contract, rows);
  const take = (change: Change): void => {
    lanes.take(change);
    onChange?.(change);
  };
  const read = (choice: { messages?: RecordingMessage[]; fromTick?: number; toTick: number }): void => {
    for (const { message, tick, payload } of recording.messages(choice)) {
      onProgress?.((tick + 1) / (part.first + part.ticks));
      series.take(message, tick, payload);
      if (message === 'orders' && isOfLog) orders.detect(tick, payload, take);
      if (message === 'input') inputs.take(tick, payload);
      if (message !== 'output') continue;
      output.set(payload);
      detector.detect(tick, take);
    }
  };
  // Orders before the part decide which valves are open at its start.
  if (part.first > 0) read({ messages: ['output', 'orders'], toTick: part.first - 1 });
  read({ fromTick: part.first, toTick: part.first + part.ticks - 1 });
  const found = view(messages.includes('output') || isOfLog, undefined);
  return isOfLog ? { ...found, lanes: found.lanes && withoutModes(found.lanes), isOfLog } : found;
}
