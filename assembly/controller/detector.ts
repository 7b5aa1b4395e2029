import { dropDoubt, FAST_MOVES, isAtEnd, isChecked, judgeDoubt, restartSums, startDoubt, stepOf, thresholdOf, waitInDoubt } from './doubt';
import { followDrift, followFrame, hasNoVelocity, limitMetered } from './drift';
import { DetectorMode, MissedValve, Order, Valve, Wish } from './generated/enums';
import { Coefficients, DetectorState, PairState, Parameters, RowProbe } from './generated/records';
import { limitMin } from './load-loop';
import { Row } from './row-records';
import { countUp } from './time';
import { repeatClose } from './valve-pair';

/*
 * Finds missed strokes and leaks. A stroke that does not move its valve is silent, but the pressure shows it. The pressure
 * change that neither metered oil nor the row's motion explains is drift. Drift less what the motion of the frame
 * causes is evidence; a cumulative sum (Page 1954, Biometrika 41:100-115) finds the moment from which a valve seems not to be
 * where it is believed to be:
 *
 *   mode        missed stroke                                  drift per tick      sum grows by
 *   closed      close of the supply valve                      + supply step       evidence − 0.4 step
 *   closed      close of the return valve                      − return step       −evidence − 0.4 step
 *   raising     open of the supply valve: less oil than metered − supply step      −evidence − ¾ step
 *   lowering    open of the return valve                       + return step       evidence − ¾ step
 *
 * With ¾, a valve that passes only half of the expected oil still counts as open.
 *
 * A sum is a suspicion, which a moving frame can raise too. It costs one stroke: the valve is closed again (doubt.ts), or its pulse
 * ends, and no pulse begins until that is judged. A pulse without oil shows none of its expected effect when the pressure has
 * settled (learn.ts). The drift of a valve that was closed long ago, or that was missed, adds up too, beyond the end of pulses.
 */

/** Uncertain share of the motion's effect: the linkage ratio varies with its angle. */
const MOTION_SHARE: f32 = 0.1;
/** Tolerated drift as a share of a valve's step: halfway between a valve that is where it is believed to be and one that is not. */
const CLOSED_SHARE: f32 = 0.4;
const OPEN_SHARE: f32 = 0.75;
/** Averaging time of the leak, in time with closed valves, s. */
export const LEAK_TIME_S: f32 = 20;
/** Shares of the typical evidence that are enough before the other valve opens. */
const OTHER_SUSPECT: f32 = 0.25;
const OTHER_PROOF: f32 = 0.5;
/** Nearer to the floor than this, only the upper part of the pressure's swings is visible. */
const FLOOR_MARGIN_KPA: f32 = 500;
/** Most repeats without a velocity: one because the field may look like an open valve, one for the valve. */
const REPEATS_MAX: u16 = 2;
/** Share of the metered oil that is tolerated as a leak: metering is not more accurate. */
const METERED_SHARE: f32 = 0.1;

/** Which missed strokes the pressure can show in this tick. */
export function modeOf(row: Row, c: Coefficients): u8 {
  const pair = row.pair;
  const supply = row.supply;
  const returnValve = row.returnValve;
  if (pair.flowWish === Wish.Raise) return DetectorMode.Raising;
  if (pair.flowWish === Wish.Lower) return DetectorMode.Lowering;
  // A coil that is driven again at once would turn two strokes into one long one.
  const isMoving =
    supply.coil !== Order.None || returnValve.coil !== Order.None || min<u32>(supply.quietTicks, returnValve.quietTicks) <= c.strokeTicks;
  return isMoving || pair.openWish !== Wish.Hold ? DetectorMode.Off : DetectorMode.Closed;
}

/** Adds to both sums, and counts for how long each has been growing. */
export function addEvidence(detector: DetectorState, evidenceKpa: f32, riseAllowedKpa: f32, fallAllowedKpa: f32): void {
  const motionErrorKpa = MOTION_SHARE * abs<f32>(detector.motionKpa);
  const upKpa = detector.cusumUpKpa + evidenceKpa - riseAllowedKpa - motionErrorKpa;
  const downKpa = detector.cusumDownKpa - evidenceKpa - fallAllowedKpa - motionErrorKpa;
  const isUp = upKpa > 0;
  const isDown = downKpa > 0;
  detector.cusumUpKpa = isUp ? upKpa : 0;
  detector.cusumDownKpa = isDown ? downKpa : 0;
  detector.upTicks = isUp ? countUp(detector.upTicks) : 0;
  detector.downTicks = isDown ? countUp(detector.downTicks) : 0;
}

function restartRaw(detector: DetectorState): void {
  detector.rawUpMl = 0;
  detector.rawDownMl = 0;
  detector.rawTicks = 0;
}

/** The oil that a pulse may not have passed is no reason to doubt the other valve, which has long been closed. */
function ignorePulse(row: Row, c: Coefficients): void {
  const learnWish = row.pair.learnWish;
  if (learnWish === Wish.Raise && !isChecked(row.returnValve, c)) row.detector.cusumDownKpa = 0;
  if (learnWish === Wish.Lower && !isChecked(row.supply, c)) row.detector.cusumUpKpa = 0;
}

