import { randomInt } from 'node:crypto';
import { dataViewOf } from '../common/data-view.js';
import { InputError } from '../common/input-error.js';
import { encodeFrame, type Frame, FrameReader } from './frames.js';
import type { Line } from './line.js';
import {
  ACCEPTED,
  ANSWER,
  CONTRACT_CHARACTERS,
  COUNTERS,
  ENDS,
  ENTRIES,
  LINK_VERSION,
  NAME_CHARACTERS,
  NOTICES,
  REFUSED,
  REQUESTS,
  type RequestName,
  START_CAUSES,
  STATES,
  TRAPS,
} from './protocol.js';

/** What a chip reports without a request. */
export type Notice =
  | { readonly kind: 'started'; readonly cause: (typeof START_CAUSES)[number]; readonly reason: number }
  | { readonly kind: 'coils'; readonly tick: number; readonly row: number; readonly supplyOrder: number; readonly returnOrder: number };

/** The chip no longer answers, or has restarted: the work in progress is lost. */
export class LinkLost extends Error {
  /** A condition outside this program: the command ends with exit code 2. */
  readonly isExpected = true;

  constructor(message: string) {
    super(message);
    this.name = 'LinkLost';
  }
}

const nameOf = <T>(names: readonly T[], index: number): T => names[index] ?? (`number ${index}` as T);

/** Notices in a frame without a request; undefined for an answer. */
function noticesIn({ kind, request, body }: Frame): Notice[] | undefined {
  if (request !== 0) return undefined;
  const bytes = dataViewOf(body);
  if (kind === NOTICES.started.kind)
    return [{ kind: 'started', cause: nameOf(START_CAUSES, bytes.getUint8(0)), reason: bytes.getUint32(1, true) }];
  if (kind !== NOTICES.journal.kind) return [];
  const notices: Notice[] = [];
  for (let at = 4; at + 2 <= body.length; at += 2 + bytes.getUint8(at + 1)) {
    if (bytes.getUint8(at) !== ENTRIES.coils.kind) continue;
    const [tick, row] = [bytes.getUint32(at + 2, true), bytes.getUint8(at + 6)];
    notices.push({ kind: 'coils', tick, row, supplyOrder: bytes.getUint8(at + 7), returnOrder: bytes.getUint8(at + 8) });
  }
  return notices;
}

/** A start as text for messages. */
export function startText({ cause, reason }: { readonly cause: string; readonly reason: number }): string {
  if (cause === 'trap') return `the controller stopped: ${nameOf(TRAPS, reason)}`;
  return cause === 'fault' ? `processor fault ${reason}` : cause;
}

const ATTEMPTS = 3;
/** Damaged frames during one wait for an answer; after more, the request is sent again. */
const DAMAGED_MAX = 8;

/** The host's end of the link: sends requests and waits for answers. Notices go to `onNotice`. */
export class Link {
  onNotice: (notice: Notice) => void = () => {};
  /** Frames that arrived damaged, and requests that were sent again. */
  readonly errors = { damaged: 0, repeated: 0 };
  /** Bytes so far. */
  readonly traffic = { sent: 0, received: 0 };
  private readonly reader = new FrameReader();
  private readonly waiting: Frame[] = [];
  private readonly session = randomInt(1, 2 ** 32);
  private number = 0;
  private sequence = 0;

  constructor(readonly line: Line) {}

  /**
   * Sends a request and returns the body of its answer. After a silence the request is sent again with the same number, so that
   * the chip does nothing twice; three times in all.
   * @throws LinkLost when there is no answer, or from `onNotice`
   * @throws Error when the chip refuses
   */
  request(name: RequestName, body: Uint8Array = new Uint8Array(0)): DataView {
    const { kind } = REQUESTS[name];
    this.number = (this.number % 255) + 1;
    for (let attempt = 0; attempt < ATTEMPTS; attempt++) {
      if (attempt > 0) this.errors.repeated += 1;
      this.send(kind, this.number, body);
      const answer = this.answerTo(kind);
      if (answer !== undefined) return dataViewOf(answer);
    }
    throw this.lost('does not answer');
  }

  /** Sends a request that has no answer. @throws LinkLost when the line is gone */
  post(name: RequestName, body: Uint8Array): void {
    this.send(REQUESTS[name].kind, 0, body);
  }

  /** Opens this session, or resumes it. Returns the body of the answer. */
  hello(contractHash: string): DataView {
    const body = Buffer.from([LINK_VERSION, 0, 0, 0, 0, 0, 0, 0, ...Buffer.from(contractHash, 'latin1')]);
    body.writeUInt32LE(this.session, 4);
    const { number } = this;
    const answer = this.request('hello', body);
    // It is outside the numbering, which starts again with a new session.
    this.number = answer.byteLength >= 12 && answer.getUint32(8, true) === this.session ? number : 0;
    return answer;
  }

  /** Waits for notices. Returns false after a silence. */
  listen(): boolean {
    const bytes = this.line.read();
    this.take(bytes);
    return bytes.length > 0;
  }

  private send(kind: number, request: number, body: Uint8Array): void {
    const bytes = encodeFrame({ kind, request, sequence: this.sequence, tick: 0, body });
    this.sequence = (this.sequence + 1) & 0xffff;
    this.traffic.sent += bytes.length;
    try {
      this.line.write(bytes);
    } catch {
      throw this.lost('has gone');
    }
  }

