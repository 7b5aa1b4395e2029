import { dataViewOf } from '../common/data-view.js';
import { abbreviated } from '../common/hash.js';
import { InputError, type InputErrorDetails } from '../common/input-error.js';
import type { ParameterValues } from '../contract/contract.js';
import { isSignal, readField, writeField } from '../contract/fields.js';
import type { RecordLayout } from '../contract/layout.js';
import { messageRecords } from '../contract/messages.js';
import type { MessageLayout } from '../recording/format.js';
import { openRecording } from '../recording/reader.js';
import { checkFits, missingInput } from '../replay/replay.js';
import { ParameterRefused, StartFailed } from '../runner/runner.js';
import { type Controller, createWasmRunner, type WasmRunner } from '../runner/wasm-runner.js';
import type { VectorCase } from '../vector/vector.js';
import type { MetricChange, Refusals } from './review.js';

/** One side of a review, configured and ready to run. */
export interface Side {
  readonly controller: Controller;
  readonly values: ParameterValues;
  readonly runner: WasmRunner;
}

/** Two builds that run side by side, each fed its inputs. */
export interface RunPair {
  readonly rows: number;
  readonly tickHz: number;
  readonly ticks: number;
  readonly base: Side;
  readonly head: Side;
  /** Inputs that a side does not get, in words. */
  readonly notes: readonly string[];
  /** Writes a tick's inputs to both runners. */
  feed(tick: number): void;
  /** Hands the outputs of both runners to their machines, if there are any. */
  applyOutputs(): void;
  /** Metrics of the machines, if there are any; to be called after the run. */
  metrics?(): readonly MetricChange[];
  close(): void;
}

/** Whether one run stands for both sides. */
export const isOneSide = ({ base, head }: Pick<RunPair, 'base' | 'head'>): boolean => base === head;

/** Starts a run from its first tick. */
export type StartPair = () => RunPair;

/** A controller and the parameters to configure it with. */
export interface SideConfig {
  readonly controller: Controller;
  readonly values: ParameterValues;
}

/** A build refuses a run's parameters or its number of rows, or cannot be started. */
export class SideRefused extends InputError {
  /** @param reason as it follows the side's name: `refuses deadbandN 900` */
  constructor(
    details: InputErrorDetails,
    readonly reason: string,
  ) {
    super(details);
  }
}

/** A run that cannot be compared, because one or both sides refused it. */
export class RunRefused extends InputError {
  constructor(
    { details }: SideRefused,
    readonly refused: Refusals,
    readonly run: { readonly rows: number; readonly tickHz: number },
  ) {
    super(details);
  }
}

/** Configures a side. @throws SideRefused if its build refuses a parameter, cannot be started, or has room for fewer rows */
export function makeSide({ controller, values }: SideConfig, rows: number, file: string): Side {
  const { version, sourceHash, contract } = controller.description;
  const build = `build ${version} of sources ${abbreviated(sourceHash)}`;
  if (rows > contract.rowsMax) {
    const problem = `${build} has room for ${contract.rowsMax} of ${rows} rows`;
    throw new SideRefused({ file, problem, value: rows }, `has room for ${contract.rowsMax} of ${rows} rows`);
  }
  try {
    return { controller, values, runner: createWasmRunner(controller, rows, values) };
  } catch (error) {
    if (error instanceof StartFailed) {
      const reason = `does not start: ${error.reason}`;
      throw new SideRefused({ file, problem: `${build} ${reason}` }, reason);
    }
    if (!(error instanceof ParameterRefused)) throw error;
    const value = values[error.parameter];
    const reason = `refuses ${error.parameter} ${value}`;
    throw new SideRefused({ file, problem: `${build} ${reason}`, value }, reason);
  }
}