/** With both valves believed closed: does one of them seem to have missed its last closing stroke? */
function judgeClosed(row: Row, p: Parameters, c: Coefficients): void {
  const detector = row.detector;
  const probe = row.probe;
  const isUp = detector.cusumUpKpa > detector.cusumDownKpa;
  const which: u8 = isUp ? Valve.Supply : Valve.Return;
  const valve = row.valve(which);
  const sumKpa = isUp ? detector.cusumUpKpa : detector.cusumDownKpa;
  const stepKpa = stepOf(probe, which);
  if (valve.stuck !== 0 || sumKpa <= thresholdOf(detector, p)) return;
  if (hasNoVelocity(detector)) {
    if (isChecked(valve, c) && valve.repeats < REPEATS_MAX) repeatClose(valve);
    return;
  }
  const ticks = <f32>(isUp ? detector.upTicks : detector.downTicks);
  const rateKpa = sumKpa / ticks + CLOSED_SHARE * stepKpa;
  const isLate = <f32>valve.quietTicks - ticks >= <f32>c.earlyTicks;
  startDoubt(row, which, rateKpa, ticks, isLate);
}

/**
 * A sum of the drift itself, which neither pulses nor the end of a check restart: if it is larger than motion can make it, one valve
 * is open, although nothing was found, or what was found was not believed.
 */
function addRaw(row: Row, driftKpa: f32, p: Parameters): void {
  const detector = row.detector;
  const probe = row.probe;
  const compliance = probe.compliance;
  const upMl = detector.rawUpMl + (driftKpa - CLOSED_SHARE * probe.supplyStepKpa) * compliance;
  const downMl = detector.rawDownMl - (driftKpa + CLOSED_SHARE * probe.returnStepKpa) * compliance;
  detector.rawUpMl = limitMin(upMl, 0);
  detector.rawDownMl = limitMin(downMl, 0);
  const isUp = upMl > downMl;
  detector.rawTicks = (isUp ? upMl : downMl) > 0 ? countUp(detector.rawTicks) : 0;
  judgeRaw(row, isUp ? Valve.Supply : Valve.Return, p.proofMl);
}

/** Doubts the valve if the sum of its drift is more than `limitMl`. */
function judgeRaw(row: Row, which: u8, limitMl: f32): void {
  const detector = row.detector;
  const sumMl = which === Valve.Supply ? detector.rawUpMl : detector.rawDownMl;
  if (sumMl <= limitMl) return;
  const stepKpa = stepOf(row.probe, which);
  const ticks = <f32>detector.rawTicks;
  const rateKpa = sumMl / (ticks * row.probe.compliance) + CLOSED_SHARE * stepKpa;
  restartRaw(detector);
  // An open valve does not move the pressure much faster than expected; motion may.
  if (rateKpa < FAST_MOVES * stepKpa && row.valve(which).stuck === 0) startDoubt(row, which, rateKpa, ticks, false);
}

/** Before a valve opens, less evidence is enough to close the other one again: both open would empty the rail into the return line. */
export function checkOther(row: Row, wish: u8, p: Parameters, c: Coefficients): void {
  const detector = row.detector;
  if (wish === Wish.Hold || row.pair.openWish !== Wish.Hold || detector.doubt !== MissedValve.None) return;
  const which: u8 = wish === Wish.Raise ? Valve.Return : Valve.Supply;
  const other = row.valve(which);
  judgeRaw(row, which, OTHER_PROOF * p.proofMl);
  if (!hasNoVelocity(detector)) return;
  const sumKpa = which === Valve.Supply ? detector.cusumUpKpa : detector.cusumDownKpa;
  if (!isChecked(other, c) || sumKpa <= OTHER_SUSPECT * p.suspectKpa) return;
  if (other.repeats < REPEATS_MAX) repeatClose(other);
  else if (sumKpa > p.suspectKpa) startDoubt(row, which, 0, 0, true);
}

/** With a valve believed open: does the pressure follow? If not, the pulse ends; learnAfterPulse() judges it. */
function judgeOpen(row: Row, sumKpa: f32, p: Parameters): void {
  const detector = row.detector;
  const thresholdKpa = hasNoVelocity(detector) ? p.missedNoAccelKpa : thresholdOf(detector, p);
  if (sumKpa > thresholdKpa) row.pair.suspectPulse = 1;
}

/** Slow means of the metered oil, and of the flow with both valves closed: the leak. */
function followLeak(detector: DetectorState, driftKpa: f32, pair: PairState, isAtRest: bool, probe: RowProbe, c: Coefficients): void {
  const meteredKpa = pair.flowWish === Wish.Raise ? probe.supplyStepKpa : pair.flowWish === Wish.Lower ? probe.returnStepKpa : 0;
  const toMlPerMin = probe.compliance * c.mlPerTickToMin;
  // Gas that was compressed fast is warm, and loses pressure as it cools; that is not oil.
  detector.slowKpa += c.gasWeight * (probe.pressureRawKpa - detector.slowKpa);
  const coolingKpa = c.gasShare * c.gasWeight * (probe.pressureRawKpa - detector.slowKpa);
  detector.meteredMlPerMin += c.leakWeight * (meteredKpa * toMlPerMin - detector.meteredMlPerMin);
  if (isAtRest) detector.leakMlPerMin += c.leakWeight * ((driftKpa + coolingKpa) * toMlPerMin - detector.leakMlPerMin);
}

