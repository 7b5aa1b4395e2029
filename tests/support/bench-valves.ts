import type { Notice } from '../../host/chip/link.js';

/** Position of a valve on a bench, in the worst case for the current its coil had: after a stroke that was cut short it is unknown. */
export type Position = 'open' | 'closed' | 'unknown';
export type Side = 'supply' | 'return';
export const SIDES: readonly Side[] = ['supply', 'return'];

/** One stroke, as its coil was driven, in ticks of the chip's timer. */
export interface Stroke {
  readonly row: number;
  readonly side: Side;
  readonly to: 'open' | 'closed';
  readonly from: number;
  readonly ticks: number;
  /** Number of chip starts before it. */
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
  readonly notClosed: number;
}

/** Ticks of uninterrupted current that move a valve: 2 ms, as on the machines of the vectors. */
const MOVING_TICKS = 2;

/** Latching valves that follow the coil notices of the link. Initially all are open, the worst state that a chip can find. */
export class BenchValves {
  readonly starts: Start[] = [];
  readonly strokes: Stroke[] = [];
  /** Maximum number of coils that were driven at the same time. */
  maxDriven = 0;
  private readonly valves: Record<Side, Valve>[];

  constructor(readonly rows: number) {
    const open = (): Valve => ({ position: 'open', coil: 'none', since: 0 });
    this.valves = Array.from({ length: rows }, () => ({ supply: open(), return: open() }));
  }

  take(notice: Notice): void {
    if (notice.kind === 'started') this.start(notice.cause, notice.reason);
    else {
      this.drive(notice.row, 'supply', COILS[notice.supplyOrder] ?? 'none', notice.tick);
      this.drive(notice.row, 'return', COILS[notice.returnOrder] ?? 'none', notice.tick);
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
  notClosed(): number {
    return this.count(({ position, coil }) => position !== 'closed' || coil !== 'none');
  }

  private count(isCounted: (valve: Valve) => boolean): number {
    return this.valves.flatMap((pair) => SIDES.map((side) => pair[side])).filter(isCounted).length;
  }

  /** The chip restarts: all coils are off, and the length of the last strokes is unknown. */
  private start(cause: string, reason: number): void {
    this.starts.push({ cause, reason, notClosed: this.notClosed() });
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