  private lost(how: string): LinkLost {
    const output = this.line.errorOutput();
    return new LinkLost(`${this.line.name} ${how}${output === '' ? '' : `: ${output}`}`);
  }

  private take(bytes: Uint8Array): void {
    const before = this.reader.damaged;
    this.traffic.received += bytes.length;
    for (const frame of this.reader.take(bytes)) {
      const notices = noticesIn(frame);
      if (notices === undefined) this.waiting.push(frame);
      for (const notice of notices ?? []) this.onNotice(notice);
    }
    this.errors.damaged += this.reader.damaged - before;
  }

  /** Body of the answer to the last request; undefined after a silence. */
  private answerTo(kind: number): Uint8Array | undefined {
    const before = this.errors.damaged;
    // Whatever sends all the time and never makes sense is no chip, or runs at another rate.
    while (this.errors.damaged - before <= DAMAGED_MAX) {
      for (let frame = this.waiting.shift(); frame !== undefined; frame = this.waiting.shift()) {
        if (frame.request !== this.number) continue;
        if (frame.kind === (kind | ANSWER)) return frame.body;
        if (frame.kind === REFUSED) throw new Error(`${this.line.name} refuses request ${frame.body[0]}`);
      }
      const bytes = this.line.read();
      if (bytes.length === 0) return undefined;
      this.take(bytes);
    }
    return undefined;
  }
}

/** What a chip reports about itself. */
export interface Greeting {
  readonly accepted: (typeof ACCEPTED)[number];
  readonly state: (typeof STATES)[number];
  readonly startCause: (typeof START_CAUSES)[number];
  readonly startReason: number;
  /** 0, or the first deviation of its arithmetic from WebAssembly's: index in ARITHMETIC_FINDINGS. */
  readonly arithmetic: number;
  readonly rowsMax: number;
  readonly valveRows: number;
  /** Rate of the counter, Hz; 0 if it counts instructions. */
  readonly countHz: number;
  /** Counts of an empty measurement. */
  readonly countCost: number;
  readonly memoryBytes: number;
  /** Longest body of a request: how many ticks fit into one. */
  readonly requestBytes: number;
  /** Inputs of a free run that can wait, in steps. */
  readonly inputSlots: number;
  readonly contractHash: string;
  readonly board: string;
}

const textAt = (bytes: DataView, at: number, count: number): string =>
  Buffer.from(bytes.buffer, bytes.byteOffset + at, count)
    .toString('latin1')
    .replace(/\0+$/, '');

/** Greets the chip with the hash of a contract; it accepts only its own. @throws InputError when it has another version of the link */
export function greet(link: Link, contractHash: string): Greeting {
  const bytes = link.hello(contractHash);
  const version = bytes.getUint8(0);
  if (version !== LINK_VERSION) {
    const problem = `the chip uses version ${version} of the link, this program version ${LINK_VERSION}`;
    throw new InputError({ file: link.line.name, problem, value: version, hint: 'Build its firmware again' });
  }
  return {
    accepted: nameOf(ACCEPTED, bytes.getUint8(1)),
    state: nameOf(STATES, bytes.getUint8(2)),
    startCause: nameOf(START_CAUSES, bytes.getUint8(3)),
    startReason: bytes.getUint32(4, true),
    arithmetic: bytes.getUint32(12, true),
    rowsMax: bytes.getUint16(16, true),
    valveRows: bytes.getUint16(18, true),
    countHz: bytes.getUint32(20, true),
    countCost: bytes.getUint32(24, true),
    memoryBytes: bytes.getUint32(32, true),
    requestBytes: bytes.getUint32(36, true),
    inputSlots: bytes.getUint16(42, true),
    contractHash: textAt(bytes, 68, CONTRACT_CHARACTERS),
    board: textAt(bytes, 68 + CONTRACT_CHARACTERS, NAME_CHARACTERS),
  };
}

/** Greets the chip. @throws InputError with both hashes when the chip has another contract */
export function greetOrRefuse(link: Link, contractHash: string): Greeting {
  const greeting = greet(link, contractHash);
  if (greeting.accepted === 'accepted') return greeting;
  if (greeting.accepted === 'busy')
    throw new InputError({ file: link.line.name, problem: 'another host has a run on this chip', hint: 'End that run first' });
  throw new InputError({
    file: link.line.name,
    problem: `the chip's contract is ${greeting.contractHash}, this controller's is ${contractHash}`,
    value: greeting.contractHash,
    hint: 'Build its firmware from this controller',
  });
}

export interface Status {
  readonly state: (typeof STATES)[number];
  /** Why the last free run ended. */
  readonly end: (typeof ENDS)[number];
  /** Number of valves that are not known to be closed. */
  readonly notClosed: number;
  /** Steps of the free run so far. */
  readonly steps: number;
  /** Bytes of the stack that have been in use since start, at most. */
  readonly stackBytes: number;
  readonly counters: Readonly<Record<(typeof COUNTERS)[number], number>>;
}

export function statusOf(link: Link): Status {
  const bytes = link.request('status');
  return {
    state: nameOf(STATES, bytes.getUint8(0)),
    end: nameOf(ENDS, bytes.getUint8(1)),
    notClosed: bytes.getUint16(2, true),
    steps: bytes.getUint32(4, true),
    stackBytes: bytes.getUint32(8, true),
    counters: Object.fromEntries(COUNTERS.map((name, index) => [name, bytes.getUint32(12 + 4 * index, true)])) as Status['counters'],
  };
}
