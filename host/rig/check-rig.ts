import { LinkLost } from '../chip/link.js';
import { ARITHMETIC_FINDINGS } from '../chip/protocol.js';
import { InputError } from '../common/input-error.js';
import type { Contract } from '../contract/contract.js';
import { messageBytes } from '../contract/messages.js';
import type { ClockAlignment, Greeting, LinkStatistics } from './board.js';
import type { Clock } from './link/clock.js';
import { type OpenBoard, openBoard, type RigUse } from './open-rig.js';
import type { Rig, RigBoard } from './rig-file.js';

/** What a greeting of a board has shown. */
export interface BoardCheck {
  readonly config: RigBoard;
  /** Undefined if it has not answered as it should. */
  readonly greeting: Greeting | undefined;
  readonly link: LinkStatistics | undefined;
  readonly clock: ClockAlignment | undefined;
  /** Valves that are not known to be closed. */
  readonly notClosed: number;
  /** What is wrong, as sentences without their full stops; none if it can be used. */
  readonly problems: readonly string[];
  /** What limits its use. */
  readonly notes: readonly string[];
}

/** Requests by which the round trip is measured. */
const EXCHANGES = 20;
/** Closing every valve of 48 rows takes some seconds at most. */
const WAIT_MS = 20;
const WAITS_MAX = 500;
/** Bits on a serial line for each byte: a start bit, eight bits, a stop bit. */
const BITS_PER_BYTE = 10;
/** Head, checksum, COBS and end of a frame, and the head of a frame of inputs, bytes; see the README of the firmware. */
const INPUT_FRAME_BYTES = 6 + 8 + 4 + 3;

/** Baud rate that the inputs of a free run need, each step with its own. */
export const neededBaud = (contract: Contract, rows: number, tickHz: number): number =>
  (messageBytes(contract, 'input', rows) + INPUT_FRAME_BYTES) * BITS_PER_BYTE * tickHz;

function problemsOf({ rows, place }: RigBoard, greeting: Greeting): string[] {
  const { rowsMax, valveRows, arithmetic, state, startCause, startReason } = greeting;
  const isSimulated = place.kind === 'chip';
  return [
    rowsMax < rows ? `its build has room for ${rowsMax} rows, the rig says ${rows}` : '',
    valveRows < rows && !isSimulated ? `${valveRows} rows are wired to it, the rig says ${rows}` : '',
    arithmetic === 0 ? '' : `its arithmetic is not that of WebAssembly: ${ARITHMETIC_FINDINGS[arithmetic] ?? arithmetic}`,
    state === 'stopped' ? `it has stopped after its last start (${startCause}, reason ${startReason}) and needs a restart` : '',
  ].filter((text) => text !== '');
}

function notesOf({ rows, place }: RigBoard, { tickHz }: Greeting, link: LinkStatistics, contract: Contract): string[] {
  const baud = place.kind === 'port' ? Math.max(place.baud, place.maxBaud ?? 0) : Number.POSITIVE_INFINITY;
  const needed = neededBaud(contract, rows, tickHz);
  const { lost, damaged } = link.received;
  return [
    baud < needed
      ? `a free run of ${rows} rows with new inputs in every step needs ${needed} Bd: use --input-period ${Math.ceil(needed / baud)} or more`
      : '',
    lost + damaged > 0 ? `${lost} frames lost and ${damaged} pieces damaged while it was greeted` : '',
    link.repeatedRequests > 0 ? `${link.repeatedRequests} requests had to be sent again` : '',
  ].filter((text) => text !== '');
}

async function checkOpen({ config, board }: OpenBoard, clock: Clock): Promise<BoardCheck> {
  let { state, notClosed } = await board.status();
  for (let count = 1; count < EXCHANGES; count++) ({ state, notClosed } = await board.status());
  // After its start, or the run of another host, a board closes its valves first.
  for (let wait = 0; (state === 'closing' || state === 'ending') && wait < WAITS_MAX; wait++) {
    await new Promise((resolve) => clock.after(WAIT_MS, () => resolve(undefined)));
    ({ state, notClosed } = await board.status());
  }
  const { greeting } = board;
  const link = board.statistics();
  const closed = notClosed === 0 ? [] : [`${notClosed} valves are not known to be closed`];
  return {
    config,
    greeting,
    link,
    clock: board.clock(),
    notClosed,
    problems: [...problemsOf(config, greeting), ...closed],
    notes: notesOf(config, greeting, link, board.description.contract),
  };
}

/**
 * Greets a board and says what is wrong with it.
 * @param opened gets the board, if it answers
 */
export async function checkBoard(
  rig: Rig,
  config: RigBoard,
  use: RigUse,
  clock: Clock,
  opened: (board: OpenBoard) => void,
): Promise<BoardCheck> {
  try {
    const open = await openBoard(rig, config, use);
    opened(open);
    return await checkOpen(open, clock);
  } catch (error) {
    if (!(error instanceof InputError || error instanceof LinkLost)) throw error;
    const nothing = { greeting: undefined, link: undefined, clock: undefined, notClosed: 0, notes: [] };
    return { config, ...nothing, problems: [error.message.replace(/\.$/, '')] };
  }
}
