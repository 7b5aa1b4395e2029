import { MessageFields } from '../assess/message-fields.js';
import { dataViewOf } from '../common/data-view.js';
import { InputError } from '../common/input-error.js';
import type { Contract, ParameterValues } from '../contract/contract.js';
import type { RecordingMessage } from '../contract/messages.js';
import { openRecording, type Recording } from '../recording/reader.js';
import type { Controller, WasmRunner } from '../runner/wasm-runner.js';
import { createFitRunner } from './fit-runner.js';

/** Where the load comes from: the wheels' true load, if the plant's truth was recorded, or the sensor. */
export type LoadSource = 'truth' | 'sensor';

export type OrderSource = 'output' | 'orders';

/** A recording that runs through the controller; rows count from 0, values are those of the present tick. */
export interface RecordedRun {
  readonly file: string;
  readonly rows: number;
  readonly tickHz: number;
  readonly source: LoadSource;
  /** Under the recorded orders. */
  readonly runner: WasmRunner;
  /** Whose orders these are: our controller's, or those of the controller of a log. */
  readonly ordersFrom: OrderSource;
  /** Load that the predictor is fitted to, N: true, or sensed after zero. */
  loadN(row: number): number;
  /** True in mode working now, and also as recorded; the modes of a log's controller are not known. */
  isWorking(row: number): boolean;
  /** Order of a row's valve, supply 0 or return 1, as a number of Order. */
  order(row: number, valve: number): number;
}

/** A recording that has been run. */
export interface Recorded extends Pick<RecordedRun, 'file' | 'rows' | 'tickHz' | 'source' | 'ordersFrom'> {
  readonly seconds: number;
}

/** How recordings are run. */
export interface RunSetup {
  /** The controller with its entry for fitting, assembly/fit. */
  readonly controller: Controller;
  readonly values: ParameterValues;
  readonly onProgress: (share: number) => void;
}

/** Opens a recording with inputs and orders. @throws InputError if it can't be read or lacks them */
export function openRun(file: string, contract: Contract): Recording {
  const recording = openRecording(file, contract);
  const { input = 0, output = 0, orders = 0 } = recording.counts;
  if (input > 0 && output + orders > 0) return recording;
  const problem = `the recording has no ${input === 0 ? 'inputs' : 'outputs'}`;
  const hint = 'A fit needs both: the recorded orders say how much oil was metered; the import of a log takes them from its `orders`';
  throw new InputError({ file, problem, hint });
}

/** Yields the payloads of each tick once all its messages have come; they are reused. @throws InputError if a tick is missing */
function* wholeTicks(
  recording: Recording,
  messages: readonly RecordingMessage[],
): Generator<Readonly<Record<RecordingMessage, Uint8Array>>> {
  const payloads: Partial<Record<RecordingMessage, Uint8Array>> = {};
  let taken = 0;
  for (const { message, tick, payload } of recording.messages({ messages })) {
    const expected = Math.floor(taken / messages.length);
    if (tick !== expected)
      throw new InputError({ file: recording.file, problem: `an ${message} message of tick ${expected} is missing`, value: tick });
    payloads[message] = payload;
    taken += 1;
    if (taken % messages.length === 0) yield payloads as Record<RecordingMessage, Uint8Array>;
  }
}

/** Returns where a field is in the payload, for each row. */
const rowPlaces = (contract: Contract, message: RecordingMessage, rows: number, name: string, type: 'u8' | 'f32'): number[] =>
  Array.from({ length: rows }, (_, row) => new MessageFields(contract, message).row(row, name, type));

/** Reads a row's load from the truth's payload, or from the controller's probes. */
function loadReader(runner: WasmRunner, truth: () => DataView | undefined): (row: number) => number {
  const raw = runner.field('rowProbe', 'loadRawN');
  const zero = runner.field('rowProbe', 'zeroN');
  const wheelN = rowPlaces(runner.description.contract, 'truth', runner.rows, 'wheelN', 'f32');
  return (row) => truth()?.getFloat32(wheelN[row] as number, true) ?? raw.get(row) - zero.get(row);
}

/**
 * Runs a recording's inputs through the controller under the recorded orders, and calls `onTick` after each tick. Memory use does
 * not grow with the recording.
 * @throws InputError if the recording is damaged, has no orders, or lacks a tick
 */
export function runRecorded(
  { controller, values, onProgress }: RunSetup,
  file: string,
  onTick: (tick: number, run: RecordedRun) => void,
): Recorded {
  const { contract } = controller.description;
  const recording = openRun(file, contract);
  const { rows, tickHz, counts } = recording;
  const runner = createFitRunner(controller, rows, { ...values, tickHz });
  const source: LoadSource = (counts.truth ?? 0) > 0 ? 'truth' : 'sensor';
  const ordersFrom: OrderSource = (counts.output ?? 0) > 0 ? 'output' : 'orders';
  const messages: RecordingMessage[] = ['input', ordersFrom, ...(source === 'truth' ? (['truth'] as const) : [])];
  const places = ['supplyOrder', 'returnOrder'].map((name) => rowPlaces(contract, ordersFrom, rows, name, 'u8'));
  const modes = ordersFrom === 'output' ? rowPlaces(contract, 'output', rows, 'mode', 'u8') : undefined;
  const mode = runner.field('rowOutput', 'mode');
  const working = contract.enums.RowMode?.indexOf('working');
  const close = contract.enums.Order?.indexOf('close') ?? 0;
  // A log starts in the middle of work: its valves are taken to be closed, as ours are after the strokes of a start.
  const closingTicks = ordersFrom === 'orders' ? runner.field('coefficients', 'strokeTicks').get(0) : 0;
  let orders = new Uint8Array();
  let truth: DataView | undefined;
  const order = (row: number, valve: number): number => orders[places[valve]?.[row] as number] as number;
  const run: RecordedRun = {
    file,
    rows,
    tickHz,
    source,
    ordersFrom,
    runner,
    loadN: loadReader(runner, () => truth),
    isWorking: (row) => (modes === undefined || orders[modes[row] as number] === working) && mode.get(row) === working,
    order,
  };
  let tick = 0;
  for (const payloads of wholeTicks(recording, messages)) {
    orders = payloads[ordersFrom] as Uint8Array<ArrayBuffer>;
    if (source === 'truth' && truth === undefined) truth = dataViewOf(payloads.truth);
    for (let valve = 0; valve < 2 * rows; valve++)
      runner.setOrder(valve, order(valve >> 1, valve % 2) || (tick < closingTicks ? close : 0));
    runner.input.set(payloads.input);
    runner.tick();
    onTick(tick, run);
    tick += 1;
    if (tick % tickHz === 0) onProgress((tick * messages.length) / recording.count);
  }
  return { file, rows, tickHz, seconds: tick / tickHz, source, ordersFrom };
}
