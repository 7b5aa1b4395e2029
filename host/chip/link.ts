import { InputError } from '../common/input-error.js';
import { encodeFrame, type Frame, FrameReader } from './frames.js';
import type { Line } from './line.js';

/** Requests of the link, as firmware/link.h has them. */
export const REQUEST = {
  hello: 1,
  configure: 2,
  tick: 3,
  input: 4,
  read: 5,
  write: 6,
  status: 7,
  leave: 8,
  restart: 9,
  hash: 10,
  inject: 11,
} as const;
export type RequestName = keyof typeof REQUEST;

const ANSWER = 0x80;
const REFUSED = 0xff;
const STARTED = 0xe1;
const COILS = 0xe2;

export const LINK_VERSION = 1;
export const START_CAUSES = ['power', 'trap', 'fault', 'watchdog', 'asked'] as const;
export const TRAPS = ['none', 'an assertion failed', 'access outside memory', 'no integer has the value', 'division by zero'] as const;
export const STATES = ['closing', 'ready', 'lockstep', 'running', 'ending', 'stopped'] as const;
export const ENDS = ['none', 'asked', 'link lost', 'power failing'] as const;
export const ARITHMETIC_FINDINGS = [
  'as WebAssembly',
  'products are added without having been rounded (fused multiply-add)',
  'subnormal numbers become 0',
  'not a number compares as a number',
  'rounding is not to nearest',
  'more than single precision in between',
] as const;

/** Something the chip has told unasked. */
export type Told =
  | { readonly what: 'started'; readonly cause: (typeof START_CAUSES)[number]; readonly reason: number }
  | { readonly what: 'coils'; readonly tick: number; readonly row: number; readonly supply: number; readonly back: number };

/** The chip gives no answer any more, or has started anew: what was under way is lost. */
export class LinkLost extends Error {
  /** Nothing is wrong with this program: the command ends with exit code 2. */
  readonly isExpected = true;

  constructor(message: string) {
    super(message);
    this.name = 'LinkLost';
  }
}

const nameOf = <T>(names: readonly T[], index: number): T => names[index] ?? (`number ${index}` as T);

function toldBy({ kind, body }: Frame): Told | undefined {
  const bytes = new DataView(body.buffer, body.byteOffset, body.length);
  if (kind === STARTED) return { what: 'started', cause: nameOf(START_CAUSES, bytes.getUint8(0)), reason: bytes.getUint32(1, true) };
  if (kind !== COILS) return undefined;
  return { what: 'coils', tick: bytes.getUint32(0, true), row: bytes.getUint8(4), supply: bytes.getUint8(5), back: bytes.getUint8(6) };
}

/** How a start reads in a message. */
export function startText({ cause, reason }: { readonly cause: string; readonly reason: number }): string {
  return cause === 'trap'
    ? `the controller stopped: ${nameOf(TRAPS, reason)}`
    : cause === 'fault'
      ? `fault of the processor, number ${reason}`
      : cause;
}

const TRIES = 3;
/** Damaged frames in one wait for an answer after which the request is sent again. */
const DAMAGED_MOST = 8;

/** One end of the link: asks, and waits for the answer. What comes unasked is handed to `listen`. */
export class Link {
  listen: (told: Told) => void = () => {};
  /** Frames that arrived damaged, and requests that had to be sent again. */
  readonly trouble = { damaged: 0, repeated: 0 };
  /** Bytes so far. */
  readonly traffic = { sent: 0, received: 0 };
  private readonly reader = new FrameReader();
  private readonly waiting: Frame[] = [];
  private sequence = 0;

  constructor(readonly line: Line) {}

  /**
   * Sends a request and waits for its answer; after a silence it is sent again, three times at most, with the same number, so
   * that the chip does nothing twice.
   * @throws LinkLost when there is no answer, or the chip has started anew meanwhile
   * @throws Error when the chip refuses
   */
  ask(name: RequestName, body: Uint8Array = new Uint8Array(0)): DataView {
    const kind = REQUEST[name];
    this.sequence = (this.sequence % 255) + 1;
    const bytes = encodeFrame({ kind, sequence: this.sequence, body });
    for (let turn = 0; turn < TRIES; turn++) {
      if (turn > 0) this.trouble.repeated += 1;
      this.send(bytes);
      const answer = this.answerTo(kind);
      if (answer !== undefined) return new DataView(answer.buffer, answer.byteOffset, answer.length);
    }
    throw this.lost('gives no answer');
  }

