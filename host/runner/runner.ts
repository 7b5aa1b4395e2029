import type { BuildDescription } from '../contract/embed.js';

/**
 * Anything that runs the controller: its WebAssembly in this process, an emulated chip, a board.
 *
 * One tick: write the records into `input`, call `tick()`, read `output`. The views stay valid for the runner's life; each holds
 * the bank's record followed by one record per row, in the layout of the runner's own contract.
 */
export interface Runner {
  readonly description: BuildDescription;
  readonly rows: number;
  readonly input: Uint8Array;
  readonly output: Uint8Array;
  readonly probe: Uint8Array;
  /** Throws WebAssembly.RuntimeError, or the like, when an assertion in the controller fails, or it takes too many steps. */
  tick(): void;
  /** Returns the CRC-32 of outputs, probes and state of the rows in use, however many rows the build has room for. */
  stateHash(): number;
  /** Returns a copy of everything that the next tick depends on. */
  saveState(): Uint8Array;
  restoreState(state: Uint8Array): void;
}

/** configure() or reconfigure() refused a parameter. */
export class ParameterRefused extends Error {
  /** Bad input: the command ends with exit code 2. */
  readonly isExpected = true;

  /** @param parameter name of the first bad parameter */
  constructor(readonly parameter: string) {
    super(`the controller refused parameter ${parameter}`);
    this.name = 'ParameterRefused';
  }
}

/** A build cannot be used: it cannot be instantiated, or its configure() does not return or refuses rows that its contract has room for. */
export class StartFailed extends Error {
  /** The command ends with exit code 2. */
  readonly isExpected = true;

  /** @param reason a clause, mostly as the engine words it */
  constructor(readonly reason: string) {
    super(`the controller does not start: ${reason}`);
    this.name = 'StartFailed';
  }
}

/** reconfigure() does not change this parameter while the controller runs. */
export class RestartNeeded extends Error {
  /** Bad input: the command ends with exit code 2. */
  readonly isExpected = true;

  /** @param parameter name of the first changed parameter that needs a restart */
  constructor(readonly parameter: string) {
    super(`a change of parameter ${parameter} needs a restart of the controller`);
    this.name = 'RestartNeeded';
  }
}
