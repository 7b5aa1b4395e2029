import { Belief, Order, Stuck, Wish } from './generated/enums';
import { Coefficients, PairState, ValveState } from './generated/records';
import { Row } from './row-records';
import { countDown, countUp, countUpLong } from './time';

/*
 * A latching valve stays where its last stroke put it, and its position cannot be read back: all that is known is a belief.
 *
 *   Unknown --closing stroke ends--> Closed --opening stroke begins--> Open --closing stroke ends--> Closed
 *   any --power lost and no reservoir to pay for a close, during a stroke or while open--> Unknown
 *   any --found stuck open (detector.ts)--> Unknown after each closing stroke, until one of them proves to have closed it
 *
 * The interlock uses what was ordered: a valve may open only while the other one is believed closed and its coil is off. Open
 * begins with the first tick of the stroke and ends with the last tick of the close, so a valve that obeys is never open while
 * it is believed closed.
 */

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
  valve.belief = valve.stuck === Stuck.Open ? Belief.Unknown : Belief.Closed;
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
  if (hasRaised || hasLowered) {
    pair.learnWish = hasRaised ? Wish.Raise : Wish.Lower;
    pair.settleTicks = <u16>c.settleTicks;
  }
  pair.openWish = supply.belief === Belief.Open ? Wish.Raise : returnValve.belief === Belief.Open ? Wish.Lower : Wish.Hold;
  // Oil starts and stops flowing at about the end of a stroke.
  const isOpening = supply.coil === Order.Open || returnValve.coil === Order.Open;
  pair.flowWish = isOpening ? Wish.Hold : pair.openWish;
}

/** A valve that has been closed for relatchTicks gets another closing stroke. `isSaving`: not now, energy is short. */
export function isRelatchDue(valve: ValveState, isSaving: bool, c: Coefficients): bool {
  return !isSaving && valve.quietTicks >= c.relatchTicks;
}

/** Returns the stroke that a valve requests in this tick. */
export function requestOf(valve: ValveState, other: ValveState, pair: PairState, isWished: bool, isSaving: bool, c: Coefficients): u8 {
  if (valve.coil !== Order.None) return Order.None;
  if (valve.belief === Belief.Unknown) return valve.stuck !== Stuck.Open || valve.quietTicks >= c.retryTicks ? Order.Close : Order.None;
  if (valve.belief === Belief.Open) {
    const isLongEnough = valve.openTicks >= c.minPulseTicks;
    const isTooLong = valve.openTicks >= c.maxPulseTicks;
    return isTooLong || (isLongEnough && !isWished) ? Order.Close : Order.None;
  }
  // A coil is off for a tick between two strokes: otherwise they would be one.
  if (valve.suspected !== 0) return valve.quietTicks > c.strokeTicks ? Order.Close : Order.None;
  // A re-latch that is due precedes any opening of the pair: otherwise both could be granted in the same tick.
  if (isRelatchDue(valve, isSaving, c)) return Order.Close;
  if (!isWished) return Order.None;
  const isResting = pair.restTicks !== 0 || pair.deadTicks !== 0;
  const isOtherReady = isIdleClosed(other) && other.suspected === 0 && !isRelatchDue(other, isSaving, c);
  return isOtherReady && !isResting ? Order.Open : Order.None;
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
  // A pulse that seems to pass no oil ends, and no other begins before it has been judged.
  const isFaulty = pair.suspectPulse !== 0;
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
    valve.repeats = 0;
  }
  valve.suspected = 0;
  valve.coil = valve.request;
  valve.coilTicks = <u16>c.strokeTicks;
  valve.request = Order.None;
  valve.waitTicks = 0;
  valve.quietTicks = 0;
}

/**
 * Power is lost, and no further stroke can be paid: a valve that is open may be anywhere once there is power again. A stroke in
 * progress stops with the supply; on a reservoir it is completed, but the voltage may have been too low to move the valve.
 */
export function forgetPosition(valve: ValveState, hasReservoir: bool): void {
  const isMoving = valve.coil !== Order.None;
  valve.request = Order.None;
  valve.waitTicks = 0;
  if (isMoving && hasReservoir) {
    valve.suspected = 1;
    return;
  }
  if (isMoving || valve.belief === Belief.Open) valve.belief = Belief.Unknown;
  valve.coil = Order.None;
  valve.coilTicks = 0;
}

/** While power is lost, the reservoir is not spent on a valve that is stuck open, which has already missed strokeTries strokes. */
export function withdrawStuck(valve: ValveState): void {
  if (valve.stuck === Stuck.Open) setRequest(valve, Order.None);
}

/** A closing stroke may not have closed its valve: it is repeated. */
export function repeatClose(valve: ValveState): void {
  if (valve.suspected !== 0) return;
  valve.repeats = countUp(valve.repeats);
  valve.suspected = 1;
}

/** No pulse begins in this tick, because the last stroke has not been judged yet. */
export function holdPulses(pair: PairState): void {
  pair.restTicks = max<u16>(pair.restTicks, 2);
}

/** The valve stays open whatever strokes it gets. */
export function setStuckOpen(valve: ValveState): void {
  valve.stuck = Stuck.Open;
  valve.belief = Belief.Unknown;
}

/** A pulse has passed no oil. `ml`: what it should have passed; `proofMl`: how much of it in a row proves that the valve is stuck. */
export function countMissedOpen(valve: ValveState, ml: f32, tries: u32, proofMl: f32): void {
  valve.missedOpens = min<u8>(valve.missedOpens + 1, 255 - 1);
  valve.missedMl += ml;
  if (valve.missedOpens >= tries && valve.missedMl >= proofMl) valve.stuck = Stuck.Closed;
}

/** A pulse has passed oil: the valve moves. */
export function countOpen(valve: ValveState): void {
  valve.missedOpens = 0;
  valve.missedMl = 0;
  if (valve.stuck === Stuck.Closed) valve.stuck = Stuck.None;
}

/** A closing stroke has closed a valve that was stuck open. */
export function setUnstuck(valve: ValveState): void {
  valve.stuck = Stuck.None;
  valve.belief = Belief.Closed;
}

/** A valve that does not open gets a trial pulse after this many retry intervals: an opening stroke costs more than a closing one. */
const TRIAL_RETRIES: u32 = 8;

/** True if a valve that is stuck closed may try a pulse, or is trying one. */
export function isTrial(valve: ValveState, c: Coefficients): bool {
  return valve.stuck === Stuck.Closed && (valve.belief === Belief.Open || valve.quietTicks >= TRIAL_RETRIES * c.retryTicks);
}
