import { UNITS, type UnitName } from '../../shared/units.js';
import { dataViewOf } from '../common/data-view.js';
import { InputError } from '../common/input-error.js';
import type { Contract } from '../contract/contract.js';
import { isSignal, readField } from '../contract/fields.js';
import type { FieldLayout, RecordLayout } from '../contract/layout.js';
import { messageRecords, type RecordingMessage } from '../contract/messages.js';

/** A signal of one row, or of the bank (row 0), and its place in its message. */
export interface Signal {
  readonly name: string;
  /** The name by which it was selected, such as `truth.loadN[2]`. */
  readonly label: string;
  /** Name of its column in an exported table: `loadN[2]`; with the message if it was selected with one. */
  readonly column: string;
  readonly row: number;
  readonly message: RecordingMessage;
  readonly unit: UnitName;
  /** Of the unit in which its series are. */
  readonly symbol: string;
  readonly recordAt: number;
  readonly field: FieldLayout;
  /** Words for its numbers from 0, if it is an enumeration. */
  readonly words?: readonly string[] | undefined;
}

/** Where signals are searched for. */
export interface Scope {
  readonly contract: Contract;
  /** In order of precedence, for names that several messages have. */
  readonly messages: readonly RecordingMessage[];
  readonly rows: number;
  /** Row of a name without one. */
  readonly row: number;
  /** File named in errors. */
  readonly file: string;
}

/** `loadN`, `loadN[3]`, `truth.speedMps`. */
const NAME = /^(?:(\w+)\.)?(\w+)(?:\[(\d+)\])?$/;

const fieldOf = (record: RecordLayout, name: string): FieldLayout | undefined =>
  record.fields.find((field) => field.name === name && isSignal(field));

/** Names of all signals of some messages, rows before the bank. */
function signalNames(contract: Contract, messages: readonly RecordingMessage[]): string[] {
  const records = messages.flatMap((message) => Object.values(messageRecords(contract, message)).reverse());
  const names = records.flatMap(({ fields }) => fields.filter(isSignal).map(({ name }) => name));
  return [...new Set(names)];
}

/**
 * Finds a signal by the name of its column in an exported table. A name without a message is taken from the first message that has
 * it; without a row, it is that of the scope's row, or of the bank if rows do not have it. `[0]` selects the bank's.
 * @throws InputError if there is no such signal or row
 */
export function findSignal(scope: Scope, label: string): Signal {
  const { contract, messages, rows, file } = scope;
  const [, from, name = label, index] = NAME.exec(label) ?? [];
  const row = index === undefined ? scope.row : Number(index);
  const prefix = from === undefined ? '' : `${from}.`;
  for (const message of messages) {
    if (from !== undefined && from !== message) continue;
    const { bank: bankRecord, row: rowRecord } = messageRecords(contract, message);
    const ofBank = fieldOf(bankRecord, name);
    const ofRow = fieldOf(rowRecord, name);
    const isOfRow = ofBank === undefined || (ofRow !== undefined && row > 0);
    const field = isOfRow ? ofRow : ofBank;
    if (field === undefined) continue;
    if (isOfRow && (row < 1 || row > rows))
      throw new InputError({ file, problem: `the row of ${name} is ${row}`, value: row, allowed: `between 1 and ${rows}` });
    if (!isOfRow && index !== undefined && row > 0)
      throw new InputError({ file, problem: `${label} names a row, but ${name} is a signal of the bank`, value: label });
    const words = field.values === undefined ? undefined : contract.enums[field.values];
    const found = { name, label, message, unit: field.unit, symbol: UNITS[field.unit].symbol, field, words };
    return isOfRow
      ? { ...found, row, column: `${prefix}${name}[${row}]`, recordAt: bankRecord.size + (row - 1) * rowRecord.size }
      : { ...found, row: 0, column: prefix + name, recordAt: 0 };
  }
  throw new InputError({ file, problem: `there is no signal ${label}`, value: label, allowed: signalNames(contract, messages) });
}

/** A run, or a part of it, divided into bins of equal length. `first` is its first tick and `ticks` its length. */
export interface Part {
  readonly first: number;
  readonly ticks: number;
  readonly bins: number;
}

/** Bin of a tick, from 0; negative before the part, `bins` or more after it. */
export const binOf = ({ first, ticks, bins }: Part, tick: number): number => Math.floor(((tick - first) * bins) / ticks);

/** A signal over a part: minimum, maximum and mean of each bin, so that spikes stay visible. The mean of a bin without a value is NaN. */
export interface Series {
  readonly signal: Signal;
  readonly min: Float64Array;
  readonly max: Float64Array;
  readonly mean: Float64Array;
}

/** Collects series from the messages of a run. Memory depends on the number of signals and bins only. */
export class SeriesCollector {
  readonly series: readonly Series[];
  private readonly counts: readonly Uint32Array[];
  private readonly part: Part;

  constructor(signals: readonly Signal[], part: Part) {
    const { bins } = part;
    this.part = part;
    this.counts = signals.map(() => new Uint32Array(bins));
    this.series = signals.map((signal) => ({
      signal,
      min: new Float64Array(bins).fill(Number.POSITIVE_INFINITY),
      max: new Float64Array(bins).fill(Number.NEGATIVE_INFINITY),
      mean: new Float64Array(bins).fill(Number.NaN),
    }));
  }

  /** Takes a message of a tick. Values that are not finite, and ticks outside the part, are ignored. */
  take(message: RecordingMessage, tick: number, payload: Uint8Array): void {
    const bin = binOf(this.part, tick);
    if (bin < 0 || bin >= this.part.bins) return;
    const view = dataViewOf(payload);
    for (const [index, { signal, min, max, mean }] of this.series.entries()) {
      const counts = this.counts[index];
      if (counts === undefined || signal.message !== message) continue;
      const value = readField(view, signal.recordAt, signal.field);
      if (!Number.isFinite(value)) continue;
      const count = (counts[bin] ?? 0) + 1;
      counts[bin] = count;
      min[bin] = Math.min(min[bin] ?? value, value);
      max[bin] = Math.max(max[bin] ?? value, value);
      const before = count === 1 ? 0 : (mean[bin] ?? 0);
      mean[bin] = before + (value - before) / count;
    }
  }
}

/** Minimum and maximum of a whole series; not finite if it has no value. */
export const rangeOf = ({ min, max }: Series): [number, number] => [
  Math.min(...min.filter((value) => Number.isFinite(value))),
  Math.max(...max.filter((value) => Number.isFinite(value))),
];
