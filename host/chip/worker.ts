import { workerData } from 'piscina';
import { loadController } from '../runner/wasm-runner.js';
import { readVectorFolder } from '../vector/vector.js';
import type { Firmware } from './build.js';
import { startFirmware } from './line.js';
import { Link } from './link.js';
import { type ChipCaseResult, replayOnChip } from './replay-chip.js';

/** One vector for one chip. */
export interface ChipTask {
  readonly firmware: Firmware;
  readonly vectorFolder: string;
}

/** What all workers of a pool share. */
export interface Shared {
  readonly wasmFile: string;
}

const { wasmFile } = workerData as Shared;

export default function runTask({ firmware, vectorFolder }: ChipTask): ChipCaseResult {
  const line = startFirmware(firmware);
  try {
    return replayOnChip(new Link(line), loadController(wasmFile), readVectorFolder(vectorFolder));
  } finally {
    line.close();
  }
}
