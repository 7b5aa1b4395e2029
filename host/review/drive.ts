import { InputError, type InputErrorDetails } from '../common/input-error.js';
import type { ParameterValues } from '../contract/contract.js';
import { isSignal, readField, writeField } from '../contract/fields.js';
import type { LaidRecord } from '../contract/layout.js';
import { messageRecords } from '../contract/messages.js';
import type { MessageLayout } from '../recording/format.js';
import { openRecording } from '../recording/reader.js';
import { ParameterRefused } from '../runner/runner.js';
import { type Controller, createWasmRunner, type WasmRunner } from '../runner/wasm-runner.js';
import type { VectorCase } from '../vector/vector.js';
import type { MetricChange, Refusals } from './review.js';

/** One side of a review, ready to run. */
export interface Side {
  readonly controller: Controller;
  readonly values: ParameterValues;
  readonly target: WasmRunner;
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
  /** Hands on what was ordered, where something obeys. */
  obey(): void;
  /** Metrics that a machine's truth gives, where there is one; after the run. */
  metrics?(): readonly MetricChange[];
  close(): void;
}

/** Starts a run anew. */
export type StartDrive = () => Drive;

export interface SideChoice {
  readonly controller: Controller;
  readonly values: ParameterValues;
}

/** A build does not take a run's parameters or rows. */
export class SideRefused extends InputError {
  /** @param words what the build does, after its name */
  constructor(
    details: InputErrorDetails,
    readonly words: string,
  ) {
    super(details);
  }
}

/** A run that can't be compared, since one side or both refused it. */
export class RunRefused extends InputError {
  constructor(
    { details }: SideRefused,
    readonly refused: Refusals,
    readonly run: { readonly rows: number; readonly tickHz: number },
  ) {
    super(details);
  }
}

/** A side that has been configured. @throws SideRefused when its build refuses a parameter, or has no room for the rows */
export function makeSide({ controller, values }: SideChoice, rows: number, file: string): Side {
  const { version, sourceHash, contract } = controller.description;
  const build = `build ${version} of sources ${sourceHash.slice(0, 10)}`;
  if (rows > contract.rowsMax) {
    const allowed = `1 to ${contract.rowsMax}, for which ${build} has room`;
    throw new SideRefused({ file, what: 'rows', value: rows, allowed }, `has room for ${contract.rowsMax} of ${rows} rows`);
  }
  try {
    return { controller, values, target: createWasmRunner(controller, rows, values) };
  } catch (error) {
    if (!(error instanceof ParameterRefused)) throw error;
    const { parameter } = error;
    const value = values[parameter];
    throw new SideRefused({ file, what: parameter, value, allowed: `what ${build} takes` }, `refuses ${parameter} ${value}`);
  }
}

/** Both sides of a run. @throws RunRefused when one does not take it, with what each says */
export function makeSides(
  choices: { readonly old: SideChoice; readonly new: SideChoice },
  run: { readonly rows: number; readonly tickHz: number },
  file: string,
): { readonly old: Side; readonly new: Side } {
  const attempt = (choice: SideChoice): Side | SideRefused => {
    try {
      return makeSide(choice, run.rows, file);
    } catch (error) {
      if (error instanceof SideRefused) return error;
      throw error;
    }
  };
  const [old, fresh] = [attempt(choices.old), attempt(choices.new)];
  const words = (side: Side | SideRefused): string | undefined => (side instanceof SideRefused ? side.words : undefined);
  const refused = { old: words(old), new: words(fresh) };
  if (old instanceof SideRefused) throw new RunRefused(old, refused, run);
  if (fresh instanceof SideRefused) throw new RunRefused(fresh, refused, run);
  return { old, new: fresh };
}

export const sameLayout = (a: LaidRecord, b: LaidRecord): boolean =>
  a.size === b.size &&
  a.fields.length === b.fields.length &&
  a.fields.every(({ name, type, offset }, index) => {
    const other = b.fields[index];
    return other?.name === name && other.type === type && other.offset === offset;
  });

/** The two records of a kind of message. */
export type Records = Pick<MessageLayout, 'bank' | 'row'>;

/** Copies messages into a view, by name where the layouts are not the same. What `from` lacks stays as it is. */
export function messageCopier(
  from: Records,
  to: Records,
  rows: number,
  into: Uint8Array,
): { copy: (payload: Uint8Array) => void; lacking: string[] } {
  if (sameLayout(from.bank, to.bank) && sameLayout(from.row, to.row)) return { copy: (payload) => into.set(payload), lacking: [] };
  const lacking: string[] = [];
  const fieldPairs = (source: LaidRecord, target: LaidRecord) =>
    target.fields.filter(isSignal).flatMap((field) => {
      const found = source.fields.find(({ name }) => name === field.name);
      if (found === undefined) lacking.push(field.name);
      return found === undefined ? [] : [{ found, field }];
    });
  const ofBank = fieldPairs(from.bank, to.bank);
  const ofRow = fieldPairs(from.row, to.row);
  const target = new DataView(into.buffer, into.byteOffset, into.byteLength);
  const copy = (payload: Uint8Array): void => {
    const source = new DataView(payload.buffer, payload.byteOffset, payload.byteLength);
    for (const { found, field } of ofBank) writeField(target, 0, field, readField(source, 0, found));
    for (let row = 0; row < rows; row++) {
      const fromAt = from.bank.size + row * from.row.size;
      const toAt = to.bank.size + row * to.row.size;
      for (const { found, field } of ofRow) writeField(target, toAt, field, readField(source, fromAt, found));
    }
  };
  return { copy, lacking };
}

/** Copies inputs into a target. What they lack stays 0. */
export const inputCopier = (layout: Records, { target, controller }: Side): ReturnType<typeof messageCopier> =>
  messageCopier(layout, messageRecords(controller.description.contract, 'input'), target.rows, target.input);

/** Recorded inputs for both sides. @throws InputError when the recording is damaged or does not fit the case, or a side refuses it */
export function driveByRecording(one: Pick<VectorCase, 'inputFile' | 'rows' | 'tickHz'>, old: SideChoice, fresh: SideChoice): Drive {
  const { inputFile: file, rows, tickHz } = one;
  const recording = openRecording(file);
  const layout = recording.channels.find(({ message }) => message === 'input')?.layout;
  if (layout === undefined) throw new InputError({ file, what: 'no input messages', allowed: 'recorded inputs' });
  if (recording.rows !== rows) throw new InputError({ file, what: 'rows', value: recording.rows, allowed: `${rows}, as the case says` });
  if (recording.tickHz !== tickHz)
    throw new InputError({ file, what: 'tick rate', value: recording.tickHz, allowed: `${tickHz} Hz, as the case says` });
  const sides = makeSides({ old, new: fresh }, { rows, tickHz }, file);
  const copiers = { old: inputCopier(layout, sides.old), new: inputCopier(layout, sides.new) };
  const messages = recording.messages({ messages: ['input'] });
  return {
    rows,
    tickHz,
    ticks: recording.counts.input ?? 0,
    ...sides,
    notes: (['old', 'new'] as const).flatMap((side) => copiers[side].lacking.map((name) => `input ${name} of ${side} is not recorded: 0`)),
    feed(tick) {
      const { value } = messages.next();
      if (value === undefined || value.tick !== tick)
        throw new InputError({
          file,
          what: 'tick',
          value: value?.tick ?? 'none',
          allowed: `${tick}: a case has an input for every tick from 0`,
        });
      copiers.old.copy(value.payload);
      copiers.new.copy(value.payload);
    },
    obey: () => {},
    close: () => void messages.return(),
  };
}
