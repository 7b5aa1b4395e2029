import { closeBound } from './close-bound.js';
import { wholeTicks } from './whole-ticks.js';

/*
 * Watches a bank from outside: it reads modes and orders tick by tick, keeps its own model of the valves, and knows
 * nothing of the controller's beliefs. A valve counts as open from its opening stroke's first tick to its closing
 * stroke's last, and as unknown before its first closing stroke and after a tick without power that found it open or moving.
 */

enum Order {
  None,
  Open,
  Close,
}
enum Position {
  Unknown,
  Closed,
  Open,
}
const BANK = { working: 4, lowSupply: 5, shutDown: 6, powerLost: 7 } as const;
const ROW = { working: 3, frozen: 4, venting: 5 } as const;

/** What the monitor holds the bank to, in ticks. */
export interface Limits {
  readonly rows: number;
  readonly strokeTicks: number;
  readonly deadTicks: number;
  readonly minPulseTicks: number;
  readonly maxPulseTicks: number;
  readonly restTicks: number;
  readonly relatchTicks: number;
  readonly retryTicks: number;
  readonly strokesAtOnce: number;
  readonly slotCount: number;
  readonly slotPhase: number;
  readonly isVented: boolean;
  /** Coils fed from a reservoir: a close may wait for energy, so its wait has no bound. */
  readonly isMetered: boolean;
}

/** The limits that parameters stand for. */
export function limitsOf(rows: number, inForce: (name: string) => number): Limits {
  const ticks = (name: string): number => wholeTicks(inForce(name), inForce('tickHz'));
  // Strokes and times that must at least be kept are rounded up, in the controller's own precision.
  const tickMs = Math.fround(1000 / inForce('tickHz'));
  const leastTicks = (name: string): number => Math.ceil(Math.fround(Math.fround(inForce(name) / tickMs) - Math.fround(1e-4)));
  const strokeTicks = leastTicks('strokeMs');
  const minPulseTicks = Math.max(leastTicks('minPulseMs'), strokeTicks);
  const relatchTicks = Math.max(
    wholeTicks(Math.fround(inForce('relatchS') * 1000), inForce('tickHz')),
    4 * strokeTicks * inForce('slotCount') * (1 + Math.floor((2 * rows) / inForce('strokesAtOnce'))),
  );
  return {
    rows,
    strokeTicks,
    deadTicks: leastTicks('deadMs'),
    minPulseTicks,
    maxPulseTicks: Math.max(ticks('maxPulseMs'), minPulseTicks),
    restTicks: leastTicks('restMs'),
    relatchTicks,
    // A stuck valve is no less often closed than one that is not.
    retryTicks: Math.min(relatchTicks, wholeTicks(Math.fround(inForce('retryS') * 1000), inForce('tickHz'))),
    strokesAtOnce: inForce('strokesAtOnce'),
    slotCount: inForce('slotCount'),
    slotPhase: inForce('slotPhase'),
    isVented: inForce('shutDownVent') === 1,
    isMetered: inForce('reservoirUf') > 0,
  };
}

/** What is seen of a bank in one tick; a row's supply valve stands at 2·row, its return valve after it. */
export interface Sight {
  readonly bankMode: number;
  readonly rowModes: Uint8Array;
  readonly orders: Uint8Array;
  /** 1 for a valve that is told to be stuck. */
  readonly stuck: Uint8Array;
}

class Valve {
  position = Position.Unknown;
  order: number = Order.None;
  /** First tick of the stroke under way or the last one. */
  strokeAt = 0;
  openedAt = 0;
  /** First tick after the last closing stroke. */
  closedAt = Number.NEGATIVE_INFINITY;
  /** First tick after the last closing stroke that ended a pulse. */
  pulseEndedAt = Number.NEGATIVE_INFINITY;
  /** How long a closing stroke has been due. */
  dueTicks = 0;
}

