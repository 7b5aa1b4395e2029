import { Belief, Missed, Order, Void, Watched, Wish } from './generated/enums';
import { Coefficients, ObserverState, PairState, Parameters, RowProbe, ValveState, WatchState } from './generated/records';
import { countDown } from './time';

/*
 * A stroke that does not move its valve is silent, but the pressure tells. What the pressure does besides own pulses and the
 * row's motion is drift; a cumulative sum (Page 1954, Biometrika 41:100-115) finds the moment from which it drifts as if a
 * valve stood where it should not:
 *
 *   believed    a valve that did not obey             drift per tick      sum grows by
 *   closed      supply open                           + supply step       drift − 0.4 step
 *   closed      return open                           − return step       −drift − 0.4 step
 *   raising     supply closed: own pulses overstated  − supply step       −drift − ¾ step
 *   lowering    return closed                         + return step       drift − ¾ step
 *
 * With ¾, a valve that gives only half of what is expected of it is still taken for open.
 */

/** So much of the motion's share is not sure: the linkage's ratio varies with its angle. */
const MOTION_SHARE: f32 = 0.1;
/** Shares of a valve's step that drift may have: the middle ground between standing as believed and not. */
const CLOSED_SHARE: f32 = 0.4;
const OPEN_SHARE: f32 = 0.75;
/** Row velocity from the accelerometer forgets below this, Hz, twice over: a sensor's offset or a slope must not add up. */
export const VELOCITY_HZ: f32 = 0.1;
/** Corner of the watch's low-pass on pressure and velocity, Hz: slower finds less noise, but later. */
export const WATCH_HZ: f32 = 18;
/** After a reading of the accelerometer that was in doubt, its velocity is not used for this long, s. */
export const BLIND_S: f32 = 1.5;
/** The frame's own way down stays in that velocity for this long after it has come down, s. */
export const FRAME_S: f32 = 3;
/** Leaks are looked for over this time of closed valves, s. */
export const LEAK_TIME_S: f32 = 20;
/** Nearer to the floor than this, only the upper part of the pressure's swings is seen. */
const FLOOR_MARGIN_KPA: f32 = 500;
/** Own pulses' flow counts for so much against a leak: it is not known better. */
const OWN_SHARE: f32 = 0.1;
/** Own pulses' pressure is remembered up to this: to 0.01 kPa in single precision. */
const OWN_MOST_KPA: f32 = 100000;
/** Closing strokes on suspicion for each close: one for the field's deception, one for the valve. */
const REPEATS_MOST: u8 = 2;
/**
 * A pulse that should have given this many times missedKpa by now, with less than the second share of it against it, is a real
 * one. Of a valve that gives nothing, a tenth speaks against it by then, and later a quarter.
 */
const SURE_SHARE: f32 = 8;
const AGAINST_SHARE: f32 = 0.0625;

/**
 * Velocity of the row by its accelerometer, without what is slow. After a reading in doubt it is wrong by what was not seen: it
 * forgets that sixteen times as fast at first, then ever more slowly, and is not used meanwhile.
 */
function followVelocity(w: WatchState, accelerationMps2: f32, c: Coefficients): void {
  const hurry: f32 = <f32>w.blindTicks / <f32>c.blindTicks;
  const fade = c.velocityFade * (1 + 15 * hurry * hurry);
  w.velocityMps += accelerationMps2 * c.tickS - fade * w.velocityMps;
  w.slowMps += fade * (w.velocityMps - w.slowMps);
  const knownMps: f32 = isBlind(w) ? 0 : w.velocityMps - w.slowMps;
  w.smoothMps += c.watchWeight * (knownMps - w.smoothMps);
}

