import { workerData } from 'piscina';
import { loadController } from '../target/wasm.js';
import { readCase } from '../vector/case.js';
import type { Firmware } from './build.js';
import { type StartOptions, startFirmware } from './line.js';
import { Link } from './link.js';
import { type ChipCaseResult, replayOnChip } from './replay-chip.js';

/** One vector for one chip. */
export interface ChipTask {
  readonly firmware: Firmware;
  readonly caseName: string;
}

/** What all workers of a pool share. */
export interface Shared {
  readonly wasmFile: string;
  readonly start: StartOptions;
}

const { wasmFile, start } = workerData as Shared;

export default function runTask({ firmware, caseName }: ChipTask): ChipCaseResult {
  const line = startFirmware(firmware, start);
  try {
    return replayOnChip(new Link(line), loadController(wasmFile), readCase(caseName));
  } finally {
    line.close();
  }
}
