import { InputError } from '../../common/input-error.js';
import type { Contract } from '../../contract/contract.js';
import { isSignal, readField, writeField } from '../../contract/fields.js';
import type { LaidField, LaidRecord } from '../../contract/layout.js';
import type { MessageLayout } from '../../recording/format.js';
import { openRecording } from '../../recording/reader.js';
import { RecordingWriter } from '../../recording/writer.js';

/** A whole recording's inputs in memory, one payload after the other. Never changed: what is made of it is another one. */
export interface HeldInputs {
  readonly layout: MessageLayout;
  readonly tickHz: number;
  readonly ticks: number;
  readonly bytes: Uint8Array;
}

/** An input signal, and where it stands in a payload. */
export interface InputSignal {
  readonly name: string;
  /** 0 is the bank. */
  readonly row: number;
  readonly field: LaidField;
  readonly recordAt: number;
}

/** @throws InputError when the recording is damaged, or has not an input for every tick in the contract's layout */
export function readHeld(file: string, contract: Contract): HeldInputs {
  const recording = openRecording(file, contract);
  const layout = recording.channels.find(({ message }) => message === 'input')?.layout;
  if (layout === undefined) throw new InputError({ file, what: 'no input messages', allowed: 'recorded inputs' });
  const bytes = new Uint8Array((recording.counts.input ?? 0) * layout.bytes);
  let ticks = 0;
  for (const { tick, payload } of recording.messages({ messages: ['input'] })) {
    if (tick !== ticks) throw new InputError({ file, what: 'tick', value: tick, allowed: `${ticks}: an input for every tick from 0` });
    bytes.set(payload, tick * layout.bytes);
    ticks += 1;
  }
  return { layout, tickHz: recording.tickHz, ticks, bytes };
}

export const payloadOf = ({ layout, bytes }: HeldInputs, tick: number): Uint8Array =>
  bytes.subarray(tick * layout.bytes, (tick + 1) * layout.bytes);

/** Writes a recording of them. @throws InputError when the file can't be written */
export function writeHeld(file: string, held: HeldInputs, contract: Contract, about: Readonly<Record<string, string>>): void {
  const { layout, tickHz } = held;
  const writer = RecordingWriter.create(file, { contract, rows: layout.rows, tickHz, messages: ['input'], about });
  try {
    for (let tick = 0; tick < held.ticks; tick++) writer.write('input', tick, payloadOf(held, tick));
  } catch (error) {
    writer.abandon();
    throw error;
  }
  writer.close();
}

/** The first so many ticks. */
export const firstTicks = (held: HeldInputs, ticks: number): HeldInputs =>
  ticks >= held.ticks ? held : { ...held, ticks, bytes: held.bytes.subarray(0, ticks * held.layout.bytes) };

/** The last so many ticks: the recording begins later. */
export const lastTicks = (held: HeldInputs, ticks: number): HeldInputs => ({
  ...held,
  ticks,
  bytes: held.bytes.subarray((held.ticks - ticks) * held.layout.bytes),
});

/** Without some ticks from one on; what comes after moves up. */
export function withoutTicks(held: HeldInputs, from: number, count: number): HeldInputs {
  const { bytes: width } = held.layout;
  const bytes = new Uint8Array(held.bytes.length - count * width);
  bytes.set(held.bytes.subarray(0, from * width));
  bytes.set(held.bytes.subarray((from + count) * width), from * width);
  return { ...held, ticks: held.ticks - count, bytes };
}

/** Only these rows, from 0, in this order. */
export function keepRows(held: HeldInputs, rows: readonly number[]): HeldInputs {
  const { bank, row, bytes: width } = held.layout;
  const layout: MessageLayout = { ...held.layout, rows: rows.length, bytes: bank.size + rows.length * row.size };
  const bytes = new Uint8Array(held.ticks * layout.bytes);
  for (let tick = 0; tick < held.ticks; tick++) {
    const from = tick * width;
    const to = tick * layout.bytes;
    bytes.set(held.bytes.subarray(from, from + bank.size), to);
    for (const [index, old] of rows.entries()) {
      const at = from + bank.size + old * row.size;
      bytes.set(held.bytes.subarray(at, at + row.size), to + bank.size + index * row.size);
    }
  }
  return { ...held, layout, bytes };
}

/** Every input signal of the bank and its rows. */
export function inputSignals({ bank, row, rows }: MessageLayout): InputSignal[] {
  const of = (record: LaidRecord, number: number, recordAt: number): InputSignal[] =>
    record.fields.filter(isSignal).map((field) => ({ name: field.name, row: number, field, recordAt }));
  const each = Array.from({ length: rows }, (_, index) => of(row, index + 1, bank.size + index * row.size));
  return [of(bank, 0, 0), ...each].flat();
}

const viewOf = ({ bytes }: HeldInputs): DataView => new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);

/** A signal's value in each tick. */
export function columnOf(held: HeldInputs, { field, recordAt }: InputSignal): number[] {
  const view = viewOf(held);
  return Array.from({ length: held.ticks }, (_, tick) => readField(view, tick * held.layout.bytes + recordAt, field));
}

/** With other values of one signal. */
export function withColumn(held: HeldInputs, { field, recordAt }: InputSignal, values: readonly number[]): HeldInputs {
  const changed = { ...held, bytes: held.bytes.slice() };
  const view = viewOf(changed);
  for (const [tick, value] of values.entries()) writeField(view, tick * held.layout.bytes + recordAt, field, value);
  return changed;
}

/** How often each signal changes from one tick to the next, in their order. */
export function changeCounts(held: HeldInputs): number[] {
  const view = viewOf(held);
  const width = held.layout.bytes;
  return inputSignals(held.layout).map(({ field, recordAt }) => {
    let count = 0;
    for (let at = width + recordAt; at < held.bytes.length; at += width) {
      if (!Object.is(readField(view, at, field), readField(view, at - width, field))) count += 1;
    }
    return count;
  });
}
