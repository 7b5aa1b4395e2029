import { existsSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { shortHash } from '../common/hash.js';
import { asFileError, InputError } from '../common/input-error.js';
import { readText } from '../common/read-file.js';
import { begin, end } from '../common/unfinished.js';
import { placeText, type RigBoard } from './rig-file.js';

/** Boards that exist outside this program, so that two users could drive them at once. */
const isShared = ({ place }: RigBoard): boolean => place.kind === 'port' || place.kind === 'tcp' || place.kind === 'udp';

/** The same board has the same lock, whatever a rig calls it; the baud rate does not matter. */
function lockFile({ place }: RigBoard): string {
  const where = place.kind === 'port' ? place.path : place.kind === 'tcp' || place.kind === 'udp' ? `${place.host}:${place.port}` : '';
  return join(tmpdir(), `latchbench-rig-${shortHash(`${place.kind} ${where}`)}.lock`);
}

function isRunning(process: number): boolean {
  try {
    globalThis.process.kill(process, 0);
    return true;
  } catch (error) {
    // Somebody else's process.
    return (error as NodeJS.ErrnoException).code === 'EPERM';
  }
}

/** Removes the lock of a process that has ended. @throws InputError if it still runs */
function clearStale(file: string, board: RigBoard): void {
  const owner = Number.parseInt(readText(file, 'yaml'), 10);
  if (Number.isInteger(owner) && isRunning(owner))
    throw new InputError({
      file: placeText(board.place),
      problem: `board ${board.name} is in use by another latchbench, process ${owner}`,
      hint: 'Wait until it has ended, or end it',
    });
  rmSync(file, { force: true });
}

/**
 * Locks boards on this computer, so that nobody else drives them meanwhile; hosts elsewhere are refused by the board itself.
 * @returns a function that unlocks them
 * @throws InputError if one is in use
 */
export function lockBoards(boards: readonly RigBoard[]): () => void {
  const files: string[] = [];
  const unlock = (): void => {
    for (const file of files) {
      rmSync(file, { force: true });
      end(file);
    }
  };
  try {
    for (const board of boards.filter(isShared)) {
      const file = lockFile(board);
      if (existsSync(file)) clearStale(file, board);
      writeFileSync(file, `${process.pid}\n`, { flag: 'wx' });
      begin({ path: file });
      files.push(file);
    }
  } catch (error) {
    unlock();
    throw asFileError(error, tmpdir(), 'write');
  }
  return unlock;
}
