import { workerData } from 'piscina';
import { loadController } from '../runner/wasm-runner.js';
import { readCaseFolder } from '../vector/case.js';
import type { Firmware } from './build.js';
import { startFirmware } from './line.js';
import { Link } from './link.js';
import { type ChipCaseResult, replayOnChip } from './replay-chip.js';

/** One vector for one chip. */
export interface ChipTask {
  readonly firmware: Firmware;
  readonly caseFolder: string;
}

/** What all workers of a pool share. */
export interface Shared {
  readonly wasmFile: string;
}

const { wasmFile } = workerData as Shared;

export default function runTask({ firmware, caseFolder }: ChipTask): ChipCaseResult {
  const line = startFirmware(firmware);
  try {
    return replayOnChip(new Link(line), loadController(wasmFile), readCaseFolder(caseFolder));
  } finally {
    line.close();
  }
}
