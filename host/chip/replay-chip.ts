import type { Contract } from '../contract/contract.js';
import { identifyRun, type RunIdentity } from '../contract/run-identity.js';
import { type Change, ChangeDetector, hashText, outputSignals } from '../replay/change.js';
import { runRecording } from '../replay/replay.js';
import type { Verdict } from '../replay/verdict.js';
import { type Controller, createWasmRunner, type WasmRunner } from '../runner/wasm-runner.js';
import type { VectorCase } from '../vector/vector.js';
import { StateChain } from './chain.js';
import { type ChipRunner, createChipRunner, restartChip } from './chip-runner.js';
import { type Greeting, type Link, LinkLost, statusOf } from './link.js';

/** Where a chip diverges from the wasm. */
export interface ChipDivergence {
  readonly tick: number;
  /** From 1; 0: the bank. */
  readonly row: number;
  /** Output whose value differs; `chain` if only probes or state differ. */
  readonly signal: string;
  readonly wasm: string;
  readonly chip: string;
}

/** One vector on one chip, compared with the same vector on the wasm. */
export interface ChipVectorResult {
  readonly name: string;
  readonly rows: number;
  readonly ranWith: RunIdentity;
  /** Ticks that were the same. */
  readonly ticks: number;
  readonly verdict: Verdict;
  readonly divergence: ChipDivergence | undefined;
  /** Last words of a chip that has stopped. */
  readonly stop: string | undefined;
  /** Chain of state hashes at the end. */
  readonly wasmChain: string;
  readonly chipChain: string;
  /** By the chip's counter, for one tick; the unit depends on `Greeting.countHz`. */
  readonly meanCounts: number;
  readonly maxCounts: number;
  /** Bytes of the stack in use since the chip's start, at most; 0 where it is unknown. */
  readonly stackBytes: number;
  readonly greeting: Pick<Greeting, 'board' | 'contractHash' | 'startCause' | 'arithmetic'>;
}

/** Called at the end of each second that was the same on both sides. */
export type OnSecond = (tick: number, chip: ChipRunner) => void;

/** First output that differs after a tick. @param chipOutput, wasmOutput complete outputs, which are not the same */
export function differingOutput(tick: number, contract: Contract, chipOutput: Uint8Array, wasmOutput: Uint8Array): ChipDivergence {
  const signals = outputSignals(contract);
  const valuesIn = (output: Uint8Array): Change[] => {
    const changes: Change[] = [];
    new ChangeDetector(output, signals, true).detect(tick, (change) => changes.push(change));
    return changes;
  };
  const ofChip = valuesIn(chipOutput);
  const ofWasm = valuesIn(wasmOutput);
  const index = ofWasm.findIndex(({ value }, at) => ofChip[at]?.value !== value);
  const { row, signal, value } = ofWasm[index] ?? { row: 0, signal: 'outputs', value: '' };
  return { tick, row, signal, wasm: value, chip: ofChip[index]?.value ?? '' };
}

/** Verdict of a run that did not stop. */
export const verdictOf = (divergence: ChipDivergence | undefined): Verdict => {
  if (divergence === undefined) return 'same';
  return divergence.signal === 'chain' ? 'stateDiffers' : 'outputsDiffer';
};

/** Ends a run over a recording early. */
class Finished extends Error {}

/**
 * One pass over a vector: the wasm runs tick by tick, and the chip follows with as many ticks per request as fit. The chain covers
 * every output, probe and state word of every tick, so comparing it after each request is enough to notice any difference.
 */
class Pass {
  divergence: ChipDivergence | undefined;
  stop: string | undefined;
  /** Ticks that were the same. */
  ticks = 0;
  readonly counts = { total: 0, max: 0 };
  readonly chip: ChipRunner;
  /** The wasm's chain at the last comparison. */
  wasmChain = 0;
  private readonly wasm: WasmRunner;
  private readonly state: StateChain;
  private readonly inputs: Uint8Array;
  private pending = 0;

  /** @param stepFrom from this tick on, each request carries a single tick, so that a difference is found at its tick */
  constructor(
    link: Link,
    controller: Controller,
    private readonly vector: VectorCase,
    private readonly stepFrom: number,
    private readonly onSecond: OnSecond,
  ) {
    const { rows, values } = vector;
    this.chip = createChipRunner(link, controller.description, rows, values);
    this.wasm = createWasmRunner(controller, rows, values);
    this.state = new StateChain(this.wasm.input.buffer as ArrayBuffer, controller.description.contract, rows);
    this.inputs = new Uint8Array(this.chip.ticksMax * this.wasm.input.length);
  }

