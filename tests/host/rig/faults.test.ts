import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { asFileError } from '../../../host/common/input-error.js';
import { lockBoards } from '../../../host/rig/lock.js';
import { replayFreely } from '../../../host/rig/replay-freely.js';
import { LINK_LIMITS, readRig } from '../../../host/rig/rig-file.js';
import { loadController } from '../../../host/runner/wasm-runner.js';
import { readVector } from '../../../host/vector/vector.js';
import { latchbench } from '../../support/command.js';
import { DoubleBoard, type DoubleFaults } from '../../support/double-board.js';
import { PROJECT } from '../../support/project.js';
import { temporaryFolder } from '../../support/temporary-folder.js';
import { VirtualClock } from '../../support/virtual-clock.js';

const controller = loadController(PROJECT.controllerWasm);
const VECTOR = readVector(PROJECT, 'relatch-at-rest');
const folder = temporaryFolder();

function rigFile(board: string): string {
  const file = join(folder, 'rig.yaml');
  writeFileSync(file, `title: A\nboards:\n  one: { rows: 4, ${board} }\n`);
  return file;
}

const checked = async (board: string): Promise<string> => (await latchbench('rig', 'check', '--rig', rigFile(board))).out;

async function freely(faults: DoubleFaults): Promise<string> {
  const clock = new VirtualClock();
  const board = new DoubleBoard(controller, clock, faults);
  const setup = { period: 1, leadMs: 20, limits: LINK_LIMITS };
  return (await clock.settle(replayFreely(board, controller, VECTOR, setup, clock, undefined, () => {}))).reasons.join('; ');
}

function lockedTwice(): string {
  const { boards } = readRig(rigFile(`udp: "localhost:${1024 + (process.pid % 60_000)}"`));
  const unlock = lockBoards(boards);
  try {
    lockBoards(boards);
    return '';
  } catch (error) {
    return (error as Error).message;
  } finally {
    unlock();
  }
}

/** What a user sees of each fault. */
const SEEN: Readonly<Record<string, () => string | Promise<string>>> = {
  'no such port': () => checked('port: /dev/no-such-port'),
  'another contract than the rig expects': () => checked('chip: native, contract: 0123456789abcdef'),
  'two users of one board': lockedTwice,
  'the board restarts in a run': () => freely({ restartsAt: 150 }),
  'the board ends its run': () => freely({ endsAt: 150 }),
  'inputs are lost or late': () => freely({ losesInputs: (step) => step % 2 === 0 }),
  'a cut in the link': () => freely({ losesInputs: (step) => step >= 400 && step < 480 }),
  'reports are lost': () => freely({ losesReport: (step) => step % 100 === 50 }),
  'the disk is full': () => (asFileError({ code: 'ENOSPC' }, 'run.mcap', 'write') as Error).message,
};

const rows = [...readFileSync(join(PROJECT.root, 'host/rig/README.md'), 'utf8').matchAll(/^\| (.+) \| `(.+)` \|$/gm)];

describe('the words of the README for a fault', () => {
  it('are there for each that is played here', () => {
    expect(rows.map(([, fault]) => fault)).toEqual(Object.keys(SEEN));
  });

  it.each(rows.map(([, fault = '', words = '']) => [fault, words]))('%s: %s', async (fault, words) => {
    expect(await SEEN[fault]?.()).toContain(words);
  });
});
