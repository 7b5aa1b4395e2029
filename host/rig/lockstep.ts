import { StateChain } from '../chip/chain.js';
import { LinkLost } from '../chip/link.js';
import { type ChipDivergence, type ChipVectorResult, differingOutput, verdictOf } from '../chip/replay-chip.js';
import { identifyRun } from '../contract/run-identity.js';
import { openRecording } from '../recording/reader.js';
import { hashText } from '../replay/change.js';
import { checkFits, missingInput } from '../replay/replay.js';
import { type Controller, createWasmRunner, type WasmRunner } from '../runner/wasm-runner.js';
import type { VectorCase } from '../vector/vector.js';
import type { Board, LockstepRun } from './board.js';

/** Ticks under way: what the wasm had after the last of them. */
interface Batch {
  readonly last: number;
  readonly ticks: number;
  readonly output: Uint8Array;
  readonly chain: number;
}

/**
 * Lets a board follow the wasm: each tick that the wasm has run goes to the board, many in one request and several requests under way.
 * The chain covers every output, probe and state word of every tick, so comparing it after each request notices any difference.
 */
export class LockstepCheck {
  divergence: ChipDivergence | undefined;
  /** Why the board no longer answers. */
  lost: LinkLost | undefined;
  /** Ticks that were the same. */
  ticks = 0;
  readonly counts = { total: 0, max: 0 };
  /** Chains at the last comparison. */
  wasmChain = 0;
  boardChain = 0;
  private readonly state: StateChain;
  private readonly inputs: Uint8Array;
  private readonly underWay: Promise<void>[] = [];
  private pending = 0;
  private failure: unknown;

  /** @param singleFrom from this tick on, each request carries one tick, so that a difference is found at its tick */
  constructor(
    private readonly board: LockstepRun,
    private readonly wasm: WasmRunner,
    private readonly singleFrom = Number.POSITIVE_INFINITY,
  ) {
    const { contract } = wasm.description;
    this.state = new StateChain(wasm.input.buffer as ArrayBuffer, contract, wasm.rows);
    this.inputs = new Uint8Array(board.ticksMax * wasm.input.length);
  }

  get isSame(): boolean {
    return this.divergence === undefined && this.lost === undefined;
  }

  /** Adds the tick that the wasm has just run, and waits while the board has enough to do. Returns whether to go on. */
  async take(tick: number): Promise<boolean> {
    this.state.update();
    this.inputs.set(this.wasm.input, this.pending * this.wasm.input.length);
    this.pending += 1;
    if (this.pending === this.board.ticksMax || tick >= this.singleFrom) {
      this.send(tick);
      if (this.underWay.length >= this.board.window) await this.underWay.shift();
    }
    return this.goesOn();
  }

  /** Sends the rest, after `tick` as the last one, and waits for everything under way. */
  async finish(tick: number): Promise<void> {
    if (this.goesOn() && this.pending > 0) this.send(tick);
    while (this.underWay.length > 0) await this.underWay.shift();
    this.goesOn();
  }

  /** @throws what is no loss of the link */
  private goesOn(): boolean {
    if (this.failure !== undefined && !(this.failure instanceof LinkLost)) throw this.failure;
    this.lost = this.failure;
    return this.isSame;
  }

  private send(last: number): void {
    const { board, wasm, pending } = this;
    const batch = { last, ticks: pending, output: wasm.output.slice(), chain: this.state.value };
    const sent = board.runTicks(this.inputs.subarray(0, pending * wasm.input.length));
    this.underWay.push(
      sent.then(
        ({ output, chain, counts }) => this.compare(batch, output, chain, counts),
        (error: unknown) => {
          this.failure ??= error;
        },
      ),
    );
    this.pending = 0;
  }