/** Pressure besides own pulses, low-passed; returns its change less that of the row's motion, kPa. */
export function followDrift(w: WatchState, probe: RowProbe, isPressure: bool, isAcceleration: bool, c: Coefficients): f32 {
  w.blindTicks = isAcceleration ? countDown(w.blindTicks) : <u16>c.blindTicks;
  if (w.seen === 0) {
    w.restKpa = probe.pressureRawKpa - probe.ownKpa;
    if (w.slowKpa === 0) w.slowKpa = probe.pressureRawKpa;
  }
  w.seen = isPressure ? 1 : 0;
  followVelocity(w, probe.accelerationMps2, c);
  const changeKpa = c.watchWeight * (probe.pressureRawKpa - probe.ownKpa - w.restKpa);
  w.restKpa += changeKpa;
  w.motionKpa = (c.strokeVolumeMlPerMps * w.smoothMps) / probe.compliance;
  const driftKpa = changeKpa - w.motionKpa;
  w.stillKpa += driftKpa;
  return driftKpa;
}

/** Without a velocity against the frame, or with one that was wrong not long ago, motion and oil cannot be told apart. */
export function isBlind(w: WatchState): bool {
  return w.blindTicks !== 0 || w.standing === 0;
}

/** What can be judged in this tick. */
export function watchedOf(pair: PairState, supply: ValveState, back: ValveState, c: Coefficients): u8 {
  if (pair.flowing === Wish.Raise) return Watched.Raising;
  if (pair.flowing === Wish.Lower) return Watched.Lowering;
  // A coil that is driven again at once would make one long stroke of two.
  const isMoving = supply.coil !== Order.None || back.coil !== Order.None || min<u32>(supply.quietTicks, back.quietTicks) <= c.strokeTicks;
  return isMoving || pair.openWish !== Wish.Hold ? Watched.Nothing : Watched.Closed;
}

/** Adds to both sums, and keeps where the pressure was when each began to grow. */
export function addDrift(w: WatchState, driftKpa: f32, riseAllowedKpa: f32, fallAllowedKpa: f32): void {
  const doubtKpa = MOTION_SHARE * abs<f32>(w.motionKpa);
  w.riseKpa = max<f32>(0, w.riseKpa + driftKpa - riseAllowedKpa - doubtKpa);
  w.fallKpa = max<f32>(0, w.fallKpa - driftKpa - fallAllowedKpa - doubtKpa);
  if (w.riseKpa === 0) w.riseFromKpa = w.restKpa;
  if (w.fallKpa === 0) w.fallFromKpa = w.restKpa;
}

/** `fromKpa`: the rest before this tick. */
function startWatching(w: WatchState, watched: u8, fromKpa: f32): void {
  w.watched = watched;
  w.riseKpa = 0;
  w.fallKpa = 0;
  w.riseFromKpa = fromKpa;
  w.fallFromKpa = fromKpa;
  w.creditKpa = 0;
}

/**
 * Own pulses of one direction add up where a leak works against them. Before single precision runs out of digits they are
 * counted from 0 again, and all that is reckoned from them moves along.
 */
function keepInReach(o: ObserverState, w: WatchState, probe: RowProbe, c: Coefficients): void {
  if (abs<f32>(o.ownKpa) < OWN_MOST_KPA) return;
  const shiftKpa = o.ownKpa;
  const shiftN = c.areaNPerKpa * shiftKpa;
  o.ownKpa = 0;
  probe.ownKpa = 0;
  o.pressure1N += shiftN;
  o.pressure2N += shiftN;
  o.pressure3N += shiftN;
  o.pressure4N += shiftN;
  o.pressure5N += shiftN;
  w.restKpa += shiftKpa;
  w.riseFromKpa += shiftKpa;
  w.fallFromKpa += shiftKpa;
}

/** Own pulses gave more or less than was thought: what is left of the pressure without them is as it was before. */
function correctOwn(o: ObserverState, w: WatchState, kpa: f32, restKpa: f32): void {
  o.ownKpa += kpa;
  w.restKpa = restKpa;
}

/** A closing stroke did not close its valve: it counts as open, which closes it again. */
function foundOpen(pair: PairState, valve: ValveState, tries: u32, c: Coefficients): void {
  pair.isVoid = Void.Flowing;
  valve.belief = Belief.Open;
  valve.openTicks = <u16>c.minPulseTicks;
  valve.missedCloses += 1;
  if (valve.missedCloses >= tries) valve.stuck = 1;
}

