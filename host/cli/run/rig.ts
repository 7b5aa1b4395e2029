import { existsSync } from 'node:fs';
import { join } from 'node:path';
import type { Channel } from '../../chip/chips.js';
import { InputError } from '../../common/input-error.js';
import type { Build } from '../../review/builds.js';
import { requireConfirmation } from '../../rig/cautions.js';
import { connectBoard } from '../../rig/link/connect.js';
import { type OpenBoard, openBoard, type RigUse, withRig } from '../../rig/open-rig.js';
import { boardsNamed, type Rig, type RigBoard, readRig } from '../../rig/rig-file.js';
import type { Job } from '../context.js';
import type { RigFlags } from '../rig-flags.js';

const RIG_FILE = 'rig.yaml';

/** A rig as a command uses it. */
export interface ChosenRig {
  readonly rig: Rig;
  readonly boards: readonly RigBoard[];
}

/** Reads the rig file and chooses boards. @throws InputError if there is none */
export function chooseRig({ cwd }: Job, flags: RigFlags): ChosenRig {
  const file = flags.rig ?? join(cwd, RIG_FILE);
  if (flags.rig === undefined && !existsSync(file))
    throw new InputError({
      file: RIG_FILE,
      problem: 'there is no such file in this folder',
      hint: 'Run `latchbench new rig rig.yaml`, or pass --rig FILE',
    });
  const rig = readRig(file);
  return { rig, boards: boardsNamed(rig, flags.board) };
}

/** How the links of a rig are opened for a command. */
export const rigUse = ({ progress }: Job, { file, controller }: Build, channel: Channel): RigUse => ({
  connect: connectBoard,
  description: controller.description,
  wasmFile: file,
  channel,
  onProgress: progress.show,
});

/**
 * Opens the boards of a rig and runs `work` on each, one after another.
 * @throws InputError if a pressurised rig is not confirmed, or a board cannot be used
 */
export function onBoards<Result>(
  job: Job,
  flags: RigFlags,
  { rig, boards }: ChosenRig,
  use: RigUse,
  work: (open: OpenBoard) => Promise<Result>,
): Promise<Result[]> {
  requireConfirmation(rig, flags.pressurised === true, job.ask);
  return withRig(rig, boards, job.onInterrupt, async (opened) => {
    const open: OpenBoard[] = [];
    for (const config of boards) {
      const board = await openBoard(rig, config, use);
      opened(board);
      open.push(board);
    }
    const results: Result[] = [];
    for (const board of open) results.push(await work(board));
    return results;
  });
}
