import { rmSync } from 'node:fs';
import { join } from 'node:path';
import { openRecording } from '../recording/reader.js';
import { RecordingWriter } from '../recording/writer.js';
import { loadPlant } from '../simulate/plant.js';
import { runScenario, usualChoice } from '../simulate/run.js';
import { readScenario } from '../simulate/scenario.js';
import type { Controller } from '../target/wasm.js';

/** 24 rows on a rough field at speed: every row works, all inputs vary. Constant ones would run two to three times as fast. */
export const BENCH_SCENARIO = 'class-e-at-speed';
export const BENCH_ROWS = 24;

/** The inputs of every tick of BENCH_SCENARIO, one after the other. */
export function composeRing(controller: Controller, folder: string): { bytes: Uint8Array; stride: number } {
  const file = join(folder, 'ring.mcap');
  const scenario = readScenario(BENCH_SCENARIO);
  runScenario(controller, loadPlant(), scenario, usualChoice(scenario), { file, messages: ['input'], fromTick: 0 });
  const parts: Uint8Array[] = [];
  for (const { payload } of openRecording(file).messages({ messages: ['input'] })) parts.push(payload.slice());
  rmSync(file);
  return { bytes: Buffer.concat(parts), stride: parts[0]?.length ?? 0 };
}

/** A recording of some minutes: the ring again and again. */
export function writeLongRecording(
  controller: Controller,
  ring: { bytes: Uint8Array; stride: number },
  minutes: number,
  file: string,
): void {
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
