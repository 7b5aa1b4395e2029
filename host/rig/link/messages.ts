import {
  ACCEPTED,
  CONTRACT_CHARACTERS,
  COUNTERS,
  ENDS,
  LINK_VERSION,
  NAME_CHARACTERS,
  REFUSALS,
  START_CAUSES,
  STATES,
  TRAPS,
} from '../../chip/protocol.js';
import { dataViewOf } from '../../common/data-view.js';
import type { BoardCounters, BoardStatus, Greeting } from '../board.js';

/** Bodies of requests and answers, as chip/protocol.ts describes them. */

export const nameOf = <T>(names: readonly T[], index: number): T => names[index] ?? (`number ${index}` as T);

const textAt = (bytes: DataView, at: number, count: number): string =>
  Buffer.from(bytes.buffer, bytes.byteOffset + at, count)
    .toString('latin1')
    .replace(/\0+$/, '');

/** What a board answers to `hello`, with what only the link needs. */
export interface HelloAnswer {
  readonly version: number;
  readonly accepted: (typeof ACCEPTED)[number];
  /** Session in force before; 0: none since the board's start. */
  readonly sessionBefore: number;
  /** Bytes of requests that can wait at the board. */
  readonly receiveBytes: number;
  /** Offsets of the oldest byte of the journal that is left, and of its end. */
  readonly journalOldest: number;
  readonly journalEnd: number;
  /** Steps of the free run so far. */
  readonly steps: number;
  /** Number of the request that the board expects. */
  readonly next: number;
  readonly greeting: Omit<Greeting, 'isResumed'>;
}

/** Bytes up to the texts of a greeting of this version of the link. */
const GREETING_NUMBERS = 68;

/** @returns only the version if it is another one, whose body has another layout */
export function readHelloAnswer(body: Uint8Array): HelloAnswer | { readonly version: number } {
  const bytes = dataViewOf(body);
  const version = body[0] ?? 0;
  if (version !== LINK_VERSION || body.length < GREETING_NUMBERS + CONTRACT_CHARACTERS + NAME_CHARACTERS) return { version };
  return {
    version,
    accepted: nameOf(ACCEPTED, bytes.getUint8(1)),
    sessionBefore: bytes.getUint32(8, true),
    receiveBytes: bytes.getUint32(44, true),
    journalOldest: bytes.getUint32(52, true),
    journalEnd: bytes.getUint32(56, true),
    steps: bytes.getUint32(60, true),
    next: bytes.getUint8(66),
    greeting: {
      state: nameOf(STATES, bytes.getUint8(2)),
      startCause: nameOf(START_CAUSES, bytes.getUint8(3)),
      startReason: bytes.getUint32(4, true),
      arithmetic: bytes.getUint32(12, true),
      rowsMax: bytes.getUint16(16, true),
      valveRows: bytes.getUint16(18, true),
      countHz: bytes.getUint32(20, true),
      countCost: bytes.getUint32(24, true),
      tickHz: bytes.getUint32(28, true),
      memoryBytes: bytes.getUint32(32, true),
      requestBytes: bytes.getUint32(36, true),
      window: bytes.getUint16(40, true),
      inputSlots: bytes.getUint16(42, true),
      journalBytes: bytes.getUint32(48, true),
      contractHash: textAt(bytes, GREETING_NUMBERS, CONTRACT_CHARACTERS),
      board: textAt(bytes, GREETING_NUMBERS + CONTRACT_CHARACTERS, NAME_CHARACTERS),
    },
  };
}

export function helloBody(session: number, contractHash: string): Uint8Array {
  const head = Buffer.from([LINK_VERSION, 0, 0, 0, 0, 0, 0, 0]);
  head.writeUInt32LE(session, 4);
  return Buffer.concat([head, Buffer.from(contractHash, 'latin1')]);
}

/** @param at where the counters begin */
export function readCounters(bytes: DataView, at: number): BoardCounters {
  const entries = COUNTERS.map((name, index) => [name, bytes.getUint32(at + 4 * index, true)] as const);
  return Object.fromEntries(entries) as BoardCounters;
}

export const readStatus = (bytes: DataView): BoardStatus => ({
  state: nameOf(STATES, bytes.getUint8(0)),
  end: nameOf(ENDS, bytes.getUint8(1)),
  notClosed: bytes.getUint16(2, true),
  steps: bytes.getUint32(4, true),
  stackBytes: bytes.getUint32(8, true),
  counters: readCounters(bytes, 12),
});

/** A start as text for messages. */
export function startText(cause: string, reason: number): string {
  if (cause === 'trap') return `the controller stopped: ${nameOf(TRAPS, reason)}`;
  return cause === 'fault' ? `processor fault ${reason}` : cause;
}

/** Why a board refuses to run this, as a clause. */
export function refusalText(result: number): string {
  if (result === -1) return 'it does not have that many rows';
  return Object.values(REFUSALS).find((one) => one.result === result)?.text ?? `result ${result}`;
}
