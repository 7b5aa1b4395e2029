import { closeBound } from './close-bound.js';
import { wholeTicks } from './whole-ticks.js';

/*
 * Monitors a bank from outside: it reads modes and orders tick by tick, and keeps its own model of the valves, independent of the
 * controller's beliefs. A valve counts as open from its opening stroke's first tick to its closing stroke's last, and as unknown before
 * its first closing stroke and after a tick in which no stroke could be paid that found it open or moving.
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
const ROW = { working: 3, frozen: 4, venting: 5, lowering: 6 } as const;

/** Limits that the monitor checks, in ticks. */
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
  /** Coils are fed from a reservoir: a close may wait for energy, so that its wait has no bound. */
  readonly isMetered: boolean;
  readonly strokeMinMv: number;
}

/** The limits that parameters set. @param parameter a parameter's value by name */
export function limitsOf(rows: number, parameter: (name: string) => number): Limits {
  const ticks = (name: string): number => wholeTicks(parameter(name), parameter('tickHz'));
  // Minimum times are rounded up, in the controller's precision.
  const tickMs = Math.fround(1000 / parameter('tickHz'));
  const minTicks = (name: string): number => Math.ceil(Math.fround(Math.fround(parameter(name) / tickMs) - Math.fround(1e-4)));
  const strokeTicks = minTicks('strokeMs');
  const minPulseTicks = Math.max(minTicks('minPulseMs'), strokeTicks);
  const relatchTicks = Math.max(
    wholeTicks(Math.fround(parameter('relatchS') * 1000), parameter('tickHz')),
    4 * strokeTicks * parameter('slotCount') * (1 + Math.floor((2 * rows) / parameter('strokesAtOnce'))),
  );
  return {
    rows,
    strokeTicks,
    deadTicks: minTicks('deadMs'),
    minPulseTicks,
    maxPulseTicks: Math.max(ticks('maxPulseMs'), minPulseTicks),
    restTicks: minTicks('restMs'),
    relatchTicks,
    // A stuck valve is closed at least as often as any other.
    retryTicks: Math.min(relatchTicks, wholeTicks(Math.fround(parameter('retryS') * 1000), parameter('tickHz'))),
    strokesAtOnce: parameter('strokesAtOnce'),
    slotCount: parameter('slotCount'),
    slotPhase: parameter('slotPhase'),
    isVented: parameter('shutDownVent') === 1,
    isMetered: parameter('reservoirUf') > 0 && parameter('reservoirVoltageFitted') === 1,
    strokeMinMv: parameter('strokeMinMv'),
  };
}

/** Outputs of a bank in one tick. A row's supply valve is at 2·row, its return valve follows. */
export interface Observation {
  readonly bankMode: number;
  /** Voltage of the reservoir in this tick, an input. */
  readonly reservoirMv: number;
  readonly rowModes: Uint8Array;
  readonly orders: Uint8Array;
  /** Valves that are reported stuck: 1 if the controller takes it for open, otherwise 2. */
  readonly stuck: Uint8Array;
}

class Valve {
  position = Position.Unknown;
  order: number = Order.None;
  /** Nobody knows whether the present stroke moves the valve. */
  isDoubtful = false;
  /** First tick of the present or last stroke. */
  strokeAt = 0;
  openedAt = 0;
  /** First tick after the last closing stroke. */
  closedAt = Number.NEGATIVE_INFINITY;
  /** First tick after the last closing stroke that ended a pulse. */
  pulseEndedAt = Number.NEGATIVE_INFINITY;
  /** Time that a closing stroke has been due. */
  dueTicks = 0;
}

/** A valve that does not open is tried again after this many retry intervals. */
const TRIAL_RETRIES = 8;

export class StrokeMonitor {
  readonly valves: readonly Valve[];
  /** What has happened, so that a test can check that it tests something. */
  readonly counts = { opens: 0, lowers: 0, vents: 0, closes: 0, relatches: 0, aborts: 0, longestDue: 0 };
  /** Strokes that began, and valves that are not closed, in the last tick. */
  begun = { closes: 0, opens: 0 };
  notClosed: number;
  private tick = 0;

  constructor(readonly limits: Limits) {
    this.valves = Array.from({ length: limits.rows * 2 }, () => new Valve());
    this.notClosed = limits.rows * 2;
  }

