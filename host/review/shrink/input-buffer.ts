import { dataViewOf } from '../../common/data-view.js';
import { InputError } from '../../common/input-error.js';
import type { Contract } from '../../contract/contract.js';
import { isSignal, readField, writeField } from '../../contract/fields.js';
import type { FieldLayout, RecordLayout } from '../../contract/layout.js';
import type { MessageLayout } from '../../recording/format.js';
import { openRecording } from '../../recording/reader.js';
import { RecordingWriter } from '../../recording/writer.js';
import { missingInput } from '../../replay/replay.js';

/** All inputs of a recording in memory, one payload after the other. Immutable: every edit returns a new buffer. */
export interface InputBuffer {
  readonly layout: MessageLayout;
  readonly tickHz: number;
  readonly ticks: number;
  readonly bytes: Uint8Array;
}

/** An input signal and its place in a payload. */
export interface InputSignal {
  readonly name: string;
  /** 0 is the bank. */
  readonly row: number;
  readonly field: FieldLayout;
  readonly recordAt: number;
}

/** @throws InputError if the recording is damaged, has another contract, or lacks the input of a tick */
export function readInputs(file: string, contract: Contract): InputBuffer {
  const recording = openRecording(file, contract);
  const layout = recording.channels.find(({ message }) => message === 'input')?.layout;
  if (layout === undefined) throw new InputError({ file, problem: 'the recording has no inputs' });
  // Not allocated by the number of messages that the file claims to have: it may be anything.
  const payloads: Uint8Array[] = [];
  for (const { tick, payload } of recording.messages({ messages: ['input'] })) {
    if (tick !== payloads.length) throw missingInput(file, payloads.length, tick);
    payloads.push(payload.slice());
  }
  return { layout, tickHz: recording.tickHz, ticks: payloads.length, bytes: new Uint8Array(Buffer.concat(payloads)) };
}

export const payloadOf = ({ layout, bytes }: InputBuffer, tick: number): Uint8Array =>
  bytes.subarray(tick * layout.bytes, (tick + 1) * layout.bytes);

/** Writes a recording. @throws InputError if the file cannot be written */
export function writeInputs(file: string, inputs: InputBuffer, contract: Contract, about: Readonly<Record<string, string>>): void {
  const { layout, tickHz } = inputs;
  const writer = RecordingWriter.create(file, { contract, rows: layout.rows, tickHz, messages: ['input'], about });
  try {
    for (let tick = 0; tick < inputs.ticks; tick++) writer.write('input', tick, payloadOf(inputs, tick));
  } catch (error) {
    writer.abandon();
    throw error;
  }
  writer.close();
}

export const firstTicks = (inputs: InputBuffer, ticks: number): InputBuffer =>
  ticks >= inputs.ticks ? inputs : { ...inputs, ticks, bytes: inputs.bytes.subarray(0, ticks * inputs.layout.bytes) };

export const lastTicks = (inputs: InputBuffer, ticks: number): InputBuffer => ({
  ...inputs,
  ticks,
  bytes: inputs.bytes.subarray((inputs.ticks - ticks) * inputs.layout.bytes),
});

/** Removes `count` ticks; later ones move up. */
export function withoutTicks(inputs: InputBuffer, from: number, count: number): InputBuffer {
  const { bytes: width } = inputs.layout;
  const bytes = new Uint8Array(inputs.bytes.length - count * width);
  bytes.set(inputs.bytes.subarray(0, from * width));
  bytes.set(inputs.bytes.subarray((from + count) * width), from * width);
  return { ...inputs, ticks: inputs.ticks - count, bytes };
}

/** Keeps only these rows, counted from 0, in this order. */
export function keepRows(inputs: InputBuffer, rows: readonly number[]): InputBuffer {
  const { bank, row, bytes: width } = inputs.layout;
  const layout: MessageLayout = { ...inputs.layout, rows: rows.length, bytes: bank.size + rows.length * row.size };
  const bytes = new Uint8Array(inputs.ticks * layout.bytes);
  for (let tick = 0; tick < inputs.ticks; tick++) {
    const from = tick * width;
    const to = tick * layout.bytes;
    bytes.set(inputs.bytes.subarray(from, from + bank.size), to);
    for (const [index, source] of rows.entries()) {
      const at = from + bank.size + source * row.size;
      bytes.set(inputs.bytes.subarray(at, at + row.size), to + bank.size + index * row.size);
    }
  }
  return { ...inputs, layout, bytes };
}

/** Every input signal of the bank and its rows. */
export function inputSignals({ bank, row, rows }: MessageLayout): InputSignal[] {
  const of = (record: RecordLayout, number: number, recordAt: number): InputSignal[] =>
    record.fields.filter(isSignal).map((field) => ({ name: field.name, row: number, field, recordAt }));
  const each = Array.from({ length: rows }, (_, index) => of(row, index + 1, bank.size + index * row.size));
  return [of(bank, 0, 0), ...each].flat();
}

/** A signal's value in each tick. */
export function columnOf(inputs: InputBuffer, { field, recordAt }: InputSignal): number[] {
  const view = dataViewOf(inputs.bytes);
  return Array.from({ length: inputs.ticks }, (_, tick) => readField(view, tick * inputs.layout.bytes + recordAt, field));
}

/** Replaces the values of one signal. */
export function withColumn(inputs: InputBuffer, { field, recordAt }: InputSignal, values: readonly number[]): InputBuffer {
  const changed = { ...inputs, bytes: inputs.bytes.slice() };
  const view = dataViewOf(changed.bytes);
  for (const [tick, value] of values.entries()) writeField(view, tick * inputs.layout.bytes + recordAt, field, value);
  return changed;
}

/** Number of changes of each signal from one tick to the next. */
export function changeCounts(inputs: InputBuffer): number[] {
  const view = dataViewOf(inputs.bytes);
  const width = inputs.layout.bytes;
  return inputSignals(inputs.layout).map(({ field, recordAt }) => {
    let count = 0;
    for (let at = width + recordAt; at < inputs.bytes.length; at += width) {
      if (!Object.is(readField(view, at, field), readField(view, at - width, field))) count += 1;
    }
    return count;
  });
}
