import type { Fault } from '../../shared/faults.js';
import type { FaultSpan } from './metrics.js';

/** Maximum number of spans of a flickering fault that are listed per row; all are counted. */
const SPANS_MAX = 20;
const BITS = 32;

/** A span in ticks. */
interface TickSpan {
  readonly row: number;
  readonly bit: number;
  readonly start: number;
  end?: number;
}

/** Tracks the fault bits of the bank, as row 0, and of its rows. */
export class FaultList {
  readonly #faults: readonly Fault[];
  readonly #words: Uint32Array;
  /** By fault and row: how often it was set, and its span if it is listed and still set. */
  readonly #times = new Map<number, number>();
  readonly #open = new Map<number, TickSpan>();
  readonly #listed: TickSpan[] = [];
  #timesSet = 0;

  constructor(faults: readonly Fault[], rows: number) {
    this.#faults = faults;
    this.#words = new Uint32Array(rows + 1);
  }

  /** Number of times that any fault was set. */
  get timesSet(): number {
    return this.#timesSet;
  }

  take(row: number, word: number, tick: number): void {
    if (this.#words[row] !== word) this.#change(row, word, tick);
  }

  /** Returns all spans in order of their start; faults that are still set end at `endTick`. */
  spans(tickHz: number, endTick: number): FaultSpan[] {
    return this.#listed.map(({ row, bit, start, end }) => {
      const scope = row === 0 ? 'bank' : 'row';
      const name = this.#faults.find((fault) => fault.scope === scope && fault.code === bit)?.name ?? `bit ${bit}`;
      return { name, scope, row, fromS: start / tickHz, toS: (end ?? endTick) / tickHz, isSetAtEnd: end === undefined };
    });
  }

  #change(row: number, word: number, tick: number): void {
    const changed = (this.#words[row] ?? 0) ^ word;
    this.#words[row] = word;
    for (let bit = 0; bit < BITS; bit++) {
      if (((changed >>> bit) & 1) === 0) continue;
      if (((word >>> bit) & 1) === 1) this.#start(row, bit, tick);
      else this.#end(row, bit, tick);
    }
  }

  #start(row: number, bit: number, tick: number): void {
    const key = row * BITS + bit;
    const times = (this.#times.get(key) ?? 0) + 1;
    this.#times.set(key, times);
    this.#timesSet++;
    if (times > SPANS_MAX) return;
    const span: TickSpan = { row, bit, start: tick };
    this.#listed.push(span);
    this.#open.set(key, span);
  }

  #end(row: number, bit: number, tick: number): void {
    const key = row * BITS + bit;
    const span = this.#open.get(key);
    if (span !== undefined) span.end = tick;
    this.#open.delete(key);
  }
}
