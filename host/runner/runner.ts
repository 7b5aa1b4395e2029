import type { BuildDescription } from '../contract/embed.js';

/**
 * Anything that runs the controller: the wasm binary here, later native code, an emulated chip, a board.
 *
 * One tick: write the records into `input`, call `tick()`, read `output`. The views stay valid for the target's life;
 * each holds the bank's record followed by one record for each row, in the layout of the target's own contract.
 */
export interface Runner {
  readonly description: BuildDescription;
  readonly rows: number;
  readonly input: Uint8Array;
  readonly output: Uint8Array;
  readonly probe: Uint8Array;
  /** @throws WebAssembly.RuntimeError, or its like, when an assertion in the controller fails: a fault of ours. */
  tick(): void;
  /** CRC-32 over outputs, probes and state of the rows in use, place by place, whatever the build has room for. */
  stateHash(): number;
  /** Everything that the next tick depends on, as a copy. */
  saveState(): Uint8Array;
  restoreState(state: Uint8Array): void;
}

/** A target refused its parameters. */
export class ParameterRefused extends Error {
  /** Bad input: the command ends with exit code 2. */
  readonly isExpected = true;

  /** @param name of the first bad parameter */
  constructor(readonly parameter: string) {
    super(`the controller refused parameter ${parameter}`);
    this.name = 'ParameterRefused';
  }
}
