import { type Contract, hashedRanges } from '../contract/contract.js';

/** Knuth's multiplicative constant, 2^32 divided by the golden ratio. */
const FACTOR = 0x9e3779b1;

/**
 * The chain of state hashes that the chip computes (lb_state_chain), over the memory of a wasm runner: each tick continues it by
 * h = (rotate(h, 5) ^ word) · FACTOR over the words of outputs, probes and state of the rows in use.
 */
export class StateChain {
  value = 0;
  private readonly words: Uint32Array;
  private readonly ranges: readonly (readonly [first: number, end: number])[];

  constructor(memory: ArrayBuffer, contract: Contract, rows: number) {
    this.words = new Uint32Array(memory);
    this.ranges = hashedRanges(contract, rows).map(({ at, bytes }) => [at / 4, at / 4 + Math.ceil(bytes / 4)] as const);
  }

  /** Adds the memory after a tick. */
  update(): void {
    let chain = this.value;
    for (const [first, end] of this.ranges) {
      for (let at = first; at < end; at++) chain = Math.imul(((chain << 5) | (chain >>> 27)) ^ (this.words[at] ?? 0), FACTOR);
    }
    this.value = chain >>> 0;
  }
}
