import type { Told } from '../../host/chip/link.js';

/** Position of a valve, in the worst case that its coil's current allows: after a stroke cut short it is unknown. */
export type Position = 'open' | 'closed' | 'unknown';
export type Side = 'supply' | 'back';
export const SIDES: readonly Side[] = ['supply', 'back'];

/** One stroke of one coil, in ticks of the chip's timer. */
export interface Stroke {
  readonly row: number;
  readonly side: Side;
  readonly to: 'open' | 'closed';
  readonly from: number;
  readonly ticks: number;
  /** Starts of the chip before it. */
  readonly starts: number;
}

type Coil = 'none' | 'open' | 'closed';
/** Orders as the contract numbers them: none, open, close. */
const COILS: readonly Coil[] = ['none', 'open', 'closed'];

interface Valve {
  position: Position;
  coil: Coil;
  since: number;
}

export interface Start {
  readonly cause: string;
  readonly reason: number;
  /** Valves that were not closed for certain when the chip stopped. */
  readonly uncertain: number;
}

/** Ticks of uninterrupted current that move a valve: 2 ms, as in the vectors' machines. */
const MOVING_TICKS = 2;

/** Latching valves whose coils are reported over the link. They start open, the worst case for a chip that starts. */
export class BenchValves {
  readonly starts: Start[] = [];
  readonly strokes: Stroke[] = [];
  /** Maximum number of coils driven at once. */
  maxDriven = 0;
  private readonly valves: Record<Side, Valve>[];

  constructor(readonly rows: number) {
    const open = (): Valve => ({ position: 'open', coil: 'none', since: 0 });
    this.valves = Array.from({ length: rows }, () => ({ supply: open(), back: open() }));
  }

  take(told: Told): void {
    if (told.what === 'started') this.start(told.cause, told.reason);
    else {
      this.drive(told.row, 'supply', COILS[told.supply] ?? 'none', told.tick);
      this.drive(told.row, 'back', COILS[told.back] ?? 'none', told.tick);
      this.maxDriven = Math.max(this.maxDriven, this.driven());
    }
  }

  positions(side: Side): Position[] {
    return this.valves.map((pair) => pair[side].position);
  }

  driven(): number {
    return this.count(({ coil }) => coil !== 'none');
  }

  /** Number of valves that are not known to be closed, or are being moved. */
  uncertain(): number {
    return this.count(({ position, coil }) => position !== 'closed' || coil !== 'none');
  }

  private count(isCounted: (valve: Valve) => boolean): number {
    return this.valves.flatMap((pair) => SIDES.map((side) => pair[side])).filter(isCounted).length;
  }

  /** The chip restarts: no coil has current, and the length of the last stroke is unknown. */
  private start(cause: string, reason: number): void {
    this.starts.push({ cause, reason, uncertain: this.uncertain() });
    for (const pair of this.valves) for (const side of SIDES) this.end(pair[side], 0);
  }

  private end(valve: Valve, ticks: number): void {
    if (valve.coil !== 'none' && valve.coil !== valve.position) valve.position = ticks >= MOVING_TICKS ? valve.coil : 'unknown';
    valve.coil = 'none';
  }

  private drive(row: number, side: Side, coil: Coil, tick: number): void {
    const valve = this.valves[row]?.[side];
    if (valve === undefined) throw new RangeError(`no row ${row}`);
    if (valve.coil === coil) return;
    if (valve.coil !== 'none') {
      const ticks = tick - valve.since;
      this.strokes.push({ row, side, to: valve.coil, from: valve.since, ticks, starts: this.starts.length });
      this.end(valve, ticks);
    }
    valve.coil = coil;
    valve.since = tick;
  }
}