/** An opening stroke did not open its valve: the pulse is ended, and may be tried again. */
function foundClosed(pair: PairState, valve: ValveState, tries: u32): void {
  pair.isVoid = Void.Dry;
  valve.missedOpens += 1;
  if (valve.missedOpens >= tries) valve.stuck = 1;
}

/**
 * What must speak against a valve. What a rough field did once it may do again: each miss in a row must be twice as plain as the
 * one before. Blind, the limit is far beyond what a field does, and doubled it would be beyond what a rail can give.
 */
function limitOf(w: WatchState, missed: u8, p: Parameters): f32 {
  return isBlind(w) ? p.missedBlindKpa : p.missedKpa * <f32>(1 << min<u32>(missed, 8));
}

/** A valve is watched for a while after its closing stroke; of a stuck one nothing more is to be learned. */
function isWatched(valve: ValveState, c: Coefficients): bool {
  return valve.quietTicks < c.watchTicks && valve.stuck === 0;
}

/** Nothing spoke against a valve for as long as it was watched: it is closed, and earlier misses are over. */
function endWatch(valve: ValveState, c: Coefficients): void {
  if (valve.quietTicks === c.watchTicks && valve.belief === Belief.Closed) valve.missedCloses = 0;
}

/** Motion may do what an open valve does, but a stroke more is cheaper than a valve left open. */
function repeatClose(valve: ValveState, c: Coefficients): void {
  if (valve.suspected !== 0 || valve.repeats >= REPEATS_MOST || !isWatched(valve, c)) return;
  valve.repeats += 1;
  valve.suspected = 1;
}

/**
 * While both valves are believed closed: has one of them stayed open after its last closing stroke? What has flowed since is
 * the change of the rest and what the low-pass, behind by 1/watchWeight ticks, has not shown yet.
 */
function judgeClosed(
  w: WatchState,
  o: ObserverState,
  pair: PairState,
  supply: ValveState,
  back: ValveState,
  probe: RowProbe,
  p: Parameters,
  c: Coefficients,
): void {
  if (w.riseKpa > limitOf(w, supply.missedCloses, p) && isWatched(supply, c)) {
    correctOwn(o, w, w.restKpa - w.riseFromKpa + probe.supplyStepKpa / c.watchWeight, w.riseFromKpa);
    foundOpen(pair, supply, p.strokeTries, c);
    w.missed = Missed.Supply;
  } else if (w.fallKpa > limitOf(w, back.missedCloses, p) && isWatched(back, c)) {
    correctOwn(o, w, w.restKpa - w.fallFromKpa - probe.returnStepKpa / c.watchWeight, w.fallFromKpa);
    foundOpen(pair, back, p.strokeTries, c);
    w.missed = Missed.Return;
  } else if (isBlind(w)) {
    if (w.riseKpa > p.suspectKpa) repeatClose(supply, c);
    if (w.fallKpa > p.suspectKpa) repeatClose(back, c);
  }
}

/** While a valve is believed open: does the pressure follow? `stepKpa`: what it is thought to give in a tick, with its sign. */
function judgeOpen(
  w: WatchState,
  o: ObserverState,
  pair: PairState,
  valve: ValveState,
  stepKpa: f32,
  sumKpa: f32,
  p: Parameters,
  c: Coefficients,
): void {
  const limitKpa = limitOf(w, valve.missedOpens, p);
  w.creditKpa += stepKpa;
  if (pair.isVoid !== 0 || valve.stuck !== 0) return;
  // The sum knows only what the low-pass has shown of the pulse yet.
  const shownKpa = abs<f32>(w.creditKpa) - abs<f32>(stepKpa) / c.watchWeight;
  if (sumKpa > limitKpa) {
    correctOwn(o, w, -w.creditKpa, stepKpa > 0 ? w.fallFromKpa : w.riseFromKpa);
    foundClosed(pair, valve, p.strokeTries);
    w.missed = stepKpa > 0 ? Missed.Supply : Missed.Return;
  } else if (shownKpa > SURE_SHARE * p.missedKpa && sumKpa < AGAINST_SHARE * shownKpa) valve.missedOpens = 0;
}

