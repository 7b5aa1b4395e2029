import { StateChain } from '../chip/chain.js';
import { type ChipDivergence, differingOutput } from '../chip/replay-chip.js';
import { type ParameterValues, recordOf } from '../contract/contract.js';
import { hashText } from '../replay/change.js';
import { type Controller, createWasmRunner, type WasmRunner } from '../runner/wasm-runner.js';
import type { StepReport } from './board.js';
import type { InputHistory } from './input-history.js';

/** What the wasm makes of a board's free run. */
export interface Explanation {
  /** Steps whose outputs the wasm gives bit for bit from the inputs that the board says it used. */
  readonly steps: number;
  /** State hashes that were compared, and the same. */
  readonly hashes: number;
  /** Where the board first differs from the wasm: a fault of the board. `tick` is its step. */
  readonly divergence: ChipDivergence | undefined;
  /** Steps whose reports are lost. The wasm runs on with the inputs meant for them; a later hash shows whether that was so. */
  readonly lost: number;
  /** First step from which nothing can be said, and why. */
  readonly unknownFrom: { readonly step: number; readonly reason: string } | undefined;
}

/**
 * Gives the wasm exactly the inputs that a board says it used in each step, and compares outputs and state hashes bit for bit. What
 * differs is a fault of the board, not of the link.
 */
export class Explainer {
  readonly wasm: WasmRunner;
  private steps = 0;
  private hashes = 0;
  private divergence: ChipDivergence | undefined;
  private lost = 0;
  private unknownFrom: Explanation['unknownFrom'];
  /** First lost step since the last hash that was the same: since then the inputs are assumed. */
  private assumedFrom: number | undefined;
  private usedStep = -1;
  private isEnding = false;
  private readonly parameters: ParameterValues[] = [];
  private readonly shutDownAt: number;
  private readonly state: StateChain;

  constructor(
    controller: Controller,
    rows: number,
    values: ParameterValues,
    private readonly history: InputHistory,
  ) {
    this.wasm = createWasmRunner(controller, rows, values);
    const { contract } = controller.description;
    const { fields } = recordOf(contract, 'BankInput');
    this.state = new StateChain(this.wasm.input.buffer as ArrayBuffer, contract, rows);
    this.shutDownAt = fields.find(({ name }) => name === 'shutDown')?.offset ?? 0;
  }

  /** Whether steps are still compared. */
  get isOn(): boolean {
    return this.divergence === undefined && this.unknownFrom === undefined;
  }

  takeStep({ step, inputStep, output, isEnding }: StepReport): void {
    if (!this.isOn) return;
    // While it closes or vents, the board tells the controller to shut down.
    this.isEnding = isEnding;
    if (inputStep >= 0 && inputStep !== this.usedStep && !this.use(inputStep))
      this.giveUp(step, `it used inputs of step ${inputStep}, which were not sent`);
    if (!this.isOn || !this.run(step)) return;
    if (Buffer.compare(this.wasm.output, output) === 0) this.steps += 1;
    else this.differ(step, differingOutput(step, this.wasm.description.contract, output, this.wasm.output));
  }

  /** The wasm goes on with the inputs that were meant for the lost steps. */
  takeLost(from: number, to: number): void {
    this.lost += to - from + 1;
    if (!this.isOn) return;
    this.assumedFrom ??= from;
    for (let step = from; step <= to && this.isOn; step++) {
      this.use(step);
      this.run(step);
    }
  }

  /** @param hash as `StateChain` started at 0 has it after one update */
  takeHash(step: number, hash: number): void {
    if (!this.isOn) return;
    this.state.value = 0;
    this.state.update();
    const ours = this.state.value;
    if (ours === hash) {
      this.hashes += 1;
      this.assumedFrom = undefined;
    } else this.differ(step, { tick: step, row: 0, signal: 'stateHash', wasm: hashText(ours), chip: hashText(hash) });
  }

  /** Parameters that were sent to the board; it reports from which step on they are in force. */
  expectParameters(values: ParameterValues): void {
    this.parameters.push(values);
  }

  takeParameters(result: number): void {
    const values = this.parameters.shift();
    if (result === 0 && values !== undefined && this.isOn) this.wasm.reconfigure(values);
  }

  result(): Explanation {
    const { steps, hashes, divergence, lost, unknownFrom } = this;
    return { steps, hashes, divergence, lost, unknownFrom };
  }

  private use(inputStep: number): boolean {
    const inputs = this.history.get(inputStep);
    if (inputs === undefined) return false;
    this.wasm.input.set(inputs);
    this.usedStep = inputStep;
    return true;
  }

  private run(step: number): boolean {
    if (this.isEnding) this.wasm.input[this.shutDownAt] = 1;
    try {
      this.wasm.tick();
      return true;
    } catch (error) {
      if (!(error instanceof WebAssembly.RuntimeError)) throw error;
      this.giveUp(step, `the wasm stops: ${error.message}`);
      return false;
    }
  }

  /** After lost reports a difference may come from what was assumed of them. */
  private differ(step: number, divergence: ChipDivergence): void {
    if (this.assumedFrom === undefined) this.divergence = divergence;
    else
      this.giveUp(
        this.assumedFrom,
        `the reports of steps from ${this.assumedFrom} on are lost, and the board did something else in them than was sent; seen at step ${step}`,
      );
  }

  private giveUp(step: number, reason: string): void {
    this.unknownFrom = { step, reason };
  }
}
