import { MessageFields } from '../assess/message-fields.js';
import { InputError } from '../common/input-error.js';
import type { Contract, ParameterValues } from '../contract/contract.js';
import type { MessageName } from '../contract/messages.js';
import { openRecording, type Recording } from '../recording/reader.js';
import { type Controller, createWasmRunner, type WasmRunner } from '../runner/wasm-runner.js';
import { ImposedOrders, NEVER_IN_TURN } from './imposed-orders.js';

/** What the load is read from: the wheels' true load, where the plant's truth was recorded, or the sensor. */
export type LoadSource = 'truth' | 'sensor';

/** A recording under way through the controller; everything by row, counted from 0, as of the present tick. */
export interface RecordedRun {
  readonly file: string;
  readonly rows: number;
  readonly tickHz: number;
  readonly source: LoadSource;
  /** Of the imposed orders. */
  readonly target: WasmRunner;
  /** Load that the predictor is to foretell, N: true, or sensed after zero. */
  loadN(row: number): number;
  /** In mode working, both as recorded and as imposed. */
  isWorking(row: number): boolean;
  /** Order of a row's valve, supply 0 or return 1, as a number of Order. */
  order(row: number, valve: number): number;
}

/** A recording that has been run. */
export interface Recorded extends Pick<RecordedRun, 'file' | 'rows' | 'tickHz' | 'source'> {
  readonly seconds: number;
}

/** How recordings are run. */
export interface RunSetup {
  readonly controller: Controller;
  readonly values: ParameterValues;
  readonly onProgress: (share: number) => void;
}

/** A recording that can be run: with inputs and outputs. @throws InputError when it can't be read, or is none */
function openRun(file: string, contract: Contract): Recording {
  const recording = openRecording(file, contract);
  const { input = 0, output = 0 } = recording.counts;
  if (input > 0 && output > 0) return recording;
  const allowed = 'inputs and outputs: without orders the row’s own oil is not known';
  throw new InputError({ file, what: `recording without ${input === 0 ? 'inputs' : 'outputs'}`, allowed });
}

/** Payloads of each tick, told when all its messages have come; they are used again. @throws InputError when one is missing */
function* wholeTicks(recording: Recording, messages: readonly MessageName[]): Generator<Readonly<Record<MessageName, Uint8Array>>> {
  const payloads: Partial<Record<MessageName, Uint8Array>> = {};
  let taken = 0;
  for (const { message, tick, payload } of recording.messages({ messages })) {
    const due = Math.floor(taken / messages.length);
    if (tick !== due)
      throw new InputError({ file: recording.file, what: `tick of ${message}`, value: tick, allowed: `${due}: every tick from 0 on` });
    payloads[message] = payload;
    taken += 1;
    if (taken % messages.length === 0) yield payloads as Record<MessageName, Uint8Array>;
  }
}

const viewOf = ({ buffer, byteOffset, byteLength }: Uint8Array): DataView => new DataView(buffer, byteOffset, byteLength);

/** Where a field stands in the payload, for each row. */
const rowPlaces = (contract: Contract, message: MessageName, rows: number, name: string, type: 'u8' | 'f32'): number[] =>
  Array.from({ length: rows }, (_, row) => new MessageFields(contract, message).row(row, name, type));

/** Reads the row's load from the truth's payload, or from the controller's probes. */
function loadReader(target: WasmRunner, truth: () => DataView | undefined): (row: number) => number {
  const raw = target.field('rowProbe', 'loadRawN');
  const zero = target.field('rowProbe', 'zeroN');
  const wheelN = rowPlaces(target.description.contract, 'truth', target.rows, 'wheelN', 'f32');
  return (row) => truth()?.getFloat32(wheelN[row] as number, true) ?? raw.get(row) - zero.get(row);
}

/**
 * Runs a recording's inputs through the controller under the recorded orders, and lets somebody look after each tick. Memory
 * does not grow with the recording.
 * @throws InputError when the recording is damaged, holds no outputs, or misses a tick
 */
export function runRecorded(
  { controller, values, onProgress }: RunSetup,
  file: string,
  look: (tick: number, run: RecordedRun) => void,
): Recorded {
  const { contract } = controller.description;
  const recording = openRun(file, contract);
  const { rows, tickHz, counts } = recording;
  const target = createWasmRunner(controller, rows, { ...values, ...NEVER_IN_TURN, tickHz });
  const imposed = new ImposedOrders(target);
  const source: LoadSource = (counts.truth ?? 0) > 0 ? 'truth' : 'sensor';
  const messages: MessageName[] = ['input', 'output', ...(source === 'truth' ? (['truth'] as const) : [])];
  const orders = new Uint8Array(rows * 2);
  const places = ['supplyOrder', 'returnOrder'].map((name) => rowPlaces(contract, 'output', rows, name, 'u8'));
  const modes = rowPlaces(contract, 'output', rows, 'mode', 'u8');
  const mode = target.field('rowOutput', 'mode');
  const working = contract.enums.RowMode?.indexOf('working');
  let output = new Uint8Array();
  let truth: DataView | undefined;
  const run: RecordedRun = {
    file,
    rows,
    tickHz,
    source,
    target,
    loadN: loadReader(target, () => truth),
    isWorking: (row) => output[modes[row] as number] === working && mode.get(row) === working,
    order: (row, valve) => orders[2 * row + valve] as number,
  };
  let tick = 0;
  for (const payloads of wholeTicks(recording, messages)) {
    output = payloads.output as Uint8Array<ArrayBuffer>;
    if (source === 'truth' && truth === undefined) truth = viewOf(payloads.truth);
    for (let valve = 0; valve < orders.length; valve++) orders[valve] = output[places[valve % 2]?.[valve >> 1] as number] as number;
    target.input.set(payloads.input);
    imposed.tick(orders);
    look(tick, run);
    tick += 1;
    if (tick % tickHz === 0) onProgress((tick * messages.length) / recording.count);
  }
  return { file, rows, tickHz, seconds: tick / tickHz, source };
}
