import type { Harm, RelayHarm, RelayOptions } from '../board.js';
import type { Clock } from './clock.js';
import type { Line, LineEvents, Transport } from './line.js';

/** Uniform numbers in [0, 1): mulberry32, a public-domain generator of Tommy Ettinger; from memory. */
function randomNumbers(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4294967296;
  };
}

/** How long an overtaken piece waits by default, ms. */
const REORDER_MS = 5;

/** One direction of a relay: takes bytes, and delivers what is left of them, perhaps later. */
export class RelayDirection {
  readonly done = { passed: 0, lost: 0, doubled: 0, damaged: 0, reordered: 0 };
  private readonly random: () => number;
  /** The beginning of a frame whose end has not arrived. */
  private rest: Buffer = Buffer.alloc(0);
  private readonly undelayed: Buffer[] = [];
  /** Time before which nothing more can be delivered in order. */
  private orderedMs = 0;

  constructor(
    private readonly harm: Harm,
    seed: number,
    private readonly unit: 'frame' | 'byte',
    private readonly clock: Clock,
    private readonly isCut: () => boolean,
    private readonly deliver: (bytes: Uint8Array) => void,
  ) {
    this.random = randomNumbers(seed);
  }

  take(bytes: Uint8Array): void {
    for (const piece of this.piecesOf(bytes)) this.pass(piece);
    const pieces = this.undelayed.splice(0);
    // Single bytes would be slow; frames stay apart, as datagrams are.
    if (this.unit === 'frame') for (const piece of pieces) this.deliver(piece);
    else if (pieces.length > 0) this.deliver(Buffer.concat(pieces));
  }

  private piecesOf(bytes: Uint8Array): Buffer[] {
    if (this.unit === 'byte') return Array.from(bytes, (byte) => Buffer.from([byte]));
    const all = Buffer.concat([this.rest, bytes]);
    const pieces: Buffer[] = [];
    let from = 0;
    for (let end = all.indexOf(0); end !== -1; end = all.indexOf(0, from)) {
      pieces.push(Buffer.from(all.subarray(from, end + 1)));
      from = end + 1;
    }
    this.rest = Buffer.from(all.subarray(from));
    return pieces;
  }

  private happens(share: number | undefined): boolean {
    return share !== undefined && share > 0 && this.random() < share;
  }

  private pass(piece: Buffer): void {
    const { lose, double, damage } = this.harm;
    if (this.isCut() || this.happens(lose)) {
      this.done.lost += 1;
      return;
    }
    if (this.happens(damage)) {
      const at = Math.floor(this.random() * piece.length);
      piece[at] = (piece[at] ?? 0) ^ (1 << Math.floor(this.random() * 8));
      this.done.damaged += 1;
    }
    this.send(piece);
    if (!this.happens(double)) return;
    this.done.doubled += 1;
    this.send(piece);
  }

  private send(piece: Buffer): void {
    this.done.passed += 1;
    const { delayMs: [min, max] = [0, 0], reorder, reorderMs = REORDER_MS } = this.harm;
    const now = this.clock.nowMs();
    // Most lines keep the order: a piece that is delayed holds up those behind it.
    this.orderedMs = Math.max(this.orderedMs, now + min + (max - min) * this.random());
    const isOvertaken = this.happens(reorder);
    if (isOvertaken) this.done.reordered += 1;
    const waitMs = this.orderedMs - now + (isOvertaken ? reorderMs * this.random() : 0);
    if (waitMs <= 0) this.undelayed.push(piece);
    else this.clock.after(waitMs, () => this.deliver(piece));
  }
}

/**
 * A way to a board through a relay that loses, doubles, damages, delays and reorders what passes, or lets nothing pass for a while.
 * @param onOpen gets the counts of what is done to each direction of a newly opened line
 */
export function relayed(
  transport: Transport,
  options: RelayOptions,
  clock: Clock,
  onOpen: (harm: RelayHarm) => void = () => {},
): Transport {
  const { seed, toBoard = {}, fromBoard = {}, unit = 'frame', cuts = [] } = options;
  let startMs: number | undefined;
  const open = async (events: LineEvents): Promise<Line> => {
    startMs ??= clock.nowMs();
    const sinceStart = (): number => clock.nowMs() - (startMs ?? 0);
    const isCut = (): boolean => cuts.some(([from, to]) => sinceStart() >= from && sinceStart() < to);
    let line: Line | undefined;
    const back = new RelayDirection(fromBoard, seed + 1, unit, clock, isCut, (bytes) => events.onBytes(bytes));
    const there = new RelayDirection(toBoard, seed, unit, clock, isCut, (bytes) => line?.write(bytes));
    const opened = await transport.open({ onBytes: (bytes) => back.take(bytes), onGone: (reason) => events.onGone(reason) });
    line = opened;
    onOpen({ toBoard: there.done, fromBoard: back.done });
    return {
      ...opened,
      write: (bytes) => {
        there.take(bytes);
        return true;
      },
      close: () => {
        line = undefined;
        return opened.close();
      },
    };
  };
  return { ...transport, open };
}