  /** Waits for what is told unasked; false after a silence. */
  hear(): boolean {
    const bytes = this.line.read();
    this.take(bytes);
    return bytes.length > 0;
  }

  private send(bytes: Uint8Array): void {
    this.traffic.sent += bytes.length;
    try {
      this.line.write(bytes);
    } catch {
      throw this.lost('has gone');
    }
  }

  private lost(how: string): LinkLost {
    const complaint = this.line.complaint();
    return new LinkLost(`${this.line.name} ${how}${complaint === '' ? '' : `: ${complaint}`}`);
  }

  private take(bytes: Uint8Array): void {
    const before = this.reader.damaged;
    this.traffic.received += bytes.length;
    for (const frame of this.reader.take(bytes)) {
      const told = toldBy(frame);
      if (told === undefined) this.waiting.push(frame);
      else this.listen(told);
    }
    this.trouble.damaged += this.reader.damaged - before;
  }

  /** Body of the answer to the last request; undefined after a silence. */
  private answerTo(kind: number): Uint8Array | undefined {
    const before = this.trouble.damaged;
    // What keeps talking and is never understood is no chip, or has another rate.
    while (this.trouble.damaged - before <= DAMAGED_MOST) {
      for (let frame = this.waiting.shift(); frame !== undefined; frame = this.waiting.shift()) {
        if (frame.sequence !== this.sequence) continue;
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

/** What a chip says of itself. */
export interface Greeting {
  readonly isAccepted: boolean;
  readonly state: (typeof STATES)[number];
  readonly startCause: (typeof START_CAUSES)[number];
  readonly startReason: number;
  /** 0, or the first thing in which its arithmetic is not that of WebAssembly: see ARITHMETIC_FINDINGS. */
  readonly arithmetic: number;
  readonly rowsMax: number;
  readonly valveRows: number;
  /** Rate of the counter, Hz; 0 if it counts instructions. */
  readonly countHz: number;
  /** What an empty measurement counts. */
  readonly countCost: number;
  readonly memoryBytes: number;
  readonly contractHash: string;
  readonly board: string;
}

const textAt = (bytes: DataView, at: number, most: number): string =>
  Buffer.from(bytes.buffer, bytes.byteOffset + at, most)
    .toString('latin1')
    .replace(/\0+$/, '');

/** Greets the chip with the hash of a contract; it takes part only if it has the same. */
export function greet(link: Link, contractHash: string): Greeting {
  const bytes = link.ask('hello', Buffer.from([LINK_VERSION, ...Buffer.from(contractHash, 'latin1')]));
  return {
    isAccepted: bytes.getUint8(1) !== 0,
    state: nameOf(STATES, bytes.getUint8(2)),
    startCause: nameOf(START_CAUSES, bytes.getUint8(3)),
    startReason: bytes.getUint32(4, true),
    arithmetic: bytes.getUint32(8, true),
    rowsMax: bytes.getUint16(12, true),
    valveRows: bytes.getUint16(14, true),
    countHz: bytes.getUint32(16, true),
    countCost: bytes.getUint32(20, true),
    memoryBytes: bytes.getUint32(24, true),
    contractHash: textAt(bytes, 28, 16),
    board: textAt(bytes, 44, 16),
  };
}

/** @throws InputError when the chip has another contract, with both hashes */
export function greetOrRefuse(link: Link, contractHash: string): Greeting {
  const greeting = greet(link, contractHash);
  if (greeting.isAccepted) return greeting;
  throw new InputError({ file: link.line.name, what: 'contract hash of the chip', value: greeting.contractHash, allowed: contractHash });
}

/** What a chip is doing. */
export interface Status {
  readonly state: (typeof STATES)[number];
  /** Why its last free run ended. */
  readonly end: (typeof ENDS)[number];
  /** Valves that are not known to be closed. */
  readonly doubtful: number;
  readonly ticks: number;
  /** Ticks of the timer that came while the one before was still at work. */
  readonly overruns: number;
  /** Most of the stack that has been in use since start, bytes. */
  readonly stackBytes: number;
}

export function statusOf(link: Link): Status {
  const bytes = link.ask('status');
  return {
    state: nameOf(STATES, bytes.getUint8(0)),
    end: nameOf(ENDS, bytes.getUint8(1)),
    doubtful: bytes.getUint16(2, true),
    ticks: bytes.getUint32(4, true),
    overruns: bytes.getUint32(8, true),
    stackBytes: bytes.getUint32(12, true),
  };
}
