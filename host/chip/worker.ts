import { workerData } from 'piscina';
import { workerTask } from '../common/worker-task.js';
import { loadController } from '../runner/wasm-runner.js';
import { readVectorFolder } from '../vector/vector.js';
import type { Firmware } from './build.js';
import { startFirmware } from './line.js';
import { Link } from './link.js';
import { type ChipVectorResult, replayOnChip } from './replay-chip.js';

/** Some vectors on one chip, one after another on the same emulator. */
export interface ChipTask {
  readonly firmware: Firmware;
  readonly vectorFolders: readonly string[];
}

/** What all workers of a pool share. */
export interface Shared {
  readonly wasmFile: string;
}

const { wasmFile } = workerData as Shared;

function runTask({ firmware, vectorFolders }: ChipTask): ChipVectorResult[] {
  const controller = loadController(wasmFile);
  let link: Link | undefined;
  try {
    return vectorFolders.map((folder) => {
      link ??= new Link(startFirmware(firmware));
      const result = replayOnChip(link, controller, readVectorFolder(folder));
      if (result.verdict === 'stopped') {
        link.line.close();
        link = undefined;
      }
      return result;
    });
  } finally {
    link?.line.close();
  }
}

export default workerTask(runTask);
