import { InputError } from '../common/input-error.js';
import type { OnProgress } from '../common/progress.js';
import { type Contract, describeContract } from '../contract/contract.js';
import { type ControllerMessage, type MessageName, messageBytes, messageRecords } from '../contract/messages.js';
import { openRecording, type Recording } from '../recording/reader.js';
import { type Controller, createWasmRunner } from '../runner/wasm-runner.js';
import { type Change, ChangeDetector, outputSignals } from './change.js';
import { type RecordedPass, type Run, runRecording } from './replay.js';
import { displayOf, findSignal, type Part, type Series, type Signal, Tracer } from './series.js';
import { type Lanes, LaneTracer } from './spans.js';

/** What to look at. */
export interface Look {
  /** Row of signals that name none. */
  readonly row: number;
  /** Signals by name, those that share a pane together; the usual ones if not given. */
  readonly panes?: readonly (readonly string[])[] | undefined;
  /** How many values each series has at most. */
  readonly stretches: number;
  /** First and last tick of the part to look at, both inclusive; from begin to end if not given. */
  readonly fromTick?: number | undefined;
  readonly toTick?: number | undefined;
}

/** What a run, or a part of it, looked like. */
export interface View {
  readonly title: string;
  /** Rows of the bank. */
  readonly rows: number;
  readonly tickHz: number;
  readonly part: Part;
  readonly panes: readonly (readonly Series[])[];
  /** Of the rows that the signals name; undefined where a recording does not hold what the controller answered. */
  readonly lanes?: Lanes | undefined;
  /** Where the controller stopped, if it did. */
  readonly trap?: Run['trap'];
}

/** Told of what goes by. */
export interface Listener {
  /** Each change of an output up to the end of the part. */
  readonly change?: (change: Change) => void;
  readonly progress?: OnProgress;
}

/** Panes that fit on a page, signals that can be told apart in one, rows whose lanes fit below. */
const PANES_MOST = 24;
const PANE_SIGNALS_MOST = 12;
const LANE_ROWS_MOST = 4;

