import { type Display, UNITS, type Unit, type UnitName } from '../../shared/units.js';
import { InputError } from '../common/input-error.js';
import type { Contract } from '../contract/contract.js';
import { isSignal, readField } from '../contract/fields.js';
import type { LaidField, LaidRecord } from '../contract/layout.js';
import { type MessageName, messageRecords } from '../contract/messages.js';

/** A signal of one row, or of the bank (row 0), and where it stands in its message. */
export interface Signal {
  readonly name: string;
  /** The words that asked for it. */
  readonly asked: string;
  /** As its column is named in an exported table: `loadN[2]`; with the message where it was asked for with one. */
  readonly column: string;
  readonly row: number;
  readonly message: MessageName;
  readonly unit: UnitName;
  readonly recordAt: number;
  readonly field: LaidField;
  /** What its numbers stand for, from 0, if they do. */
  readonly words?: readonly string[] | undefined;
}

/** Where signals are looked for. */
export interface Scope {
  readonly contract: Contract;
  /** The messages there are: a name that several have is that of the first. */
  readonly messages: readonly MessageName[];
  readonly rows: number;
  /** Row of a name that carries none. */
  readonly row: number;
  /** What errors are about. */
  readonly file: string;
}

/** `loadN`, `loadN[3]`, `truth.speedMps`. */
const NAME = /^(?:(\w+)\.)?(\w+)(?:\[(\d+)\])?$/;

const fieldOf = (record: LaidRecord, name: string): LaidField | undefined =>
  record.fields.find((field) => field.name === name && isSignal(field));

/** Names of all signals of some messages, those of rows first. */
function signalNames(contract: Contract, messages: readonly MessageName[]): string[] {
  const records = messages.flatMap((message) => Object.values(messageRecords(contract, message)).reverse());
  const names = records.flatMap(({ fields }) => fields.filter(isSignal).map(({ name }) => name));
  return [...new Set(names)];
}

/**
 * Finds a signal by the name of its column in an exported table. Without a message it is that of the first that has the name;
 * without a row it is the scope's row's own, or the bank's where rows have none. `[0]` is the bank's where both have one.
 * @throws InputError when there is no such signal or row
 */
export function findSignal(scope: Scope, asked: string): Signal {
  const { contract, messages, rows, file } = scope;
  const [, from, name = asked, index] = NAME.exec(asked) ?? [];
  const row = index === undefined ? scope.row : Number(index);
  const prefix = from === undefined ? '' : `${from}.`;
  for (const message of messages) {
    if (from !== undefined && from !== message) continue;
    const { bank: bankRecord, row: rowRecord } = messageRecords(contract, message);
    const ofBank = fieldOf(bankRecord, name);
    const ofRow = fieldOf(rowRecord, name);
    const isRows = ofBank === undefined || (ofRow !== undefined && row > 0);
    const field = isRows ? ofRow : ofBank;
    if (field === undefined) continue;
    if (isRows && (row < 1 || row > rows)) throw new InputError({ file, what: `row of ${name}`, value: row, allowed: `1 to ${rows}` });
    if (!isRows && index !== undefined && row > 0)
      throw new InputError({ file, what: 'signal', value: asked, allowed: `${name}, the bank’s` });
    const words = field.values === undefined ? undefined : contract.enums[field.values];
    const found = { name, asked, message, unit: field.unit, field, words };
    return isRows
      ? { ...found, row, column: `${prefix}${name}[${row}]`, recordAt: bankRecord.size + (row - 1) * rowRecord.size }
      : { ...found, row: 0, column: prefix + name, recordAt: 0 };
  }
  throw new InputError({ file, what: 'signal', value: asked, allowed: signalNames(contract, messages) });
}

/** The unit in which people read a signal where ours is another: bar for kPa. */
export function displayOf({ unit }: Signal): Display {
  const { symbol, metric }: Unit = UNITS[unit];
  return metric ?? { symbol, factor: 1 };
}

/** A run, or a part of it, divided into equally long stretches of time. `first` and `ticks` are its first tick and its length. */
export interface Part {
  readonly first: number;
  readonly ticks: number;
  readonly stretches: number;
}

/** The stretch that a tick lies in, from 0; negative before the part, `stretches` or more after it. */
export const stretchOf = ({ first, ticks, stretches }: Part, tick: number): number => Math.floor(((tick - first) * stretches) / ticks);

/** A signal over a part: least, most and mean of each stretch, so that spikes stay; a mean of NaN where it has no value. */
export interface Series {
  readonly signal: Signal;
  readonly least: Float64Array;
  readonly most: Float64Array;
  readonly mean: Float64Array;
}

/** Gathers series from the messages of a run. Memory depends on signals and stretches only. */
export class Tracer {
  readonly series: readonly Series[];
  private readonly counts: readonly Uint32Array[];
  private readonly part: Part;

  constructor(signals: readonly Signal[], part: Part) {
    const { stretches } = part;
    this.part = part;
    this.counts = signals.map(() => new Uint32Array(stretches));
    this.series = signals.map((signal) => ({
      signal,
      least: new Float64Array(stretches).fill(Number.POSITIVE_INFINITY),
      most: new Float64Array(stretches).fill(Number.NEGATIVE_INFINITY),
      mean: new Float64Array(stretches).fill(Number.NaN),
    }));
  }

  /** Takes a message of a tick; what is not a finite number, or outside the part, is left out. */
  take(message: MessageName, tick: number, payload: Uint8Array): void {
    const at = stretchOf(this.part, tick);
    if (at < 0 || at >= this.part.stretches) return;
    const view = new DataView(payload.buffer, payload.byteOffset, payload.byteLength);
    for (const [index, { signal, least, most, mean }] of this.series.entries()) {
      const counts = this.counts[index];
      if (counts === undefined || signal.message !== message) continue;
      const value = readField(view, signal.recordAt, signal.field);
      if (!Number.isFinite(value)) continue;
      const count = (counts[at] ?? 0) + 1;
      counts[at] = count;
      least[at] = Math.min(least[at] ?? value, value);
      most[at] = Math.max(most[at] ?? value, value);
      const before = count === 1 ? 0 : (mean[at] ?? 0);
      mean[at] = before + (value - before) / count;
    }
  }
}

/** Least and most of a series, over all; not finite where it has no value. */
export function rangeOf(series: Series): [number, number] {
  const isThere = (value: number): boolean => Number.isFinite(value);
  return [Math.min(...series.least.filter(isThere)), Math.max(...series.most.filter(isThere))];
}