export function isLeaking(detector: DetectorState, p: Parameters): bool {
  return abs<f32>(detector.leakMlPerMin) > p.leakMlPerMin + METERED_SHARE * detector.meteredMlPerMin;
}

/** True if the drift of this tick is a leak's: both valves have obeyed and are closed, and the pressure has settled. */
function isAtRest(row: Row, mode: u8, c: Coefficients): bool {
  const supply = row.supply;
  const returnValve = row.returnValve;
  const isObeyed = row.detector.frameSettled !== 0 && row.detector.doubt === MissedValve.None;
  return (
    mode === DetectorMode.Closed &&
    isObeyed &&
    supply.stuck === 0 &&
    returnValve.stuck === 0 &&
    min<u32>(supply.quietTicks, returnValve.quietTicks) > c.settleTicks &&
    row.detector.slowKpa > c.floorKpa + FLOOR_MARGIN_KPA
  );
}

function probeDetector(detector: DetectorState, probe: RowProbe): void {
  probe.cusumUpKpa = detector.cusumUpKpa;
  probe.cusumDownKpa = detector.cusumDownKpa;
  probe.leakMlPerMin = detector.leakMlPerMin;
}

/**
 * One tick of a row's detector.
 * @param rows of the bank
 * @param isSignificant nothing but pressure and rail decides whether the pressure shows what the valves do
 * @param isFar the pressure is far from rail and return line
 * @param isFrameSettled the frame has been down for long enough: the row's velocity is its motion relative to the frame
 */
export function updateDetector(
  row: Row,
  rows: i32,
  isPressureValid: bool,
  isAccelerationValid: bool,
  isSignificant: bool,
  isFar: bool,
  isFrameSettled: bool,
  p: Parameters,
  c: Coefficients,
): void {
  const detector = row.detector;
  const probe = row.probe;
  detector.missedValve = MissedValve.None;
  limitMetered(row, c);
  const hadNoVelocity = hasNoVelocity(detector);
  detector.frameSettled = isFrameSettled ? 1 : 0;
  const driftKpa = followDrift(detector, probe, isPressureValid, isAccelerationValid, p, c);
  const isKnown = isPressureValid && isSignificant;
  // Below precharge no accumulator makes the pressure predictable; above the rail an open valve has no effect.
  const isShown = isKnown && probe.pressureRawKpa > c.floorKpa && probe.supplyStepKpa > 0;
  const mode = isShown ? modeOf(row, c) : DetectorMode.Off;
  // What motion has added to the sums while it was not known must not count once it is.
  const isNewVelocity = hadNoVelocity !== hasNoVelocity(detector);
  if (isNewVelocity && !hadNoVelocity) dropDoubt(row);
  if (isNewVelocity || !isKnown) restartRaw(detector);
  if (mode !== detector.mode || isNewVelocity) restartSums(detector, mode);
  detector.noiseKpa -= c.noiseForget * detector.noiseKpa;
  const sharedKpa = followFrame(row, rows, driftKpa, mode, probe.compliance, c);
  const evidenceKpa = driftKpa - detector.frameKpa;
  detector.residualStepKpa += evidenceKpa;
  followLeak(detector, driftKpa, row.pair, isAtRest(row, mode, c), probe, c);
  const supplyKpa = probe.supplyStepKpa;
  const returnKpa = probe.returnStepKpa;
  if (CLOSED_SHARE >= 1 || OPEN_SHARE >= 1) ERROR('a sum must grow by the full step of a valve');
  if (detector.doubt !== MissedValve.None) {
    const isEnd = isKnown && isAtEnd(row, <u8>(detector.doubt - 1), c);
    if (isShown && !isEnd) judgeDoubt(row, evidenceKpa, isFar, p, c);
    else waitInDoubt(row, isEnd, p, c);
  } else if (mode === DetectorMode.Closed) {
    addEvidence(detector, evidenceKpa, CLOSED_SHARE * supplyKpa, CLOSED_SHARE * returnKpa);
    ignorePulse(row, c);
    if (row.pair.learnWish === Wish.Hold) addRaw(row, driftKpa - sharedKpa, p);
    if (detector.doubt === MissedValve.None) judgeClosed(row, p, c);
  } else if (mode !== DetectorMode.Off) {
    addEvidence(detector, evidenceKpa, OPEN_SHARE * returnKpa, OPEN_SHARE * supplyKpa);
    judgeOpen(row, mode === DetectorMode.Raising ? detector.cusumDownKpa : detector.cusumUpKpa, p);
  }
  probeDetector(detector, probe);
}