  /** @throws Error at the first violation */
  observe(observation: Observation): void {
    this.begun = { closes: 0, opens: 0 };
    const isInhibited = this.isInhibited(observation);
    for (const [index, valve] of this.valves.entries()) this.endStroke(index, valve, observation.orders[index] ?? 0, isInhibited);
    let driven = 0;
    for (let index = 0; index < this.valves.length; index++) if (observation.orders[index] !== Order.None) driven += 1;
    if (driven > this.limits.strokesAtOnce) this.fail(-1, `${driven} coils driven, ${this.limits.strokesAtOnce} allowed`);
    if (isInhibited && !this.limits.isMetered && driven > 0) this.fail(-1, `${driven} coils driven while power is lost`);
    for (const [index, valve] of this.valves.entries()) this.beginStroke(index, valve, observation, driven);
    this.notClosed = 0;
    for (const [index, valve] of this.valves.entries()) {
      if (!this.limits.isMetered) this.checkWait(index, valve, observation);
      if (valve.position !== Position.Closed) this.notClosed += 1;
    }
    this.tick += 1;
  }

  /** Power is lost and no stroke can be paid. */
  private isInhibited({ bankMode, reservoirMv }: Observation): boolean {
    return bankMode === BANK.powerLost && !(this.limits.isMetered && reservoirMv >= this.limits.strokeMinMv);
  }

  private fail(index: number, what: string): never {
    const where = index < 0 ? 'bank' : `row ${(index >> 1) + 1} ${index % 2 === 0 ? 'supply' : 'return'} valve`;
    throw new Error(`tick ${this.tick}, ${where}: ${what}`);
  }

  private endStroke(index: number, valve: Valve, order: number, isInhibited: boolean): void {
    const ticks = this.tick - valve.strokeAt;
    if (valve.order !== Order.None && order === valve.order && ticks >= this.limits.strokeTicks)
      this.fail(index, `stroke of over ${ticks} ticks`);
    if (valve.order !== Order.None && order !== valve.order) {
      const isWhole = ticks === this.limits.strokeTicks;
      // Only without a reservoir does a stroke stop with the supply.
      if (!isWhole && (!isInhibited || this.limits.isMetered)) this.fail(index, `stroke of ${ticks} ticks`);
      if (!isWhole) this.counts.aborts += 1;
      // Without enough voltage, nobody knows how far the present stroke has moved the valve.
      if (isInhibited || valve.isDoubtful) valve.position = Position.Unknown;
      else if (valve.order === Order.Close) this.takeClosed(valve);
      valve.order = Order.None;
    }
    if (valve.order === Order.None) valve.isDoubtful = false;
    else if (isInhibited) valve.isDoubtful = true;
    if (isInhibited && valve.order === Order.None && valve.position === Position.Open) valve.position = Position.Unknown;
  }

  private takeClosed(valve: Valve): void {
    if (valve.position === Position.Open) valve.pulseEndedAt = this.tick;
    valve.position = Position.Closed;
    valve.closedAt = this.tick;
  }

  private beginStroke(index: number, valve: Valve, observation: Observation, driven: number): void {
    const order = observation.orders[index] ?? 0;
    if (order === valve.order) return;
    if (this.isInhibited(observation)) this.fail(index, 'stroke begun without power');
    const { slotCount, slotPhase, strokeTicks } = this.limits;
    const turn = slotCount * strokeTicks;
    if (slotCount > 1 && this.tick % turn !== slotPhase * strokeTicks)
      this.fail(index, `stroke outside the slot: ${this.tick % turn} of ${turn}`);
    if (order === Order.Open) this.checkOpening(index, valve, observation, driven);
    else this.checkClosing(index, valve);
    valve.order = order;
    valve.strokeAt = this.tick;
    valve.dueTicks = 0;
  }

