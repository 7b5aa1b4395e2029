import { type Contract, describeContract } from '../contract/contract.js';
import type { ControllerMessage } from '../contract/write-message.js';
import { InputError } from '../files/input-error.js';
import { openRecording, type Recording } from '../recording/reader.js';
import { type Controller, createWasmTarget } from '../target/wasm.js';
import { type Change, ChangeDetector, outputSignals } from './change.js';
import { type RecordedPass, type Run, runRecording } from './replay.js';
import { findSignal, type Series, Tracer } from './trace.js';

/** Which row to look at, which signals, and how many values each series may have. */
export interface Look {
  readonly row: number;
  readonly signals?: readonly string[] | undefined;
  readonly stretches: number;
}

/** What one row of a run looked like. */
export interface RowView {
  readonly title: string;
  readonly row: number;
  readonly rows: number;
  readonly ticks: number;
  readonly tickHz: number;
  readonly series: readonly Series[];
  /** What the controller answered; empty where a recording does not hold it. */
  readonly changes: readonly Change[];
  /** Where the controller stopped, if it did. */
  readonly trap?: Run['trap'];
}

/** What a tuner looks at first. */
const USUAL_SIGNALS: readonly string[] = ['targetLoadN', 'loadRawN', 'loadN', 'setPointKpa', 'pressureRawKpa'];
const INPUT_SIGNALS: readonly string[] = ['targetLoadN', 'loadCounts', 'pressureCounts', 'railCounts', 'supplyMv', 'groundSpeedMmPerS'];

function checkRow(row: number, rows: number, file: string): void {
  if (row < 1 || row > rows) throw new InputError({ file, what: '--row', value: row, allowed: `1 to ${rows}` });
}

/** Runs over recorded inputs and gathers a row's signals: inputs, outputs and probes are all there by name. */
export function viewPass(controller: Controller, one: RecordedPass, { row, signals: names, stretches }: Look): RowView {
  const { contract } = controller.description;
  checkRow(row, one.rows, one.inputFile);
  const messages: ControllerMessage[] = ['probe', 'input', 'output'];
  const signals = (names ?? USUAL_SIGNALS).map((name) => findSignal(contract, messages, name, row, one.inputFile));
  const ticks = openRecording(one.inputFile, contract).counts.input ?? 0;
  const tracer = new Tracer(signals, ticks, stretches);
  const changes: Change[] = [];
  const target = createWasmTarget(controller, one.rows, one.values);
  const look = (tick: number): void => {
    for (const message of messages) tracer.take(message, tick, target[message]);
  };
  const { trap } = runRecording(target, one.inputFile, one.tickHz, (change) => void changes.push(change), look);
  const { title, rows, tickHz } = one;
  return { title, row, rows, ticks, tickHz, series: tracer.series, changes, trap };
}

/** The changes of the outputs that a recording holds. */
function changesOf(recording: Recording, contract: Contract): Change[] {
  const changes: Change[] = [];
  let detector: ChangeDetector | undefined;
  for (const { tick, payload } of recording.messages({ messages: ['output'] })) {
    detector ??= new ChangeDetector(payload, outputSignals(contract));
    detector.detect(tick, (change) => void changes.push(change));
  }
  return changes;
}

/** Reads a recording and gathers a row's signals from the messages that it holds. */
export function viewRecording(file: string, { row, signals: names, stretches }: Look, contract: Contract = describeContract()): RowView {
  const recording = openRecording(file, contract);
  const { rows, tickHz, about } = recording;
  checkRow(row, rows, file);
  const messages = recording.channels.map(({ message }) => message);
  const usual = messages.includes('probe') ? USUAL_SIGNALS : INPUT_SIGNALS;
  const signals = (names ?? usual).map((name) => findSignal(contract, messages, name, row, file));
  let ticks = 0;
  for (const { tick } of recording.messages()) ticks = tick + 1;
  const tracer = new Tracer(signals, ticks, stretches);
  for (const { message, tick, payload } of recording.messages()) tracer.take(message, tick, payload);
  return { title: about.title ?? file, row, rows, ticks, tickHz, series: tracer.series, changes: changesOf(recording, contract) };
}
