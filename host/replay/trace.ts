import type { UnitName } from '../../shared/units.js';
import type { Contract } from '../contract/contract.js';
import { isSignal, readField } from '../contract/fields.js';
import type { LaidField } from '../contract/layout.js';
import { type MessageName, messageRecords } from '../contract/write-message.js';
import { InputError } from '../files/input-error.js';

/** A signal of one row, or of the bank (row 0), and where it stands in its message. */
export interface Signal {
  readonly name: string;
  readonly row: number;
  readonly message: MessageName;
  readonly unit: UnitName;
  readonly recordAt: number;
  readonly field: LaidField;
}

/** A signal over a run: least, most and mean of each of equally long stretches of time, so that spikes stay. */
export interface Series {
  readonly signal: Signal;
  readonly least: Float64Array;
  readonly most: Float64Array;
  readonly mean: Float64Array;
}

/** Names of all signals of some messages, those of rows first. */
function signalNames(contract: Contract, messages: readonly MessageName[]): string[] {
  const records = messages.flatMap((message) => Object.values(messageRecords(contract, message)).reverse());
  const names = records.flatMap(({ fields }) => fields.filter(isSignal).map(({ name }) => name));
  return [...new Set(names)];
}

/**
 * Finds a signal by name: the row's own if there is one, the bank's otherwise, in the order of `messages`.
 * @param asked what named it, for the message of the error
 * @throws InputError when no message has it
 */
export function findSignal(contract: Contract, messages: readonly MessageName[], name: string, row: number, asked: string): Signal {
  for (const message of messages) {
    const { bank: bankRecord, row: inRow } = messageRecords(contract, message);
    const ofRow = inRow.fields.find((field) => field.name === name);
    if (ofRow !== undefined) {
      return { name, row, message, unit: ofRow.unit, recordAt: bankRecord.size + (row - 1) * inRow.size, field: ofRow };
    }
    const ofBank = bankRecord.fields.find((field) => field.name === name);
    if (ofBank !== undefined) return { name, row: 0, message, unit: ofBank.unit, recordAt: 0, field: ofBank };
  }
  throw new InputError({ file: asked, what: 'signal', value: name, allowed: signalNames(contract, messages) });
}

/** Gathers series from the messages of a run. */
export class Tracer {
  readonly series: readonly Series[];
  private readonly counts: Uint32Array;

  /** @param ticks length of the run; @param stretches how many values each series has at most */
  constructor(
    signals: readonly Signal[],
    private readonly ticks: number,
    stretches: number,
  ) {
    const length = Math.min(ticks, stretches);
    this.counts = new Uint32Array(length * signals.length);
    this.series = signals.map((signal) => ({
      signal,
      least: new Float64Array(length).fill(Number.POSITIVE_INFINITY),
      most: new Float64Array(length).fill(Number.NEGATIVE_INFINITY),
      mean: new Float64Array(length),
    }));
  }

  /** Takes a message of a tick; what is not a number is left out. */
  take(message: MessageName, tick: number, payload: Uint8Array): void {
    const view = new DataView(payload.buffer, payload.byteOffset, payload.byteLength);
    for (const [index, { signal, least, most, mean }] of this.series.entries()) {
      if (signal.message !== message) continue;
      const value = readField(view, signal.recordAt, signal.field);
      if (Number.isNaN(value)) continue;
      const at = Math.floor((tick * least.length) / this.ticks);
      const counted = index * least.length + at;
      const count = (this.counts[counted] ?? 0) + 1;
      this.counts[counted] = count;
      least[at] = Math.min(least[at] ?? value, value);
      most[at] = Math.max(most[at] ?? value, value);
      mean[at] = (mean[at] ?? 0) + (value - (mean[at] ?? 0)) / count;
    }
  }
}

/** Least and most of a series, over all. */
export function rangeOf(series: Series): [number, number] {
  const isThere = (value: number): boolean => Number.isFinite(value);
  return [Math.min(...series.least.filter(isThere)), Math.max(...series.most.filter(isThere))];
}