/** What a tuner looks at first, by the message that it takes: the first that there is counts. */
const USUAL_PANES: readonly (readonly [MessageName, readonly (readonly string[])[]])[] = [
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

/** The messages in which a name is looked for, in this order. */
const MESSAGE_ORDER: readonly MessageName[] = ['probe', 'truth', 'input', 'output'];

/** A run to look at, before its first tick. */
interface Source {
  readonly contract: Contract;
  readonly title: string;
  readonly file: string;
  readonly rows: number;
  readonly tickHz: number;
  readonly ticks: number;
  readonly messages: readonly MessageName[];
}

/** Gathers what is looked for. */
interface Gathering {
  readonly part: Part;
  readonly tracer: Tracer;
  readonly lanes: LaneTracer;
  view(answered: boolean, trap?: Run['trap']): View;
}

/** @throws InputError when the part lies outside the run, or has nothing in it */
function partOf({ ticks, file }: Source, { fromTick = 0, toTick = Number.POSITIVE_INFINITY, stretches }: Look): Part {
  const wrong = (what: string, value: number, allowed: string): InputError => new InputError({ file, what, value, allowed });
  if (fromTick > 0 && fromTick >= ticks) throw wrong('--from', fromTick, `below ${ticks} ticks`);
  if (toTick < fromTick) throw wrong('--to', toTick, `from tick ${fromTick} up, where the part begins`);
  const length = Math.min(ticks, toTick + 1) - fromTick;
  return { first: fromTick, ticks: length, stretches: Math.min(length, stretches) };
}

/** Whether a source has a signal of this name. */
function isThere({ contract, messages }: Source, name: string): boolean {
  const records = messages.flatMap((message) => Object.values(messageRecords(contract, message)));
  return records.some(({ fields }) => fields.some((field) => field.name === name));
}

/** What is looked at where nobody says, as far as it is there. */
function usualPanes(source: Source): readonly (readonly string[])[] {
  const usual = USUAL_PANES.find(([message]) => source.messages.includes(message))?.[1] ?? [['mode']];
  return usual.map((names) => names.filter((name) => isThere(source, name))).filter((names) => names.length > 0);
}

/** @throws InputError when a pane holds too much, or units that don't go together */
function checkPanes(panes: readonly (readonly Signal[])[], file: string): void {
  const wrong = (what: string, value: unknown, allowed: string): InputError => new InputError({ file, what, value, allowed });
  if (panes.length > PANES_MOST) throw wrong('number of panes', panes.length, `up to ${PANES_MOST}`);
  for (const signals of panes) {
    const symbols = new Set(signals.map((signal) => displayOf(signal).symbol));
    const named = signals.map((signal) => `${signal.asked} in ${displayOf(signal).symbol || '1'}`).join(', ');
    if (symbols.size > 1) throw wrong('signals of one pane', named, 'signals of one unit; another --signal makes another pane');
    if (signals.length > PANE_SIGNALS_MOST) throw wrong('signals of one pane', signals.length, `up to ${PANE_SIGNALS_MOST}`);
  }
}

/** Rows that signals name, or the one that was looked for if none does. */
function rowsOf(signals: readonly Signal[], row: number): number[] {
  const rows = [...new Set(signals.map((signal) => signal.row))].filter((one) => one > 0);
  return rows.length === 0 ? [row] : rows.sort((a, b) => a - b).slice(0, LANE_ROWS_MOST);
}

/** @throws InputError when there is no such row, signal or part */
function gather(source: Source, look: Look): Gathering {
  const { contract, title, file, rows, tickHz } = source;
  const { row } = look;
  if (row < 1 || row > rows) throw new InputError({ file, what: '--row', value: row, allowed: `1 to ${rows}` });
  const part = partOf(source, look);
  const panes = (look.panes ?? usualPanes(source)).map((names) => names.map((name) => findSignal({ ...source, row }, name)));
  checkPanes(panes, file);
  const signals = panes.flat();
  const tracer = new Tracer(signals, part);
  const lanes = new LaneTracer(contract, rowsOf(signals, row), part);
  const view = (answered: boolean, trap?: Run['trap']): View => ({
    title,
    rows,
    tickHz,
    part,
    panes: panes.map((those) => tracer.series.filter(({ signal }) => those.includes(signal))),
    lanes: answered ? lanes.finish() : undefined,
    trap,
  });
  return { part, tracer, lanes, view };
}

/**
 * Runs over recorded inputs and gathers what is looked for: inputs, outputs and probes are all there by name.
 * @throws InputError when there is no such row, signal or part, or the recording is damaged
 */
export function viewPass(controller: Controller, one: RecordedPass, look: Look, { change, progress }: Listener = {}): View {
  const { contract } = controller.description;
  const { title, inputFile: file, rows, tickHz } = one;
  const controllers: readonly ControllerMessage[] = ['probe', 'input', 'output'];
  const ticks = openRecording(file, contract).counts.input ?? 0;
  const { part, tracer, lanes, view } = gather({ contract, title, file, rows, tickHz, ticks, messages: controllers }, look);
  const target = createWasmRunner(controller, rows, one.values);
  const end = part.first + part.ticks;
  const tell = (told: Change): void => {
    if (told.tick >= end) return;
    lanes.take(told);
    change?.(told);
  };
  const { trap } = runRecording(target, file, tickHz, tell, (tick) => {
    for (const message of controllers) tracer.take(message, tick, target[message]);
    progress?.((tick + 1) / ticks);
  });
  return view(true, trap);
}

/**
 * How many ticks a recording reaches over. A kind of message comes once a tick at most, so its last tick is not before its count:
 * the chunks up to there stay packed.
 */
function lengthOf(recording: Recording): number {
  const most = Math.max(0, ...Object.values(recording.counts));
  let ticks = 0;
  for (const { tick } of recording.messages({ fromTick: Math.max(0, most - 1) })) ticks = tick + 1;
  return ticks;
}

/**
 * Reads a recording and gathers what is looked for from the messages that it holds. Memory does not depend on its length.
 * @throws InputError when there is no such row, signal or part, or the recording is damaged
 */
export function viewRecording(file: string, look: Look, { change, progress }: Listener = {}, contract = describeContract()): View {
  const recording = openRecording(file, contract);
  const { rows, tickHz, about, channels } = recording;
  const messages = MESSAGE_ORDER.filter((message) => channels.some((channel) => channel.message === message));
  const source = { contract, title: about.title ?? file, file, rows, tickHz, ticks: lengthOf(recording), messages };
  const { part, tracer, lanes, view } = gather(source, look);
  // A copy at a place of its own, since each reading has its own.
  const output = new Uint8Array(messageBytes(contract, 'output', rows));
  const detector = new ChangeDetector(output, outputSignals(contract));
  const tell = (told: Change): void => {
    lanes.take(told);
    change?.(told);
  };
  const read = (choice: { messages?: MessageName[]; fromTick?: number; toTick: number }): void => {
    for (const { message, tick, payload } of recording.messages(choice)) {
      progress?.((tick + 1) / (part.first + part.ticks));
      tracer.take(message, tick, payload);
      if (message !== 'output') continue;
      output.set(payload);
      detector.detect(tick, tell);
    }
  };
  // What the valves did before the part tells whether they are open as it begins.
  if (part.first > 0) read({ messages: ['output'], toTick: part.first - 1 });
  read({ fromTick: part.first, toTick: part.first + part.ticks - 1 });
  return view(messages.includes('output'), undefined);
}