/** Slow means: of the oil that own pulses move, and of the flow while both valves stand closed, which is what leaks. */
function followLeak(w: WatchState, driftKpa: f32, pair: PairState, isAtRest: bool, probe: RowProbe, c: Coefficients): void {
  const ownKpa = pair.flowing === Wish.Raise ? probe.supplyStepKpa : pair.flowing === Wish.Lower ? probe.returnStepKpa : 0;
  const toMlPerMin = probe.compliance * c.mlPerTickToMin;
  // Gas that was compressed fast is warm, and lets pressure go as it cools; that is no oil.
  w.slowKpa += c.gasWeight * (probe.pressureRawKpa - w.slowKpa);
  const warmKpa = c.gasShare * c.gasWeight * (probe.pressureRawKpa - w.slowKpa);
  w.ownMlPerMin += c.leakWeight * (ownKpa * toMlPerMin - w.ownMlPerMin);
  if (isAtRest) w.leakMlPerMin += c.leakWeight * ((driftKpa + warmKpa) * toMlPerMin - w.leakMlPerMin);
}

export function isLeaking(w: WatchState, p: Parameters): bool {
  return abs<f32>(w.leakMlPerMin) > p.leakMlPerMin + OWN_SHARE * w.ownMlPerMin;
}

/**
 * One tick of the watch over a row's valves. `isTelling`: pressure and rail may be believed, and the pressure is where the
 * accumulator works. `isStanding`: the frame has been down for long enough; while it moves, a row's own velocity says nothing of
 * its motion against the frame.
 */
export function watchStrokes(
  w: WatchState,
  o: ObserverState,
  pair: PairState,
  supply: ValveState,
  back: ValveState,
  probe: RowProbe,
  isPressure: bool,
  isAcceleration: bool,
  isTelling: bool,
  isStanding: bool,
  p: Parameters,
  c: Coefficients,
): void {
  w.missed = Missed.None;
  endWatch(supply, c);
  endWatch(back, c);
  keepInReach(o, w, probe, c);
  const wasBlind = isBlind(w);
  w.standing = isStanding ? 1 : 0;
  const fromKpa = w.restKpa;
  const driftKpa = followDrift(w, probe, isPressure, isAcceleration, c);
  const watched = isPressure && isTelling ? watchedOf(pair, supply, back, c) : Watched.Nothing;
  // What motion has added up while it was not known must not count once it is.
  if (watched !== w.watched || wasBlind !== isBlind(w)) startWatching(w, watched, fromKpa);
  const isObeyed = isStanding && supply.stuck === 0 && back.stuck === 0;
  const isAtRest =
    watched === Watched.Closed &&
    isObeyed &&
    min<u32>(supply.quietTicks, back.quietTicks) > c.settleTicks &&
    w.slowKpa > c.floorKpa + FLOOR_MARGIN_KPA;
  followLeak(w, driftKpa, pair, isAtRest, probe, c);
  const supplyKpa = probe.supplyStepKpa;
  const returnKpa = probe.returnStepKpa;
  if (watched === Watched.Closed) {
    addDrift(w, driftKpa, CLOSED_SHARE * supplyKpa, CLOSED_SHARE * returnKpa);
    judgeClosed(w, o, pair, supply, back, probe, p, c);
  } else if (watched !== Watched.Nothing) {
    addDrift(w, driftKpa, OPEN_SHARE * returnKpa, OPEN_SHARE * supplyKpa);
    if (watched === Watched.Raising) judgeOpen(w, o, pair, supply, supplyKpa, w.fallKpa, p, c);
    else judgeOpen(w, o, pair, back, -returnKpa, w.riseKpa, p, c);
  }
  probe.riseKpa = w.riseKpa;
  probe.fallKpa = w.fallKpa;
  probe.leakMlPerMin = w.leakMlPerMin;
}
