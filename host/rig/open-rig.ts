import { execFile } from 'node:child_process';
import { promisify } from 'node:util';
import { buildFirmware } from '../chip/build.js';
import { type Channel, chipOf } from '../chip/chips.js';
import { InputError } from '../common/input-error.js';
import type { BuildDescription } from '../contract/embed.js';
import type { Board, BoardAddress, ConnectBoard } from './board.js';
import { lockBoards } from './lock.js';
import type { Rig, RigBoard, SupplySwitch } from './rig-file.js';

/** What a rig is opened with. */
export interface RigUse {
  readonly connect: ConnectBoard;
  /** Of the controller in use; boards must have its contract. */
  readonly description: BuildDescription;
  /** The controller's binary, from which firmware for chips is built. */
  readonly wasmFile: string;
  /** How an emulator's link is carried: files are fast, and know no time; a UART has its rate. */
  readonly channel: Channel;
  readonly onProgress: (text: string) => void;
}

/** A board of a rig with its link. */
export interface OpenBoard {
  readonly config: RigBoard;
  readonly board: Board;
}

const SWITCH_MS_MAX = 30_000;

/** Runs a command of the supply's switch, without a shell. @throws InputError if it fails */
export async function switchSupply({ file, supply }: Rig, to: keyof SupplySwitch): Promise<void> {
  const [program, ...words] = supply?.[to] ?? [];
  if (program === undefined) return;
  try {
    await promisify(execFile)(program, words, { timeout: SWITCH_MS_MAX });
  } catch (error) {
    const { stderr = '', message } = error as Error & { stderr?: string };
    throw new InputError({ file, problem: `the supply does not switch ${to}: ${stderr.trim() || message}`, value: program });
  }
}

/** Where the link finds a board; firmware for a chip is built. @throws InputError if a tool for that is missing */
export function addressOf({ place }: RigBoard, { wasmFile, channel, onProgress }: RigUse): BoardAddress {
  switch (place.kind) {
    case 'port': {
      const { path, baud, maxBaud } = place;
      return { kind: 'serial', path, baud, ...(maxBaud === undefined ? {} : { maxBaud }) };
    }
    case 'tcp':
    case 'udp':
      return place;
    case 'program':
      return { kind: 'process', program: place.program, words: place.words };
    case 'chip':
      onProgress(`building the firmware for ${place.chip}`);
      return { kind: 'firmware', firmware: buildFirmware(chipOf(place.chip), place.controller ?? wasmFile, { channel }) };
  }
}

/** @throws InputError if the rig expects another contract than that of the controller in use */
function checkContract({ file }: Rig, { name, contract }: RigBoard, { contract: { hash } }: BuildDescription): void {
  if (contract === undefined || contract === hash) return;
  throw new InputError({ file, problem: `board ${name} must have contract ${contract}, but the controller has ${hash}`, value: hash });
}

/** Opens the link to one board. @throws InputError, LinkLost as `ConnectBoard` does */
export async function openBoard(rig: Rig, config: RigBoard, use: RigUse): Promise<OpenBoard> {
  checkContract(rig, config, use.description);
  const address = addressOf(config, use);
  use.onProgress(`greeting ${config.name}`);
  const board = await use.connect(address, use.description, config.relay === undefined ? {} : { relay: config.relay });
  return { config, board };
}

/** A person has stopped the rig. */
export class RigStopped extends Error {
  /** No fault of the program: the command ends with exit code 2. */
  readonly isExpected = true;

  constructor(confirmed: readonly string[], silent: readonly string[]) {
    const parts = [
      confirmed.length > 0 ? `${confirmed.join(', ')} confirmed that its run has ended; valves close or vent as the parameters say` : '',
      silent.length > 0 ? `${silent.join(', ')} did NOT confirm: use the emergency stop in hardware` : '',
    ];
    super(`stopped. ${parts.filter(Boolean).join('. ')}`.trim());
    this.name = 'RigStopped';
  }
}

/** Stops all boards at once, then switches the supply off, whether or not they have confirmed. */
async function emergencyStop(rig: Rig, open: readonly OpenBoard[]): Promise<RigStopped> {
  const results = await Promise.allSettled(open.map(({ board }) => board.stop()));
  await switchSupply(rig, 'off');
  const namesWith = (status: string): string[] =>
    open.filter((_, index) => results[index]?.status === status).map(({ config }) => config.name);
  return new RigStopped(namesWith('fulfilled'), namesWith('rejected'));
}

/**
 * Locks boards of a rig, switches its supply on, and runs `work`; at the end, however it comes, closes the links and switches the supply
 * off. An interrupt stops every board.
 * @param onInterrupt calls a function at the first interrupt; returns a function that ends this
 * @param work gets a function to which it hands each board that it has opened
 * @throws RigStopped after an interrupt
 */
export async function withRig<Result>(
  rig: Rig,
  boards: readonly RigBoard[],
  onInterrupt: (stop: () => void) => () => void,
  work: (opened: (board: OpenBoard) => void) => Promise<Result>,
): Promise<Result> {
  const unlock = lockBoards(boards);
  const open: OpenBoard[] = [];
  let stopped: Promise<RigStopped> | undefined;
  const forget = onInterrupt(() => {
    stopped ??= emergencyStop(rig, open);
  });
  try {
    await switchSupply(rig, 'on');
    const result = await work((board) => void open.push(board));
    if (stopped !== undefined) throw await stopped;
    return result;
  } catch (error) {
    throw stopped === undefined ? error : await stopped;
  } finally {
    forget();
    await Promise.allSettled(open.map(({ board }) => board.close()));
    try {
      await switchSupply(rig, 'off');
    } finally {
      unlock();
    }
  }
}