  private checkOpening(index: number, valve: Valve, { bankMode, rowModes, stuck }: Observation, driven: number): void {
    const other = this.valves[index ^ 1] as Valve;
    const rowMode = rowModes[index >> 1] ?? 0;
    const isEnding = bankMode === BANK.shutDown || bankMode === BANK.powerLost;
    const isVent = isEnding && this.limits.isVented && rowMode === ROW.venting && index % 2 === 1;
    // In the air, pressure is only taken away.
    const isLowering = rowMode === ROW.lowering && index % 2 === 1;
    const isWork = bankMode === BANK.working && (rowMode === ROW.working || rowMode === ROW.frozen || isLowering);
    const { deadTicks, restTicks, strokesAtOnce } = this.limits;
    // One that is stuck open gets closing strokes more often; one that is stuck closed is tried now and then, and does not hinder a vent.
    const isTried = (side: Valve): boolean => this.tick - side.strokeAt >= TRIAL_RETRIES * this.limits.retryTicks;
    const isBlocked = (stuck[index] !== 0 && !isTried(valve)) || (stuck[index ^ 1] !== 0 && !isTried(other));
    if (isBlocked && !isVent) this.fail(index, 'opened in a row with a stuck valve');
    if (!isVent && !isWork) this.fail(index, `opened in bank mode ${bankMode}, row mode ${rowMode}`);
    if (valve.position !== Position.Closed) this.fail(index, `opened while ${Position[valve.position]}`);
    if (other.position !== Position.Closed) this.fail(index, `opened while the other valve is ${Position[other.position]}`);
    if (other.order !== Order.None) this.fail(index, 'opened while the other coil is driven');
    const closedFor = this.tick - Math.max(valve.closedAt, other.closedAt);
    if (closedFor < deadTicks) this.fail(index, `opened ${closedFor} ticks after a close, dead time ${deadTicks}`);
    const restedFor = this.tick - Math.max(valve.pulseEndedAt, other.pulseEndedAt);
    if (restedFor < restTicks) this.fail(index, `opened ${restedFor} ticks after a pulse, rest ${restTicks}`);
    if (strokesAtOnce > 1 && driven >= strokesAtOnce) this.fail(index, 'opening stroke in the slot reserved for closes');
    valve.position = Position.Open;
    valve.openedAt = this.tick;
    this.begun.opens += 1;
    this.counts.opens += 1;
    if (isVent) this.counts.vents += 1;
    else if (index % 2 === 1) this.counts.lowers += 1;
  }

  private checkClosing(index: number, valve: Valve): void {
    const openTicks = this.tick - valve.openedAt;
    const { minPulseTicks } = this.limits;
    if (valve.position === Position.Open && openTicks < minPulseTicks)
      this.fail(index, `pulse of ${openTicks} ticks, minimum ${minPulseTicks}`);
    if (valve.position === Position.Closed) this.counts.relatches += 1;
    this.begun.closes += 1;
    this.counts.closes += 1;
  }

  private checkWait(index: number, valve: Valve, observation: Observation): void {
    const { rows, strokeTicks, slotCount, strokesAtOnce } = this.limits;
    valve.dueTicks = this.isCloseDue(index, valve, observation) ? valve.dueTicks + 1 : 0;
    const closes = valve.position === Position.Open ? rows : 2 * rows;
    const bound = closeBound(closes, strokeTicks, slotCount, strokesAtOnce);
    if (valve.dueTicks > bound) this.fail(index, `a close of a valve ${Position[valve.position]} has waited over ${bound} ticks`);
    this.counts.longestDue = Math.max(this.counts.longestDue, valve.dueTicks);
  }

  /** Whether a closing stroke must be on its way, whatever the strategy wants. */
  private isCloseDue(index: number, valve: Valve, { bankMode, rowModes, stuck }: Observation): boolean {
    const rowMode = rowModes[index >> 1];
    if (valve.order !== Order.None || bankMode === BANK.powerLost) return false;
    // A valve that is stuck open is not closed in every tick, but it is closed again in every mode.
    if (stuck[index] === 1 && valve.position !== Position.Open) return this.tick - valve.strokeAt >= this.limits.retryTicks;
    if (valve.position === Position.Unknown) return true;
    const mayWish = [ROW.working, ROW.frozen, ROW.venting, ROW.lowering].some((mode) => mode === rowMode);
    // Scarce energy is not spent on valves that are closed already.
    const isSparing = bankMode === BANK.lowSupply || bankMode === BANK.shutDown;
    if (valve.position === Position.Closed) return !mayWish && !isSparing && this.tick - valve.strokeAt >= this.limits.relatchTicks;
    const openTicks = this.tick - valve.openedAt;
    return openTicks >= this.limits.maxPulseTicks || (openTicks >= this.limits.minPulseTicks && !mayWish);
  }
}