export class StrokeMonitor {
  readonly valves: readonly Valve[];
  /** What has happened, so that a test can see whether it has tested anything. */
  readonly seen = { opens: 0, lowers: 0, vents: 0, closes: 0, relatches: 0, aborts: 0, longestDue: 0 };
  /** Strokes that began, and valves that are not closed, in the tick seen last. */
  begun = { closes: 0, opens: 0 };
  notClosed: number;
  private tick = 0;

  constructor(readonly limits: Limits) {
    this.valves = Array.from({ length: limits.rows * 2 }, () => new Valve());
    this.notClosed = limits.rows * 2;
  }

  /** @throws Error at the first thing that must not be */
  observe(sight: Sight): void {
    this.begun = { closes: 0, opens: 0 };
    const isPowerLost = sight.bankMode === BANK.powerLost;
    for (const [index, valve] of this.valves.entries()) this.endStroke(index, valve, sight.orders[index] ?? 0, isPowerLost);
    let driven = 0;
    for (let index = 0; index < this.valves.length; index++) if (sight.orders[index] !== Order.None) driven += 1;
    if (driven > this.limits.strokesAtOnce) this.fail(-1, `${driven} coils driven, ${this.limits.strokesAtOnce} allowed`);
    if (isPowerLost && driven > 0) this.fail(-1, `${driven} coils driven while power is lost`);
    for (const [index, valve] of this.valves.entries()) this.beginStroke(index, valve, sight, driven);
    this.notClosed = 0;
    for (const [index, valve] of this.valves.entries()) {
      if (!this.limits.isMetered) this.checkWait(index, valve, sight);
      if (valve.position !== Position.Closed) this.notClosed += 1;
    }
    this.tick += 1;
  }

  private fail(index: number, what: string): never {
    const where = index < 0 ? 'bank' : `row ${(index >> 1) + 1} ${index % 2 === 0 ? 'supply' : 'return'} valve`;
    throw new Error(`tick ${this.tick}, ${where}: ${what}`);
  }

  private endStroke(index: number, valve: Valve, order: number, isPowerLost: boolean): void {
    const ticks = this.tick - valve.strokeAt;
    if (valve.order !== Order.None && order === valve.order && ticks >= this.limits.strokeTicks)
      this.fail(index, `stroke of over ${ticks} ticks`);
    if (valve.order !== Order.None && order !== valve.order) {
      const isWhole = ticks === this.limits.strokeTicks;
      if (!isWhole && !isPowerLost) this.fail(index, `stroke of ${ticks} ticks`);
      if (!isWhole) this.seen.aborts += 1;
      // A tick without power finds the valve as the stroke under way in the tick before has left it: nobody knows how.
      if (valve.order === Order.Close && !isPowerLost) this.takeClosed(valve);
      else if (isPowerLost) valve.position = Position.Unknown;
      valve.order = Order.None;
    }
    if (isPowerLost && valve.position === Position.Open) valve.position = Position.Unknown;
  }

  private takeClosed(valve: Valve): void {
    if (valve.position === Position.Open) valve.pulseEndedAt = this.tick;
    valve.position = Position.Closed;
    valve.closedAt = this.tick;
  }

  private beginStroke(index: number, valve: Valve, sight: Sight, driven: number): void {
    const order = sight.orders[index] ?? 0;
    if (order === valve.order) return;
    const { slotCount, slotPhase, strokeTicks } = this.limits;
    const turn = slotCount * strokeTicks;
    if (slotCount > 1 && this.tick % turn !== slotPhase * strokeTicks)
      this.fail(index, `stroke outside the slot: ${this.tick % turn} of ${turn}`);
    if (order === Order.Open) this.checkOpening(index, valve, sight, driven);
    else this.checkClosing(index, valve);
    valve.order = order;
    valve.strokeAt = this.tick;
    valve.dueTicks = 0;
  }

