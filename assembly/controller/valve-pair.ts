import { Belief, Order, PulseFault, Wish } from './generated/enums';
import { Coefficients, PairState, ValveState } from './generated/records';
import { Row } from './row-records';
import { countDown, countUp, countUpLong } from './time';

/*
 * A latching valve stays where its last stroke put it, and its position cannot be read back: all that is known is a belief.
 *
 *   Unknown --closing stroke ends--> Closed --opening stroke begins--> Open --closing stroke ends--> Closed
 *   any --supply critical during a stroke, or while open--> Unknown
 *   Closed --missed close found (detector.ts)--> Open; a stuck valve is Unknown after each closing stroke
 *
 * The interlock uses what was ordered: a valve may open only while the other one is believed closed and its coil is off. Open
 * begins with the first tick of the stroke and ends with the last tick of the close, so a valve that obeys is never open while
 * it is believed closed.
 */

/** Maximum repeats on suspicion of each closing stroke: one because the field may look like an open valve, one for the valve. */
const REPEATS_MAX: u8 = 2;

export function isIdleClosed(valve: ValveState): bool {
  return valve.belief === Belief.Closed && valve.coil === Order.None;
}

/** Advances a stroke by one tick. Returns true in the tick in which a pulse has ended. */
export function advanceValve(valve: ValveState, pair: PairState, c: Coefficients): bool {
  valve.quietTicks = countUpLong(valve.quietTicks);
  if (valve.belief === Belief.Open && valve.coil !== Order.Close) valve.openTicks = countUp(valve.openTicks);
  if (valve.coil === Order.None) return false;
  valve.coilTicks = countDown(valve.coilTicks);
  if (valve.coilTicks !== 0) return false;

  const hasPulsed = valve.coil === Order.Close && valve.belief === Belief.Open;
  const hasClosed = valve.coil === Order.Close;
  valve.coil = Order.None;
  if (!hasClosed) return false;
  // A stuck valve may be anywhere.
  valve.belief = valve.stuck === 0 ? Belief.Closed : Belief.Unknown;
  pair.deadTicks = <u16>max<u32>(pair.deadTicks, c.deadTicks);
  if (hasPulsed) pair.restTicks = <u16>c.restTicks;
  return hasPulsed;
}

/** Advances both valves by one tick. The gain is learned from a pulse that has ended once the pressure has settled. */
export function advancePair(row: Row, c: Coefficients): void {
  const pair = row.pair;
  const supply = row.supply;
  const returnValve = row.returnValve;
  const hasRaised = advanceValve(supply, pair, c);
  const hasLowered = advanceValve(returnValve, pair, c);
  if ((hasRaised || hasLowered) && pair.pulseFault === PulseFault.None) {
    pair.learnWish = hasRaised ? Wish.Raise : Wish.Lower;
    pair.settleTicks = <u16>c.settleTicks;
  }
  pair.openWish = supply.belief === Belief.Open ? Wish.Raise : returnValve.belief === Belief.Open ? Wish.Lower : Wish.Hold;
  if (pair.openWish === Wish.Hold) pair.pulseFault = PulseFault.None;
  // Oil starts and stops flowing at about the end of a stroke.
  const isOpening = supply.coil === Order.Open || returnValve.coil === Order.Open;
  pair.flowWish = isOpening || pair.pulseFault === PulseFault.MissedOpen ? Wish.Hold : pair.openWish;
}

/** A valve that has been closed for relatchTicks gets another closing stroke. `isSaving`: not now, energy is short. */
export function isRelatchDue(valve: ValveState, isSaving: bool, c: Coefficients): bool {
  return !isSaving && valve.quietTicks >= c.relatchTicks;
}

