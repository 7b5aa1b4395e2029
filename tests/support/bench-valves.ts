import type { Told } from '../../host/chip/link.js';

/** Valves of a bench, each the worst that its coil's current allows: a stroke cut short leaves nothing to rely on. */
export type Position = 'open' | 'closed' | 'unknown';
export type Side = 'supply' | 'back';
export const SIDES: readonly Side[] = ['supply', 'back'];

/** One drive of one coil, in ticks of the chip's timer. */
export interface Stroke {
  readonly row: number;
  readonly side: Side;
  readonly to: 'open' | 'closed';
  readonly from: number;
  readonly ticks: number;
  /** Chip starts before it. */
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
  /** Valves that were not closed, or whose coil was driven, when the chip stopped. */
  readonly doubtful: number;
}

/** Ticks of current without a break that move a valve: 2 ms, as the vectors' machines have it. */
const MOVING_TICKS = 2;

/**
 * Latching valves that hear of their coils over the link. They stand open to begin with, which is the worst that a chip can find.
 */
export class BenchValves {
  readonly starts: Start[] = [];
  readonly strokes: Stroke[] = [];
  /** Most coils that were driven at once. */
  mostDriven = 0;
  private readonly valves: Record<Side, Valve>[];

  constructor(readonly rows: number) {
    const fresh = (): Valve => ({ position: 'open', coil: 'none', since: 0 });
    this.valves = Array.from({ length: rows }, () => ({ supply: fresh(), back: fresh() }));
  }

  take(told: Told): void {
    if (told.what === 'started') this.start(told.cause, told.reason);
    else {
      this.drive(told.row, 'supply', COILS[told.supply] ?? 'none', told.tick);
      this.drive(told.row, 'back', COILS[told.back] ?? 'none', told.tick);
      this.mostDriven = Math.max(this.mostDriven, this.driven());
    }
  }

  positions(side: Side): Position[] {
    return this.valves.map((pair) => pair[side].position);
  }

  driven(): number {
    return this.count(({ coil }) => coil !== 'none');
  }

  /** Valves that are not known to be closed, or are just being moved. */
  doubtful(): number {
    return this.count(({ position, coil }) => position !== 'closed' || coil !== 'none');
  }

  private count(isCounted: (valve: Valve) => boolean): number {
    return this.valves.flatMap((pair) => SIDES.map((side) => pair[side])).filter(isCounted).length;
  }

  /** The chip begins anew: no coil has current, and nobody knows how long the last stroke was. */
  private start(cause: string, reason: number): void {
    this.starts.push({ cause, reason, doubtful: this.doubtful() });
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
