import type { Bounded, ClockAlignment } from '../board.js';

/** One question for the board's time and its answer. */
interface Exchange {
  readonly sentMs: number;
  readonly receivedMs: number;
  /** The board's timer at some time between the two, with fractions. */
  readonly tick: number;
}

/** Exchanges that are kept. */
const KEPT_MAX = 64;
/** What a board's clock may be off at all: an RC oscillator of a microcontroller; common practice, no source. */
const DRIFT_MAX = 0.03;
const TICKS = 2 ** 32;

const middle = (min: number, max: number): Bounded => ({ value: (min + max) / 2, min, max });

/**
 * The board's timer as a straight line over this computer's time. Each exchange bounds it from both sides: at the time of sending the
 * timer was not yet beyond the answer's tick, at the time of receiving not before it. Slopes that no line through all these gates can
 * have are excluded, and so are values (the feasible region of Duda, Harrus, Haddad, Bernard 1987, "Estimating global time in
 * distributed systems"). The bounds hold as long as the rate is constant; when no line is left, the oldest exchanges go.
 */
export class ClockEstimate {
  private exchanges: Exchange[] = [];
  private slope: Bounded;

  /** @param tickHz nominal rate of the board's timer */
  constructor(readonly tickHz: number) {
    this.slope = this.slopeBounds();
  }

  /** @param tick of the answer, as the board counts it: modulo 2^32, with fractions */
  add(sentMs: number, receivedMs: number, tick: number): void {
    const before = this.exchanges.at(-1)?.tick ?? tick;
    const turns = Math.round((before - tick) / TICKS);
    this.exchanges.push({ sentMs, receivedMs, tick: tick + turns * TICKS });
    if (this.exchanges.length > KEPT_MAX) this.thinOut();
    for (;;) {
      this.slope = this.slopeBounds();
      if (this.slope.min <= this.slope.max || this.exchanges.length < 2) return;
      this.exchanges.shift();
    }
  }

  get isKnown(): boolean {
    return this.exchanges.length >= 2;
  }

  /** The board's timer at a time of this computer, in the count of the first exchange, which does not wrap. */
  tickAt(ms: number): Bounded {
    let [min, max] = [Number.NEGATIVE_INFINITY, Number.POSITIVE_INFINITY];
    const { min: slow, max: fast } = this.slope;
    for (const { sentMs, receivedMs, tick } of this.exchanges) {
      max = Math.min(max, tick + (ms - sentMs) * (ms >= sentMs ? fast : slow));
      min = Math.max(min, tick + (ms - receivedMs) * (ms >= receivedMs ? slow : fast));
    }
    return middle(min, max);
  }

  /** Time of this computer at a tick in that count. */
  msAt(tick: number): Bounded {
    let [min, max] = [Number.NEGATIVE_INFINITY, Number.POSITIVE_INFINITY];
    const { min: slow, max: fast } = this.slope;
    for (const one of this.exchanges) {
      const after = tick - one.tick;
      min = Math.max(min, one.sentMs + after / (after >= 0 ? fast : slow));
      max = Math.min(max, one.receivedMs + after / (after >= 0 ? slow : fast));
    }
    return middle(min, max);
  }

  /** A tick as the board counts it, in the count that does not wrap: the one nearest to a time of this computer. */
  unwrap(tick: number, nearMs: number): number {
    return tick + Math.round((this.tickAt(nearMs).value - tick) / TICKS) * TICKS;
  }

  /** Undefined until there are two exchanges. */
  alignment(): ClockAlignment | undefined {
    const last = this.exchanges.at(-1);
    if (last === undefined || !this.isKnown) return undefined;
    const at = this.msAt(last.tick);
    const boardMs = (last.tick * 1000) / this.tickHz;
    const ppm = (slope: number): number => (slope / (this.tickHz / 1000) - 1) * 1e6;
    return {
      offsetMs: { value: at.value - boardMs, min: at.min - boardMs, max: at.max - boardMs },
      driftPpm: { value: ppm(this.slope.value), min: ppm(this.slope.min), max: ppm(this.slope.max) },
      exchanges: this.exchanges.length,
    };
  }

  /** Ticks per millisecond that are possible. */
  private slopeBounds(): Bounded {
    const nominal = this.tickHz / 1000;
    let [min, max] = [nominal * (1 - DRIFT_MAX), nominal * (1 + DRIFT_MAX)];
    for (const [index, later] of this.exchanges.entries()) {
      for (const earlier of this.exchanges.slice(0, index)) {
        const ticks = later.tick - earlier.tick;
        if (later.sentMs > earlier.receivedMs) max = Math.min(max, ticks / (later.sentMs - earlier.receivedMs));
        if (later.receivedMs > earlier.sentMs) min = Math.max(min, ticks / (later.receivedMs - earlier.sentMs));
      }
    }
    return middle(min, max);
  }

  /** Of the older half the exchange with the longest round trip goes: it bounds the least, and old ones are what bounds the drift. */
  private thinOut(): void {
    const older = this.exchanges.slice(0, KEPT_MAX / 2);
    const trips = older.map(({ sentMs, receivedMs }) => receivedMs - sentMs);
    this.exchanges.splice(trips.indexOf(Math.max(...trips)), 1);
  }
}
