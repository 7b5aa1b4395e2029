import { Belief, DetectorMode, MissedValve, Order, PulseFault, Wish } from './generated/enums';
import { Coefficients, DetectorState, PairState, Parameters, PredictorState, RowProbe, ValveState } from './generated/records';
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
function followVelocity(w: DetectorState, accelerationMps2: f32, c: Coefficients): void {
  const hurry: f32 = <f32>w.noVelocityTicks / <f32>c.noVelocityTicks;
  const fade = c.velocityDecay * (1 + 15 * hurry * hurry);
  w.velocityMps += accelerationMps2 * c.tickS - fade * w.velocityMps;
  w.slowMps += fade * (w.velocityMps - w.slowMps);
  const knownMps: f32 = isBlind(w) ? 0 : w.velocityMps - w.slowMps;
  w.smoothMps += c.detectorWeight * (knownMps - w.smoothMps);
}

/** Pressure besides own pulses, low-passed; returns its change less that of the row's motion, kPa. */
export function followDrift(w: DetectorState, probe: RowProbe, isPressure: bool, isAcceleration: bool, c: Coefficients): f32 {
  w.noVelocityTicks = isAcceleration ? countDown(w.noVelocityTicks) : <u16>c.noVelocityTicks;
  if (w.hasPressure === 0) {
    w.residualKpa = probe.pressureRawKpa - probe.meteredKpa;
    if (w.slowKpa === 0) w.slowKpa = probe.pressureRawKpa;
  }
  w.hasPressure = isPressure ? 1 : 0;
  followVelocity(w, probe.accelerationMps2, c);
  const changeKpa = c.detectorWeight * (probe.pressureRawKpa - probe.meteredKpa - w.residualKpa);
  w.residualKpa += changeKpa;
  w.motionKpa = (c.strokeVolumeMlPerMps * w.smoothMps) / probe.compliance;
  const driftKpa = changeKpa - w.motionKpa;
  w.residualStepKpa += driftKpa;
  return driftKpa;
}

/** Without a velocity against the frame, or with one that was wrong not long ago, motion and oil cannot be told apart. */
export function isBlind(w: DetectorState): bool {
  return w.noVelocityTicks !== 0 || w.frameSettled === 0;
}

/** What can be judged in this tick. */
export function watchedOf(pair: PairState, supply: ValveState, back: ValveState, c: Coefficients): u8 {
  if (pair.flowWish === Wish.Raise) return DetectorMode.Raising;
  if (pair.flowWish === Wish.Lower) return DetectorMode.Lowering;
  // A coil that is driven again at once would make one long stroke of two.
  const isMoving = supply.coil !== Order.None || back.coil !== Order.None || min<u32>(supply.quietTicks, back.quietTicks) <= c.strokeTicks;
  return isMoving || pair.openWish !== Wish.Hold ? DetectorMode.Off : DetectorMode.Closed;
}

/** Adds to both sums, and keeps where the pressure was when each began to grow. */
export function addDrift(w: DetectorState, driftKpa: f32, riseAllowedKpa: f32, fallAllowedKpa: f32): void {
  const doubtKpa = MOTION_SHARE * abs<f32>(w.motionKpa);
  w.cusumUpKpa = max<f32>(0, w.cusumUpKpa + driftKpa - riseAllowedKpa - doubtKpa);
  w.cusumDownKpa = max<f32>(0, w.cusumDownKpa - driftKpa - fallAllowedKpa - doubtKpa);
  if (w.cusumUpKpa === 0) w.cusumUpFromKpa = w.residualKpa;
  if (w.cusumDownKpa === 0) w.cusumDownFromKpa = w.residualKpa;
}

/** `fromKpa`: the rest before this tick. */
function startWatching(w: DetectorState, watched: u8, fromKpa: f32): void {
  w.mode = watched;
  w.cusumUpKpa = 0;
  w.cusumDownKpa = 0;
  w.cusumUpFromKpa = fromKpa;
  w.cusumDownFromKpa = fromKpa;
  w.pulseKpa = 0;
}

/**
 * Own pulses of one direction add up where a leak works against them. Before single precision runs out of digits they are
 * counted from 0 again, and all that is reckoned from them moves along.
 */
