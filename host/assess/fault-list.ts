import type { Fault } from '../../shared/faults.js';
import type { FaultSpan } from './metrics.js';

/** Of a fault that flickers in a row, so many spans are listed; all are counted. It bounds the list. */
const SPANS_MAX = 20;
const BITS = 32;

/** A span in ticks. */
interface Listed {
  readonly row: number;
  readonly bit: number;
  readonly begin: number;
  end?: number;
}

/** Follows the fault bits of the bank, called row 0, and of its rows. */
export class FaultList {
  readonly #faults: readonly Fault[];
  readonly #words: Uint32Array;
  /** By fault and row: how often it was raised, and its span if it is listed and still raised. */
  readonly #times = new Map<number, number>();
  readonly #open = new Map<number, Listed>();
  readonly #listed: Listed[] = [];
  #raised = 0;

  constructor(faults: readonly Fault[], rows: number) {
    this.#faults = faults;
    this.#words = new Uint32Array(rows + 1);
  }

  /** How many times any fault was raised. */
  get raised(): number {
    return this.#raised;
  }

  take(row: number, word: number, tick: number): void {
    if (this.#words[row] !== word) this.#change(row, word, tick);
  }

  /** All spans, in order of their begin; what is still raised ends at `endTick`. */
  spans(tickHz: number, endTick: number): FaultSpan[] {
    return this.#listed.map(({ row, bit, begin, end }) => {
      const scope = row === 0 ? 'bank' : 'row';
      const name = this.#faults.find((fault) => fault.scope === scope && fault.code === bit)?.name ?? `bit ${bit}`;
      return { name, scope, row, fromS: begin / tickHz, toS: (end ?? endTick) / tickHz, isSetAtEnd: end === undefined };
    });
  }

  #change(row: number, word: number, tick: number): void {
    const changed = (this.#words[row] ?? 0) ^ word;
    this.#words[row] = word;
    for (let bit = 0; bit < BITS; bit++) {
      if (((changed >>> bit) & 1) === 0) continue;
      if (((word >>> bit) & 1) === 1) this.#begin(row, bit, tick);
      else this.#end(row, bit, tick);
    }
  }

  #begin(row: number, bit: number, tick: number): void {
    const key = row * BITS + bit;
    const times = (this.#times.get(key) ?? 0) + 1;
    this.#times.set(key, times);
    this.#raised++;
    if (times > SPANS_MAX) return;
    const span: Listed = { row, bit, begin: tick };
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