  get isSame(): boolean {
    return this.divergence === undefined && this.stop === undefined;
  }

  run(): this {
    const { inputFile, tickHz } = this.vector;
    try {
      const { trap } = runRecording(
        this.wasm,
        inputFile,
        tickHz,
        () => {},
        (tick) => this.take(tick),
      );
      if (trap !== undefined) this.push();
      this.flush();
      if (trap !== undefined) throw new Error(`the wasm stops at tick ${trap.tick} (${trap.message}), the chip does not`);
    } catch (error) {
      if (error instanceof LinkLost) this.stop = this.stopText(error);
      else if (!(error instanceof Finished)) throw error;
    }
    return this;
  }

  /** Adds the tick that the wasm has run. */
  private take(tick: number): void {
    this.state.update();
    this.push();
    const isSecond = (tick + 1) % this.vector.tickHz === 0;
    if (!isSecond && tick < this.stepFrom && this.pending < this.chip.ticksMax) return;
    this.flush();
    if (isSecond) this.onSecond(tick, this.chip);
  }

  private push(): void {
    this.inputs.set(this.wasm.input, this.pending * this.wasm.input.length);
    this.pending += 1;
  }

  /** Lets the chip catch up with the wasm, and compares. */
  private flush(): void {
    if (this.pending === 0) return;
    const { chip, wasm, counts } = this;
    chip.runTicks(this.inputs.subarray(0, this.pending * wasm.input.length));
    this.wasmChain = this.state.value;
    const tick = this.ticks + this.pending - 1;
    if (Buffer.compare(wasm.output, chip.output) !== 0)
      this.divergence = differingOutput(tick, wasm.description.contract, chip.output, wasm.output);
    else if (this.wasmChain !== chip.chain)
      this.divergence = { tick, row: 0, signal: 'chain', wasm: hashText(this.wasmChain), chip: hashText(chip.chain) };
    if (this.divergence !== undefined) throw new Finished();
    this.ticks += this.pending;
    this.pending = 0;
    counts.total += chip.counts.total;
    counts.max = Math.max(counts.max, chip.counts.max);
  }

  private stopText({ message }: LinkLost): string {
    const last = this.ticks + this.pending - 1;
    const place = last > this.ticks ? `ticks ${this.ticks} to ${last}` : `tick ${this.ticks}`;
    return `${place}: ${message}`;
  }
}

/**
 * Runs the vector again after a request that went wrong, tick by tick from the last good one, to name tick, row and signal.
 * Undefined when the chip cannot restart.
 */
function stepThrough(link: Link, controller: Controller, vector: VectorCase, first: Pass): Pass | undefined {
  try {
    if (first.stop !== undefined) restartChip(link);
    return new Pass(link, controller, vector, first.ticks, () => {}).run();
  } catch (error) {
    if (error instanceof LinkLost) return undefined;
    throw error;
  }
}

/**
 * Runs a vector on a chip in lockstep, with the wasm beside it: every output of every tick and the chain of state hashes must be
 * the same. Ends at the first difference.
 * @throws InputError when the vector is invalid, or the chip has another contract
 * @throws ParameterRefused when the chip refuses a parameter
 */
export function replayOnChip(link: Link, controller: Controller, vector: VectorCase, onSecond: OnSecond = () => {}): ChipVectorResult {
  const first = new Pass(link, controller, vector, Number.POSITIVE_INFINITY, onSecond).run();
  const second = first.isSame ? undefined : stepThrough(link, controller, vector, first);
  // A difference that does not occur again is still one; only its tick is then known to within one request.
  const pass = second === undefined || second.isSame ? first : second;
  const { chip, wasmChain, ticks, counts, divergence, stop } = pass;
  return {
    name: vector.name,
    rows: vector.rows,
    ranWith: identifyRun(controller.description.contract, vector.values),
    ticks,
    verdict: stop !== undefined ? 'stopped' : verdictOf(divergence),
    divergence,
    stop,
    wasmChain: hashText(wasmChain),
    chipChain: hashText(chip.chain),
    meanCounts: ticks === 0 ? 0 : counts.total / ticks,
    maxCounts: counts.max,
    stackBytes: stop === undefined ? statusOf(link).stackBytes : 0,
    greeting: chip.greeting,
  };
}