function keepInReach(o: PredictorState, w: DetectorState, probe: RowProbe, c: Coefficients): void {
  if (abs<f32>(o.meteredKpa) < OWN_MOST_KPA) return;
  const shiftKpa = o.meteredKpa;
  const shiftN = c.areaNPerKpa * shiftKpa;
  o.meteredKpa = 0;
  probe.meteredKpa = 0;
  o.pressure1N += shiftN;
  o.pressure2N += shiftN;
  o.pressure3N += shiftN;
  o.pressure4N += shiftN;
  o.pressure5N += shiftN;
  w.residualKpa += shiftKpa;
  w.cusumUpFromKpa += shiftKpa;
  w.cusumDownFromKpa += shiftKpa;
}

/** Own pulses gave more or less than was thought: what is left of the pressure without them is as it was before. */
function correctOwn(o: PredictorState, w: DetectorState, kpa: f32, residualKpa: f32): void {
  o.meteredKpa += kpa;
  w.residualKpa = residualKpa;
}

/** A closing stroke did not close its valve: it counts as open, which closes it again. */
function foundOpen(pair: PairState, valve: ValveState, tries: u32, c: Coefficients): void {
  pair.pulseFault = PulseFault.MissedClose;
  valve.belief = Belief.Open;
  valve.openTicks = <u16>c.minPulseTicks;
  valve.missedCloses += 1;
  if (valve.missedCloses >= tries) valve.stuck = 1;
}

/** An opening stroke did not open its valve: the pulse is ended, and may be tried again. */
function foundClosed(pair: PairState, valve: ValveState, tries: u32): void {
  pair.pulseFault = PulseFault.MissedOpen;
  valve.missedOpens += 1;
  if (valve.missedOpens >= tries) valve.stuck = 1;
}

/**
 * What must speak against a valve. What a rough field did once it may do again: each miss in a row must be twice as plain as the
 * one before. Blind, the limit is far beyond what a field does, and doubled it would be beyond what a rail can give.
 */
function limitOf(w: DetectorState, missed: u8, p: Parameters): f32 {
  return isBlind(w) ? p.missedNoAccelKpa : p.missedKpa * <f32>(1 << min<u32>(missed, 8));
}

/** A valve is watched for a while after its closing stroke; of a stuck one nothing more is to be learned. */
function isWatched(valve: ValveState, c: Coefficients): bool {
  return valve.quietTicks < c.missedWindowTicks && valve.stuck === 0;
}

/** Nothing spoke against a valve for as long as it was watched: it is closed, and earlier misses are over. */
function endWatch(valve: ValveState, c: Coefficients): void {
  if (valve.quietTicks === c.missedWindowTicks && valve.belief === Belief.Closed) valve.missedCloses = 0;
}

/** Motion may do what an open valve does, but a stroke more is cheaper than a valve left open. */
function repeatClose(valve: ValveState, c: Coefficients): void {
  if (valve.suspected !== 0 || valve.repeats >= REPEATS_MOST || !isWatched(valve, c)) return;
  valve.repeats += 1;
  valve.suspected = 1;
}

/**
 * While both valves are believed closed: has one of them stayed open after its last closing stroke? What has flowed since is
 * the change of the rest and what the low-pass, behind by 1/detectorWeight ticks, has not shown yet.
 */
function judgeClosed(
  w: DetectorState,
  o: PredictorState,
  pair: PairState,
  supply: ValveState,
  back: ValveState,
  probe: RowProbe,
  p: Parameters,
  c: Coefficients,
): void {
  if (w.cusumUpKpa > limitOf(w, supply.missedCloses, p) && isWatched(supply, c)) {
    correctOwn(o, w, w.residualKpa - w.cusumUpFromKpa + probe.supplyStepKpa / c.detectorWeight, w.cusumUpFromKpa);
    foundOpen(pair, supply, p.strokeTries, c);
    w.missedValve = MissedValve.Supply;
  } else if (w.cusumDownKpa > limitOf(w, back.missedCloses, p) && isWatched(back, c)) {
    correctOwn(o, w, w.residualKpa - w.cusumDownFromKpa - probe.returnStepKpa / c.detectorWeight, w.cusumDownFromKpa);
    foundOpen(pair, back, p.strokeTries, c);
    w.missedValve = MissedValve.Return;
  } else if (isBlind(w)) {
    if (w.cusumUpKpa > p.suspectKpa) repeatClose(supply, c);
    if (w.cusumDownKpa > p.suspectKpa) repeatClose(back, c);
  }
}