  private compare(
    { last, ticks, output, chain }: Batch,
    ofBoard: Uint8Array,
    boardChain: number,
    counts: { total: number; max: number },
  ): void {
    if (this.divergence !== undefined) return;
    const { contract } = this.wasm.description;
    [this.wasmChain, this.boardChain] = [chain, boardChain];
    if (Buffer.compare(output, ofBoard) !== 0) this.divergence = differingOutput(last, contract, ofBoard, output);
    else if (chain !== boardChain)
      this.divergence = { tick: last, row: 0, signal: 'chain', wasm: hashText(chain), chip: hashText(boardChain) };
    if (this.divergence !== undefined) return;
    this.ticks += ticks;
    this.counts.total += counts.total;
    this.counts.max = Math.max(this.counts.max, counts.max);
  }
}

/** Runs a tick. Returns why the controller stopped, if one of its assertions failed. */
function tickOrTrap(wasm: WasmRunner): string | undefined {
  try {
    wasm.tick();
    return undefined;
  } catch (error) {
    if (error instanceof WebAssembly.RuntimeError) return error.message;
    throw error;
  }
}

/** Runs a vector on the wasm, and lets the board follow. */
async function pass(board: Board, controller: Controller, vector: VectorCase, singleFrom?: number): Promise<LockstepCheck> {
  const { rows, tickHz, values, inputFile } = vector;
  const recording = openRecording(inputFile, controller.description.contract);
  checkFits(inputFile, recording, vector);
  const wasm = createWasmRunner(controller, rows, values);
  const run = await board.lockstep(rows, values);
  const check = new LockstepCheck(run, wasm, singleFrom);
  let ticks = 0;
  for (const { tick, payload } of recording.messages({ messages: ['input'] })) {
    if (tick !== ticks) throw missingInput(inputFile, ticks, tick);
    wasm.input.set(payload);
    const trap = tickOrTrap(wasm);
    ticks += 1;
    if (!(await check.take(tick))) break;
    if (trap !== undefined) {
      await check.finish(tick);
      if (check.isSame) throw new Error(`the wasm stops at tick ${tick} (${trap}), the board does not`);
      break;
    }
    // The loop would otherwise keep the link from its work while the board answers from memory.
    if (ticks % tickHz === 0) await new Promise(setImmediate);
  }
  await check.finish(ticks - 1);
  if (check.isSame) await run.end();
  return check;
}

/** Runs the vector again from its start, tick by tick from the last good one. Undefined if the board cannot restart. */
async function stepThrough(
  board: Board,
  controller: Controller,
  vector: VectorCase,
  first: LockstepCheck,
): Promise<LockstepCheck | undefined> {
  try {
    if (first.lost !== undefined) await board.restart();
    return await pass(board, controller, vector, first.ticks);
  } catch (error) {
    if (error instanceof LinkLost) return undefined;
    throw error;
  }
}

/**
 * Runs a vector on a board in lockstep, with the wasm beside it: every output of every tick and the chain of state hashes must be the
 * same. Ends at the first difference.
 * @throws InputError when the vector is invalid, or the board cannot run it
 * @throws ParameterRefused when the board refuses a parameter
 */
export async function replayInLockstep(board: Board, controller: Controller, vector: VectorCase): Promise<ChipVectorResult> {
  const first = await pass(board, controller, vector);
  const second = first.isSame ? undefined : await stepThrough(board, controller, vector, first);
  // A difference that does not occur again is still one; only its tick is then known to within one request.
  const { ticks, counts, divergence, lost, wasmChain, boardChain } = second === undefined || second.isSame ? first : second;
  const stop = lost === undefined ? undefined : `after ${ticks} ticks: ${lost.message}`;
  return {
    name: vector.name,
    rows: vector.rows,
    ranWith: identifyRun(controller.description.contract, vector.values),
    ticks,
    verdict: stop !== undefined ? 'stopped' : verdictOf(divergence),
    divergence,
    stop,
    wasmChain: hashText(wasmChain),
    chipChain: hashText(boardChain),
    meanCounts: ticks === 0 ? 0 : counts.total / ticks,
    maxCounts: counts.max,
    stackBytes: stop === undefined ? (await board.status()).stackBytes : 0,
    greeting: board.greeting,
  };
}