/** Returns the stroke that a valve requests in this tick. */
export function requestOf(valve: ValveState, other: ValveState, pair: PairState, isWished: bool, isSaving: bool, c: Coefficients): u8 {
  if (valve.coil !== Order.None) return Order.None;
  if (valve.belief === Belief.Unknown) return valve.stuck === 0 || valve.quietTicks >= c.retryTicks ? Order.Close : Order.None;
  if (valve.belief === Belief.Open) {
    const isLongEnough = valve.openTicks >= c.minPulseTicks;
    const isTooLong = valve.openTicks >= c.maxPulseTicks;
    return isTooLong || (isLongEnough && !isWished) ? Order.Close : Order.None;
  }
  if (valve.suspected !== 0) return Order.Close;
  // A re-latch that is due precedes any opening of the pair: otherwise both could be granted in the same tick.
  if (isRelatchDue(valve, isSaving, c)) return Order.Close;
  const isResting = pair.restTicks !== 0 || pair.deadTicks !== 0;
  const isOtherReady = isIdleClosed(other) && other.suspected === 0 && !isRelatchDue(other, isSaving, c);
  return isWished && isOtherReady && !isResting ? Order.Open : Order.None;
}

function setRequest(valve: ValveState, stroke: u8): void {
  const isSame = stroke === valve.request;
  valve.waitTicks = isSame && stroke !== Order.None ? countUp(valve.waitTicks) : 0;
  valve.request = stroke;
}

/** Turns a wish into requests to the stroke queue. */
export function orderPair(row: Row, wish: u8, isSaving: bool, c: Coefficients): void {
  const pair = row.pair;
  const supply = row.supply;
  const returnValve = row.returnValve;
  // A pulse with a missed stroke ends, whatever the wish is.
  const isFaulty = pair.pulseFault !== PulseFault.None;
  setRequest(supply, requestOf(supply, returnValve, pair, wish === Wish.Raise && !isFaulty, isSaving, c));
  setRequest(returnValve, requestOf(returnValve, supply, pair, wish === Wish.Lower && !isFaulty, isSaving, c));
  pair.restTicks = countDown(pair.restTicks);
  pair.deadTicks = countDown(pair.deadTicks);
}

/** Starts the requested stroke: the coil is driven from this tick on. */
export function beginStroke(valve: ValveState, c: Coefficients): void {
  assert(valve.coil === Order.None);
  assert(valve.request !== Order.None);
  if (valve.request === Order.Open) {
    assert(valve.belief === Belief.Closed);
    valve.belief = Belief.Open;
    valve.openTicks = 0;
    valve.missedCloses = 0;
    valve.repeats = 0;
  }
  valve.suspected = 0;
  valve.coil = valve.request;
  valve.coilTicks = <u16>c.strokeTicks;
  valve.request = Order.None;
  valve.waitTicks = 0;
  valve.quietTicks = 0;
}

/** Power is failing: a valve that was open or moving may be anywhere now, and no coil is driven. */
export function forgetPosition(valve: ValveState): void {
  const isMoving = valve.coil !== Order.None;
  if (isMoving || valve.belief === Belief.Open) valve.belief = Belief.Unknown;
  valve.coil = Order.None;
  valve.coilTicks = 0;
  valve.request = Order.None;
  valve.waitTicks = 0;
}

/** A closing stroke did not close its valve: it is believed open, so it is closed again. Stuck after `tries` misses in a row. */
export function setMissedClose(pair: PairState, valve: ValveState, tries: u32, c: Coefficients): void {
  pair.pulseFault = PulseFault.MissedClose;
  valve.belief = Belief.Open;
  valve.openTicks = <u16>c.minPulseTicks;
  valve.missedCloses += 1;
  if (valve.missedCloses >= tries) valve.stuck = 1;
}

/** An opening stroke did not open its valve: the pulse ends, and may be tried again. Stuck after `tries` misses in a row. */
export function setMissedOpen(pair: PairState, valve: ValveState, tries: u32): void {
  pair.pulseFault = PulseFault.MissedOpen;
  valve.missedOpens += 1;
  if (valve.missedOpens >= tries) valve.stuck = 1;
}

/** A closing stroke may not have closed its valve: the stroke is repeated, a limited number of times. */
export function repeatClose(valve: ValveState): void {
  if (valve.suspected !== 0 || valve.repeats >= REPEATS_MAX) return;
  valve.repeats += 1;
  valve.suspected = 1;
}