/** While a valve is believed open: does the pressure follow? `stepKpa`: what it is thought to give in a tick, with its sign. */
function judgeOpen(
  w: DetectorState,
  o: PredictorState,
  pair: PairState,
  valve: ValveState,
  stepKpa: f32,
  sumKpa: f32,
  p: Parameters,
  c: Coefficients,
): void {
  const limitKpa = limitOf(w, valve.missedOpens, p);
  w.pulseKpa += stepKpa;
  if (pair.pulseFault !== 0 || valve.stuck !== 0) return;
  // The sum knows only what the low-pass has shown of the pulse yet.
  const shownKpa = abs<f32>(w.pulseKpa) - abs<f32>(stepKpa) / c.detectorWeight;
  if (sumKpa > limitKpa) {
    correctOwn(o, w, -w.pulseKpa, stepKpa > 0 ? w.cusumDownFromKpa : w.cusumUpFromKpa);
    foundClosed(pair, valve, p.strokeTries);
    w.missedValve = stepKpa > 0 ? MissedValve.Supply : MissedValve.Return;
  } else if (shownKpa > SURE_SHARE * p.missedKpa && sumKpa < AGAINST_SHARE * shownKpa) valve.missedOpens = 0;
}

/** Slow means: of the oil that own pulses move, and of the flow while both valves stand closed, which is what leaks. */
function followLeak(w: DetectorState, driftKpa: f32, pair: PairState, isAtRest: bool, probe: RowProbe, c: Coefficients): void {
  const meteredKpa = pair.flowWish === Wish.Raise ? probe.supplyStepKpa : pair.flowWish === Wish.Lower ? probe.returnStepKpa : 0;
  const toMlPerMin = probe.compliance * c.mlPerTickToMin;
  // Gas that was compressed fast is warm, and lets pressure go as it cools; that is no oil.
  w.slowKpa += c.gasWeight * (probe.pressureRawKpa - w.slowKpa);
  const warmKpa = c.gasShare * c.gasWeight * (probe.pressureRawKpa - w.slowKpa);
  w.meteredMlPerMin += c.leakWeight * (meteredKpa * toMlPerMin - w.meteredMlPerMin);
  if (isAtRest) w.leakMlPerMin += c.leakWeight * ((driftKpa + warmKpa) * toMlPerMin - w.leakMlPerMin);
}

export function isLeaking(w: DetectorState, p: Parameters): bool {
  return abs<f32>(w.leakMlPerMin) > p.leakMlPerMin + OWN_SHARE * w.meteredMlPerMin;
}

/**
 * One tick of the watch over a row's valves. `isTelling`: pressure and rail may be believed, and the pressure is where the
 * accumulator works. `isStanding`: the frame has been down for long enough; while it moves, a row's own velocity says nothing of
 * its motion against the frame.
 */
export function watchStrokes(
  w: DetectorState,
  o: PredictorState,
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
  w.missedValve = MissedValve.None;
  endWatch(supply, c);
  endWatch(back, c);
  keepInReach(o, w, probe, c);
  const wasBlind = isBlind(w);
  w.frameSettled = isStanding ? 1 : 0;
  const fromKpa = w.residualKpa;
  const driftKpa = followDrift(w, probe, isPressure, isAcceleration, c);
  const watched = isPressure && isTelling ? watchedOf(pair, supply, back, c) : DetectorMode.Off;
  // What motion has added up while it was not known must not count once it is.
  if (watched !== w.mode || wasBlind !== isBlind(w)) startWatching(w, watched, fromKpa);
  const isObeyed = isStanding && supply.stuck === 0 && back.stuck === 0;
  const isAtRest =
    watched === DetectorMode.Closed &&
    isObeyed &&
    min<u32>(supply.quietTicks, back.quietTicks) > c.settleTicks &&
    w.slowKpa > c.floorKpa + FLOOR_MARGIN_KPA;
  followLeak(w, driftKpa, pair, isAtRest, probe, c);
  const supplyKpa = probe.supplyStepKpa;
  const returnKpa = probe.returnStepKpa;
  if (watched === DetectorMode.Closed) {
    addDrift(w, driftKpa, CLOSED_SHARE * supplyKpa, CLOSED_SHARE * returnKpa);
    judgeClosed(w, o, pair, supply, back, probe, p, c);
  } else if (watched !== DetectorMode.Off) {
    addDrift(w, driftKpa, OPEN_SHARE * returnKpa, OPEN_SHARE * supplyKpa);
    if (watched === DetectorMode.Raising) judgeOpen(w, o, pair, supply, supplyKpa, w.cusumDownKpa, p, c);
    else judgeOpen(w, o, pair, back, -returnKpa, w.cusumUpKpa, p, c);
  }
  probe.cusumUpKpa = w.cusumUpKpa;
  probe.cusumDownKpa = w.cusumDownKpa;
  probe.leakMlPerMin = w.leakMlPerMin;
}
