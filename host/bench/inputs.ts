import { rmSync } from 'node:fs';
import { join } from 'node:path';
import { projectAt, TOOL_ROOT } from '../common/project.js';
import type { MessageName } from '../contract/messages.js';
import { openRecording } from '../recording/reader.js';
import { RecordingWriter } from '../recording/writer.js';
import type { Controller } from '../runner/wasm-runner.js';
import { loadPlant } from '../simulate/plant.js';
import { defaultSettings, runScenario } from '../simulate/run.js';
import { readScenario } from '../simulate/scenario.js';

export const PROJECT = projectAt(TOOL_ROOT);

/** 24 rows at speed on a rough field: every row works, and all inputs vary. Constant inputs would run two to three times as fast. */
export const BENCH_SCENARIO = 'class-e-at-speed';
export const BENCH_ROWS = 24;

/** Messages of every tick of a run, back to back. */
export interface Ring {
  readonly bytes: Uint8Array;
  readonly stride: number;
}

/** Inputs and outputs of the controller in every tick of BENCH_SCENARIO. */
export function recordRings(controller: Controller, folder: string): { inputs: Ring; orders: Ring } {
  const file = join(folder, 'ring.mcap');
  const scenario = readScenario(PROJECT, BENCH_SCENARIO);
  runScenario(controller, loadPlant(), scenario, defaultSettings(scenario), { file, messages: ['input', 'output'], fromTick: 0 });
  const ringOf = (message: MessageName): Ring => {
    const parts: Uint8Array[] = [];
    for (const { payload } of openRecording(file).messages({ messages: [message] })) parts.push(payload.slice());
    return { bytes: Buffer.concat(parts), stride: parts[0]?.length ?? 0 };
  };
  const rings = { inputs: ringOf('input'), orders: ringOf('output') };
  rmSync(file);
  return rings;
}

/** A recording of some minutes, in which the ring repeats. */
export function writeLongRecording(controller: Controller, ring: Ring, minutes: number, file: string): void {
  const { contract } = controller.description;
  const tickHz = 1000;
  const writer = RecordingWriter.create(file, { contract, rows: BENCH_ROWS, tickHz, messages: ['input'] });
  for (let tick = 0; tick < minutes * 60 * tickHz; tick++) {
    const from = (tick * ring.stride) % ring.bytes.length;
    writer.write('input', tick, ring.bytes.subarray(from, from + ring.stride));
  }
  writer.close();
}

export const median = (values: readonly number[]): number => [...values].sort((a, b) => a - b)[Math.floor(values.length / 2)] ?? Number.NaN;
