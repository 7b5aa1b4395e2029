import { dataViewOf } from '../common/data-view.js';
import type { Contract } from '../contract/contract.js';
import { recordOf } from '../contract/contract.js';
import { isSignal, readField } from '../contract/fields.js';
import type { FieldLayout } from '../contract/layout.js';

/** One line of expected.csv: from this tick on, a signal of the bank (row 0) or of a row (from 1) has this value. */
export interface Change {
  readonly tick: number;
  readonly row: number;
  readonly signal: string;
  readonly value: string;
}

/** Signal name of the hash over outputs, probes and state, written once a second and at the end. */
export const STATE_HASH = 'stateHash';

export const hashText = (hash: number): string => hash.toString(16).padStart(8, '0');

/** An output field, and how its values are written. */
export interface OutputSignal {
  readonly name: string;
  readonly field: FieldLayout;
  /** Text of a raw value: the enumeration's word, names of faults, or the number. */
  readonly show: (raw: number) => string;
}

export interface OutputSignals {
  readonly bank: readonly OutputSignal[];
  readonly row: readonly OutputSignal[];
  /** Bank signals that summarise the rows. They come after the rows, so that a cause precedes its effect. */
  readonly summary: readonly OutputSignal[];
  readonly bankBytes: number;
  readonly rowBytes: number;
}

/** Names of the faults whose bits are set, or `none`. */
export function faultNames(contract: Contract, scope: 'bank' | 'row'): (raw: number) => string {
  const faults = contract.faults.filter((fault) => fault.scope === scope);
  return (raw) => {
    const names = faults.filter((fault) => (raw >>> fault.code) & 1).map((fault) => fault.name);
    return names.length === 0 ? 'none' : names.join('+');
  };
}

function signalsOf(contract: Contract, recordName: string, scope: 'bank' | 'row'): OutputSignal[] {
  const { fields } = recordOf(contract, recordName);
  return fields.filter(isSignal).map((field) => {
    const words = field.values === undefined ? undefined : contract.enums[field.values];
    const show = field.name === 'faults' ? faultNames(contract, scope) : (raw: number): string => words?.[raw] ?? String(raw);
    return { name: field.name, field, show };
  });
}

/** Outputs that summarise others: they come last in a tick, and a first difference in them only counts if nothing else differs. */
export const SUMMARIES: readonly string[] = ['allClosed', 'powerMayBeCut'];

/** The outputs that a vector stores: every field of BankOutput and RowOutput. */
export function outputSignals(contract: Contract): OutputSignals {
  const bank = signalsOf(contract, 'BankOutput', 'bank');
  return {
    bank: bank.filter(({ name }) => !SUMMARIES.includes(name)),
    summary: bank.filter(({ name }) => SUMMARIES.includes(name)),
    row: signalsOf(contract, 'RowOutput', 'row'),
    bankBytes: recordOf(contract, 'BankOutput').size,
    rowBytes: recordOf(contract, 'RowOutput').size,
  };
}

/** Finds the outputs that changed from one tick to the next, in order: bank, rows, summary. */
export class ChangeDetector {
  private readonly words: Uint32Array;
  private readonly last: Uint32Array;
  private readonly view: DataView;
  private readonly lastView: DataView;

  /**
   * @param output the runner's live outputs; all are taken to be 0 before the first call
   * @param reportsAll whether the first call reports every output, even 0: its word may be different in another build
   */
  constructor(
    output: Uint8Array,
    private readonly signals: OutputSignals,
    private reportsAll = false,
  ) {
    this.words = new Uint32Array(output.buffer, output.byteOffset, output.byteLength / 4);
    this.last = new Uint32Array(this.words.length);
    this.view = dataViewOf(output);
    this.lastView = new DataView(this.last.buffer);
  }

  /** Calls `take` for each change since the last call. Fast if there is none, which is nearly always so. */
  detect(tick: number, take: (change: Change) => void): void {
    if (!this.differs(0, this.view.byteLength)) return;
    const { bank, row, summary, bankBytes, rowBytes } = this.signals;
    const isBankChanged = this.differs(0, bankBytes);
    if (isBankChanged) this.compareRecord(tick, 0, 0, bank, take);
    for (let index = 1, at = bankBytes; at < this.view.byteLength; index++, at += rowBytes) {
      if (!this.differs(at, rowBytes)) continue;
      this.compareRecord(tick, index, at, row, take);
      this.keep(at, rowBytes);
    }
    if (!isBankChanged) return;
    this.compareRecord(tick, 0, 0, summary, take);
    this.keep(0, bankBytes);
    this.reportsAll = false;
  }

  /** Record sizes are multiples of 4 bytes. */
  private differs(at: number, bytes: number): boolean {
    const { words, last } = this;
    if (this.reportsAll) return true;
    for (let index = at >> 2; index < (at + bytes) >> 2; index++) if (words[index] !== last[index]) return true;
    return false;
  }

  private keep(at: number, bytes: number): void {
    this.last.set(this.words.subarray(at >> 2, (at + bytes) >> 2), at >> 2);
  }

  private compareRecord(tick: number, row: number, at: number, signals: readonly OutputSignal[], take: (change: Change) => void): void {
    for (const { name, field, show } of signals) {
      const raw = readField(this.view, at, field);
      if (this.reportsAll || raw !== readField(this.lastView, at, field)) take({ tick, row, signal: name, value: show(raw) });
    }
  }
}
