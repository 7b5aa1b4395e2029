import { Belief, Order, PulseFault, Wish } from './generated/enums';
import { Coefficients, PairState, ValveState } from './generated/records';
import { countDown, countUp, countUpLong } from './time';

/*
 * A latching valve stays where its last stroke put it and cannot be read back, so all that is known of it is belief:
 *
 *   Unknown --closing stroke ends--> Closed --opening stroke begins--> Open --closing stroke ends--> Closed
 *   any --supply critical during a stroke, or while open--> Unknown
 *   Closed --the pressure says otherwise (watch.ts)--> Open; a valve that is stuck is Unknown after each closing stroke
 *
 * The interlock judges what was ordered: a valve may open only while the other one is believed closed with its coil at
 * rest. Open begins with the stroke and ends with the close's last tick, so the belief is never behind a valve that obeys.
 */

export function isIdleClosed(valve: ValveState): bool {
  return valve.belief === Belief.Closed && valve.coil === Order.None;
}

/** Moves a stroke under way on by one tick; true in the tick in which a pulse has ended. */
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
  // What does not obey may stand anywhere.
  valve.belief = valve.stuck === 0 ? Belief.Closed : Belief.Unknown;
  pair.deadTicks = <u16>max<u32>(pair.deadTicks, c.deadTicks);
  if (hasPulsed) pair.restTicks = <u16>c.restTicks;
  return hasPulsed;
}

/** Both valves on by one tick. A pulse that has ended will be learned from once the pressure has settled. */
export function advancePair(pair: PairState, supply: ValveState, back: ValveState, c: Coefficients): void {
  const hasRaised = advanceValve(supply, pair, c);
  const hasLowered = advanceValve(back, pair, c);
  if ((hasRaised || hasLowered) && pair.pulseFault === PulseFault.None) {
    pair.learnWish = hasRaised ? Wish.Raise : Wish.Lower;
    pair.settleTicks = <u16>c.settleTicks;
  }
  pair.openWish = supply.belief === Belief.Open ? Wish.Raise : back.belief === Belief.Open ? Wish.Lower : Wish.Hold;
  if (pair.openWish === Wish.Hold) pair.pulseFault = PulseFault.None;
  // Oil begins and ends to flow about when a stroke ends.
  const isOpening = supply.coil === Order.Open || back.coil === Order.Open;
  pair.flowWish = isOpening || pair.pulseFault === PulseFault.MissedOpen ? Wish.Hold : pair.openWish;
}

/** A valve that has rested closed for relatchTicks gets its closing stroke again. */
export function isRelatchDue(valve: ValveState, isSparing: bool, c: Coefficients): bool {
  return !isSparing && valve.quietTicks >= c.relatchTicks;
}

/** The stroke that a valve asks for in this tick. `isSparing`: no re-latching now. */
export function wantedStroke(valve: ValveState, other: ValveState, pair: PairState, isWished: bool, isSparing: bool, c: Coefficients): u8 {
  if (valve.coil !== Order.None) return Order.None;
  if (valve.belief === Belief.Unknown) return valve.stuck === 0 || valve.quietTicks >= c.retryTicks ? Order.Close : Order.None;
  if (valve.belief === Belief.Open) {
    const isLongEnough = valve.openTicks >= c.minPulseTicks;
    const isTooLong = valve.openTicks >= c.maxPulseTicks;
    return isTooLong || (isLongEnough && !isWished) ? Order.Close : Order.None;
  }
  if (valve.suspected !== 0) return Order.Close;
  // A re-latch that is due goes before any opening of the pair: otherwise both could be granted in the same tick.
  if (isRelatchDue(valve, isSparing, c)) return Order.Close;
  const isResting = pair.restTicks !== 0 || pair.deadTicks !== 0;
  const isOtherReady = isIdleClosed(other) && other.suspected === 0 && !isRelatchDue(other, isSparing, c);
  return isWished && isOtherReady && !isResting ? Order.Open : Order.None;
}

function ask(valve: ValveState, stroke: u8): void {
  const isSame = stroke === valve.request;
  valve.waitTicks = isSame && stroke !== Order.None ? countUp(valve.waitTicks) : 0;
  valve.request = stroke;
}

/** Turns a wish into requests to the stroke queue. */
export function orderPair(pair: PairState, supply: ValveState, back: ValveState, wish: u8, isSparing: bool, c: Coefficients): void {
  // A pulse that does not flow is ended, whatever the wish.
  const pulseFault = pair.pulseFault !== PulseFault.None;
  ask(supply, wantedStroke(supply, back, pair, wish === Wish.Raise && !pulseFault, isSparing, c));
  ask(back, wantedStroke(back, supply, pair, wish === Wish.Lower && !pulseFault, isSparing, c));
  pair.restTicks = countDown(pair.restTicks);
  pair.deadTicks = countDown(pair.deadTicks);
}

/** The queue's answer: current flows from this tick on. */
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

/** Power is failing: whatever was open or moving may be anywhere now, and no coil is driven. */
export function forgetPosition(valve: ValveState): void {
  const isMoving = valve.coil !== Order.None;
  if (isMoving || valve.belief === Belief.Open) valve.belief = Belief.Unknown;
  valve.coil = Order.None;
  valve.coilTicks = 0;
  valve.request = Order.None;
  valve.waitTicks = 0;
}
