import { rmSync } from 'node:fs';
import { join } from 'node:path';
import { composeInput } from '../compose/compose.js';
import type { Composition } from '../compose/composition.js';
import { ROUGH } from '../compose/stand-in.js';
import { openRecording } from '../recording/reader.js';
import { RecordingWriter } from '../recording/writer.js';
import type { Controller } from '../target/wasm.js';

/** 24 rows on a rough field: every row works, all inputs vary. Constant ones would run two to three times as fast. */
export const BENCH_PLAN: Composition = {
  name: 'bench',
  title: '24 rows on a rough field',
  why: 'Timing',
  rows: 24,
  seconds: 20,
  seed: 100,
  ground: ROUGH,
};

/** The inputs of every tick of BENCH_PLAN, one after the other. */
export function composeRing(controller: Controller, folder: string): { bytes: Uint8Array; stride: number } {
  const file = join(folder, 'ring.mcap');
  composeInput(controller, BENCH_PLAN, file);
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
  const writer = RecordingWriter.create(file, { contract, rows: BENCH_PLAN.rows, tickHz, messages: ['input'] });
  for (let tick = 0; tick < minutes * 60 * tickHz; tick++) {
    const from = (tick * ring.stride) % ring.bytes.length;
    writer.write('input', tick, ring.bytes.subarray(from, from + ring.stride));
  }
  writer.close();
}

export const median = (values: readonly number[]): number => [...values].sort((a, b) => a - b)[Math.floor(values.length / 2)] ?? Number.NaN;
