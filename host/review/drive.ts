import type { ParameterValues } from '../contract/contract.js';
import { readField, writeField } from '../contract/fields.js';
import type { LaidRecord } from '../contract/layout.js';
import { messageRecords } from '../contract/write-message.js';
import { InputError } from '../files/input-error.js';
import type { MessageLayout } from '../recording/format.js';
import { openRecording } from '../recording/reader.js';
import { type Controller, createWasmTarget, type WasmTarget } from '../target/wasm.js';
import type { VectorCase } from '../vector/case.js';

/** One side of a review, ready to run. */
export interface Side {
  readonly controller: Controller;
  readonly values: ParameterValues;
  readonly target: WasmTarget;
}

/** The same inputs for both sides. */
export interface Drive {
  readonly rows: number;
  readonly tickHz: number;
  readonly ticks: number;
  readonly old: Side;
  readonly new: Side;
  /** Inputs that a side does not get, in words. */
  readonly notes: readonly string[];
  /** Puts a tick's inputs into both targets. */
  feed(tick: number): void;
  /** What was ordered is there. */
  obey(): void;
  close(): void;
}

/** Starts a run anew. */
export type StartDrive = () => Drive;

export interface SideChoice {
  readonly controller: Controller;
  readonly values: ParameterValues;
}

export function makeSide({ controller, values }: SideChoice, rows: number): Side {
  return { controller, values, target: createWasmTarget(controller, rows, values) };
}

interface Copy {
  readonly from: Parameters<typeof readField>[2];
  readonly fromAt: number;
  readonly to: Parameters<typeof writeField>[2];
  readonly toAt: number;
}

const sameLayout = (a: LaidRecord, b: LaidRecord): boolean =>
  a.size === b.size &&
  a.fields.length === b.fields.length &&
  a.fields.every(({ name, type, offset }, index) => {
    const other = b.fields[index];
    return other?.name === name && other.type === type && other.offset === offset;
  });

/** Names that only one of two records has. */
const missing = (from: LaidRecord, to: LaidRecord): string[] =>
  to.fields.filter(({ name }) => !name.startsWith('spare') && !from.fields.some((field) => field.name === name)).map(({ name }) => name);

/** Copies recorded inputs into a target, by name where its layout is another. What the recording lacks stays 0. */
export function inputWriter(
  layout: MessageLayout,
  { target, controller }: Side,
): { write: (payload: Uint8Array) => void; lacking: string[] } {
  const { bank, row } = messageRecords(controller.description.contract, 'input');
  if (sameLayout(layout.bank, bank) && sameLayout(layout.row, row)) return { write: (payload) => target.input.set(payload), lacking: [] };
  const copies: Copy[] = [];
  const copy = (from: LaidRecord, fromAt: number, to: LaidRecord, toAt: number): void => {
    for (const field of to.fields) {
      const source = from.fields.find(({ name }) => name === field.name);
      if (source !== undefined) copies.push({ from: source, fromAt, to: field, toAt });
    }
  };
  copy(layout.bank, 0, bank, 0);
  for (let index = 0; index < target.rows; index++) {
    copy(layout.row, layout.bank.size + index * layout.row.size, row, bank.size + index * row.size);
  }
  const into = new DataView(target.input.buffer, target.input.byteOffset, target.input.byteLength);
  const write = (payload: Uint8Array): void => {
    const view = new DataView(payload.buffer, payload.byteOffset, payload.byteLength);
    for (const { from, fromAt, to, toAt } of copies) writeField(into, toAt, to, readField(view, fromAt, from));
  };
  return { write, lacking: [...missing(layout.bank, bank), ...missing(layout.row, row)] };
}

/** Recorded inputs for both sides. @throws InputError when the recording is damaged or does not fit the case */
export function driveByRecording(one: Pick<VectorCase, 'inputFile' | 'rows' | 'tickHz'>, old: SideChoice, fresh: SideChoice): Drive {
  const { inputFile: file, rows, tickHz } = one;
  const recording = openRecording(file);
  const layout = recording.channels.find(({ message }) => message === 'input')?.layout;
  if (layout === undefined) throw new InputError({ file, what: 'no input messages', allowed: 'recorded inputs' });
  if (recording.rows !== rows) throw new InputError({ file, what: 'rows', value: recording.rows, allowed: `${rows}, as the case says` });
  if (recording.tickHz !== tickHz)
    throw new InputError({ file, what: 'tick rate', value: recording.tickHz, allowed: `${tickHz} Hz, as the case says` });
  const sides = { old: makeSide(old, rows), new: makeSide(fresh, rows) };
  const writers = { old: inputWriter(layout, sides.old), new: inputWriter(layout, sides.new) };
  const messages = recording.messages({ messages: ['input'] });
  return {
    rows,
    tickHz,
    ticks: recording.counts.input ?? 0,
    ...sides,
    notes: (['old', 'new'] as const).flatMap((side) => writers[side].lacking.map((name) => `input ${name} of ${side} is not recorded: 0`)),
    feed(tick) {
      const { value } = messages.next();
      if (value === undefined || value.tick !== tick)
        throw new InputError({ file, what: 'tick', value: value?.tick, allowed: `${tick}: a case has an input for every tick from 0` });
      writers.old.write(value.payload);
      writers.new.write(value.payload);
    },
    obey: () => {},
    close: () => void messages.return(),
  };
}
