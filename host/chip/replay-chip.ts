import { type Change, ChangeDetector, hashText, outputSignals } from '../replay/change.js';
import { runRecording } from '../replay/replay.js';
import type { Controller } from '../runner/wasm-runner.js';
import { createWasmRunner } from '../runner/wasm-runner.js';
import type { VectorCase } from '../vector/vector.js';
import { StateChain } from './chain.js';
import { type ChipRunner, createChipRunner } from './chip-runner.js';
import { type Greeting, type Link, LinkLost, statusOf } from './link.js';

/** Where a chip parts from the wasm. */
export interface ChipDifference {
  readonly tick: number;
  /** From 1; 0: the bank. */
  readonly row: number;
  /** Output whose value differs; `chain` if only something in between does. */
  readonly signal: string;
  readonly wasm: string;
  readonly chip: string;
}

/** One vector on one chip, against the same vector on the wasm. */
export interface ChipCaseResult {
  readonly name: string;
  readonly rows: number;
  readonly ticks: number;
  readonly verdict: 'same' | 'different' | 'stopped';
  readonly difference: ChipDifference | undefined;
  /** What the chip said last if it has stopped. */
  readonly stop: string | undefined;
  /** Chain of state hashes at the end: of the wasm, of the chip. */
  readonly wasmChain: string;
  readonly chipChain: string;
  /** By the chip’s counter, in a tick; nanoseconds or counts, see `Greeting.countHz`. */
  readonly meanCounts: number;
  readonly worstCounts: number;
  /** Most of the stack in use since the chip’s start, bytes; 0 where it can’t be told. */
  readonly stackBytes: number;
  readonly greeting: Greeting;
}

/** Ends a run over a recording early. */
class Parted extends Error {}

/** First output that differs after a tick. */
function differingOutput(tick: number, chip: ChipRunner, wasm: Uint8Array): ChipDifference {
  const signals = outputSignals(chip.description.contract);
  const told = (output: Uint8Array): Change[] => {
    const changes: Change[] = [];
    new ChangeDetector(output, signals).detect(tick, (change) => changes.push(change));
    return changes;
  };
  const ofWasm = told(wasm);
  const ofChip = told(chip.output);
  const index = ofWasm.findIndex((change, at) => ofChip[at]?.value !== change.value);
  const { row, signal, value } = ofWasm[index] ?? { row: 0, signal: 'outputs', value: '' };
  return { tick, row, signal, wasm: value, chip: ofChip[index]?.value ?? '' };
}

/** Called after each tick that was the same on both sides. */
export type OnTick = (tick: number, target: ChipRunner) => void;

/**
 * Runs a vector on a chip in lockstep, with the wasm beside it: every output of every tick and the chain of state hashes must be
 * the same. Ends where they part.
 * @throws InputError when the vector is not in order, or the chip is not of this contract
 * @throws ParameterRefused when the chip refuses a parameter
 */
export function replayOnChip(link: Link, controller: Controller, one: VectorCase, onTick: OnTick = () => {}): ChipCaseResult {
  const { description } = controller;
  const chip = createChipRunner(link, description, one.rows, one.values);
  const wasm = createWasmRunner(controller, one.rows, one.values);
  const chain = new StateChain(wasm.input.buffer as ArrayBuffer, description.contract, one.rows);
  let difference: ChipDifference | undefined;
  let stop: string | undefined;
  let ticks = 0;
  const counts = { sum: 0, worst: 0 };
  const look = (tick: number): void => {
    wasm.input.set(chip.input);
    wasm.tick();
    chain.update();
    if (Buffer.compare(wasm.output, chip.output) !== 0) difference = differingOutput(tick, chip, wasm.output);
    else if (chain.value !== chip.chain)
      difference = { tick, row: 0, signal: 'chain', wasm: hashText(chain.value), chip: hashText(chip.chain) };
    if (difference !== undefined) throw new Parted();
    ticks = tick + 1;
    counts.sum += chip.counts;
    counts.worst = Math.max(counts.worst, chip.counts);
    onTick(tick, chip);
  };
  try {
    const { trap } = runRecording(chip, one.inputFile, one.tickHz, () => {}, look);
    if (trap !== undefined) stop = `tick ${trap.tick}: ${trap.message}`;
  } catch (error) {
    if (error instanceof LinkLost) stop = error.message;
    else if (!(error instanceof Parted)) throw error;
  }
  return {
    name: one.name,
    rows: one.rows,
    ticks,
    verdict: stop !== undefined ? 'stopped' : difference !== undefined ? 'different' : 'same',
    difference,
    stop,
    wasmChain: hashText(chain.value),
    chipChain: hashText(chip.chain),
    meanCounts: ticks === 0 ? 0 : counts.sum / ticks,
    worstCounts: counts.worst,
    stackBytes: stop === undefined ? statusOf(link).stackBytes : 0,
    greeting: chip.greeting,
  };
}