/** Configures both sides of a run: one that stands for both if their configuration is one. @throws RunRefused if one refuses it, with the reasons of both */
export function makeSides(
  configs: { readonly base: SideConfig; readonly head: SideConfig },
  run: { readonly rows: number; readonly tickHz: number },
  file: string,
): { readonly base: Side; readonly head: Side } {
  const attempt = (config: SideConfig): Side | SideRefused => {
    try {
      return makeSide(config, run.rows, file);
    } catch (error) {
      if (error instanceof SideRefused) return error;
      throw error;
    }
  };
  const base = attempt(configs.base);
  const head = configs.head === configs.base ? base : attempt(configs.head);
  const reason = (side: Side | SideRefused): string | undefined => (side instanceof SideRefused ? side.reason : undefined);
  const refused = { base: reason(base), head: reason(head) };
  if (base instanceof SideRefused) throw new RunRefused(base, refused, run);
  if (head instanceof SideRefused) throw new RunRefused(head, refused, run);
  return { base, head };
}

export const hasSameLayout = (a: RecordLayout, b: RecordLayout): boolean =>
  a.size === b.size &&
  a.fields.length === b.fields.length &&
  a.fields.every(({ name, type, offset }, index) => {
    const other = b.fields[index];
    return other?.name === name && other.type === type && other.offset === offset;
  });

/** The two records of a kind of message. */
export type Records = Pick<MessageLayout, 'bank' | 'row'>;

/** Copies messages into a view, by name if the layouts differ. Fields that `from` does not have are not written, and listed. */
export function messageCopier(
  from: Records,
  to: Records,
  rows: number,
  into: Uint8Array,
): { copy: (payload: Uint8Array) => void; missing: string[] } {
  if (hasSameLayout(from.bank, to.bank) && hasSameLayout(from.row, to.row)) return { copy: (payload) => into.set(payload), missing: [] };
  const missing: string[] = [];
  const fieldPairs = (source: RecordLayout, target: RecordLayout) =>
    target.fields.filter(isSignal).flatMap((field) => {
      const found = source.fields.find(({ name }) => name === field.name);
      if (found === undefined) missing.push(field.name);
      return found === undefined ? [] : [{ found, field }];
    });
  const ofBank = fieldPairs(from.bank, to.bank);
  const ofRow = fieldPairs(from.row, to.row);
  const target = dataViewOf(into);
  const copy = (payload: Uint8Array): void => {
    const source = dataViewOf(payload);
    for (const { found, field } of ofBank) writeField(target, 0, field, readField(source, 0, found));
    for (let row = 0; row < rows; row++) {
      const fromAt = from.bank.size + row * from.row.size;
      const toAt = to.bank.size + row * to.row.size;
      for (const { found, field } of ofRow) writeField(target, toAt, field, readField(source, fromAt, found));
    }
  };
  return { copy, missing };
}

/** Copies inputs into a runner. Fields that the layout does not have stay 0. */
export const inputCopier = (layout: Records, { runner, controller }: Side): ReturnType<typeof messageCopier> =>
  messageCopier(layout, messageRecords(controller.description.contract, 'input'), runner.rows, runner.input);

/** Recorded inputs for both sides. @throws InputError if the recording is damaged, does not fit the vector, or a side refuses it */
export function recordedPair(vector: Pick<VectorCase, 'inputFile' | 'rows' | 'tickHz'>, base: SideConfig, head: SideConfig): RunPair {
  const { inputFile: file, rows, tickHz } = vector;
  const recording = openRecording(file);
  const layout = recording.channels.find(({ message }) => message === 'input')?.layout;
  if (layout === undefined) throw new InputError({ file, problem: 'the recording has no inputs' });
  checkFits(file, recording, vector);
  const sides = makeSides({ base, head }, { rows, tickHz }, file);
  const copiers = { base: inputCopier(layout, sides.base), head: inputCopier(layout, sides.head) };
  const messages = recording.messages({ messages: ['input'] });
  return {
    rows,
    tickHz,
    ticks: recording.counts.input ?? 0,
    ...sides,
    notes: (['base', 'head'] as const).flatMap((side) =>
      copiers[side].missing.map((name) => `input ${name} of ${side} is not recorded: 0`),
    ),
    feed(tick) {
      const { value } = messages.next();
      if (value === undefined || value.tick !== tick) throw missingInput(file, tick, value?.tick);
      copiers.base.copy(value.payload);
      if (!isOneSide(sides)) copiers.head.copy(value.payload);
    },
    applyOutputs: () => {},
    close: () => void messages.return(),
  };
}