  private checkOpening(index: number, valve: Valve, { bankMode, rowModes, stuck }: Sight, driven: number): void {
    if (stuck[index] === 1 || stuck[index ^ 1] === 1) this.fail(index, 'opened in a row with a stuck valve');
    const other = this.valves[index ^ 1] as Valve;
    const rowMode = rowModes[index >> 1] ?? 0;
    const isVent = bankMode === BANK.shutDown && this.limits.isVented && rowMode === ROW.venting && index % 2 === 1;
    const isWork = bankMode === BANK.working && (rowMode === ROW.working || rowMode === ROW.frozen);
    const { deadTicks, restTicks, strokesAtOnce } = this.limits;
    if (!isVent && !isWork) this.fail(index, `opened in bank mode ${bankMode}, row mode ${rowMode}`);
    if (valve.position !== Position.Closed) this.fail(index, `opened while ${Position[valve.position]}`);
    if (other.position !== Position.Closed) this.fail(index, `opened while the other valve is ${Position[other.position]}`);
    if (other.order !== Order.None) this.fail(index, 'opened while the other coil is driven');
    const closedFor = this.tick - Math.max(valve.closedAt, other.closedAt);
    if (closedFor < deadTicks) this.fail(index, `opened ${closedFor} ticks after a close, dead time ${deadTicks}`);
    const restedFor = this.tick - Math.max(valve.pulseEndedAt, other.pulseEndedAt);
    if (restedFor < restTicks) this.fail(index, `opened ${restedFor} ticks after a pulse, rest ${restTicks}`);
    if (strokesAtOnce > 1 && driven >= strokesAtOnce) this.fail(index, 'opening stroke in the slot that is kept for closes');
    valve.position = Position.Open;
    valve.openedAt = this.tick;
    this.begun.opens += 1;
    this.seen.opens += 1;
    if (isVent) this.seen.vents += 1;
    else if (index % 2 === 1) this.seen.lowers += 1;
  }

  private checkClosing(index: number, valve: Valve): void {
    const openTicks = this.tick - valve.openedAt;
    const { minPulseTicks } = this.limits;
    if (valve.position === Position.Open && openTicks < minPulseTicks)
      this.fail(index, `pulse of ${openTicks} ticks, least ${minPulseTicks}`);
    if (valve.position === Position.Closed) this.seen.relatches += 1;
    this.begun.closes += 1;
    this.seen.closes += 1;
  }

  private checkWait(index: number, valve: Valve, sight: Sight): void {
    const { rows, strokeTicks, slotCount, strokesAtOnce } = this.limits;
    valve.dueTicks = this.isCloseDue(index, valve, sight) ? valve.dueTicks + 1 : 0;
    const closes = valve.position === Position.Open ? rows : 2 * rows;
    const bound = closeBound(closes, strokeTicks, slotCount, strokesAtOnce);
    if (valve.dueTicks > bound) this.fail(index, `a close of a valve ${Position[valve.position]} has waited over ${bound} ticks`);
    this.seen.longestDue = Math.max(this.seen.longestDue, valve.dueTicks);
  }

  /** Whether a closing stroke must be on its way whatever the controller wishes. */
  private isCloseDue(index: number, valve: Valve, { bankMode, rowModes, stuck }: Sight): boolean {
    const rowMode = rowModes[index >> 1];
    if (valve.order !== Order.None || bankMode === BANK.powerLost) return false;
    // What does not obey is not closed in vain all the time, but it is closed again in any mode.
    if (stuck[index] === 1 && valve.position !== Position.Open) return this.tick - valve.strokeAt >= this.limits.retryTicks;
    if (valve.position === Position.Unknown) return true;
    const mayWish = rowMode === ROW.working || rowMode === ROW.frozen || rowMode === ROW.venting;
    // Energy that is short is not spent on valves that have long been closed.
    const isSparing = bankMode === BANK.lowSupply || bankMode === BANK.shutDown;
    if (valve.position === Position.Closed) return !mayWish && !isSparing && this.tick - valve.strokeAt >= this.limits.relatchTicks;
    const openTicks = this.tick - valve.openedAt;
    return openTicks >= this.limits.maxPulseTicks || (openTicks >= this.limits.minPulseTicks && !mayWish);
  }
}
