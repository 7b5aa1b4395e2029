import { DetectorMode, MissedValve, Order, Valve, Wish } from './generated/enums';
import { Coefficients, DetectorState, PairState, Parameters, RowProbe, ValveState } from './generated/records';
import { correctMetered, restartMetered } from './predictor';
import { Row, rowAt } from './row-records';
import { countDown, countUp } from './time';
import { holdPulses, repeatClose, setStuckOpen, setUnstuck } from './valve-pair';

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
 * A sum is a suspicion, which a moving frame can raise too. It costs one stroke: the valve is closed again, or its pulse ends, and
 * no pulse begins until the suspicion is judged. A valve that was open stops drifting with its second close; motion does not. A
 * pulse without oil shows none of its expected effect when the pressure has settled. Only a suspicion that proves right counts as a
 * missed stroke. A valve is stuck after strokeTries strokes if the pressure has moved as far as through an open valve, and further
 * than motion can: motion is limited by the travel of the row, oil is not.
 */

/** Uncertain share of the motion's effect: the linkage ratio varies with its angle. */
const MOTION_SHARE: f32 = 0.1;
/** Tolerated drift as a share of a valve's step: halfway between a valve that is where it is believed to be and one that is not. */
const CLOSED_SHARE: f32 = 0.4;
const OPEN_SHARE: f32 = 0.75;
/** Corner of the high-pass on the row velocity, Hz, applied twice: a sensor's offset or a slope must not add up. */
export const VELOCITY_HZ: f32 = 0.1;
/** Corner of the detector's low-pass on pressure and velocity, Hz: a lower one has less noise, but is later. */
export const DETECTOR_HZ: f32 = 18;
/** Corner of the slow mean of a row's own drift, Hz: above the frame's bounce of 1 to 2 Hz. */
export const FRAME_HZ: f32 = 3;
/** That mean is held for this long after a stroke, s, while a missed one would show. */
export const FRAME_HOLD_S: f32 = 0.04;
/** Time constant with which it fades meanwhile, s. */
export const FRAME_FORGET_S: f32 = 0.2;
/** Time in which the shares of the neighbours' motion are learned, s. */
export const FRAME_LEARN_S: f32 = 1;
/** Motion below which nothing is learned, mL/s. */
export const FRAME_MIN_ML_PER_S: f32 = 3;
/** After an invalid acceleration, the velocity is not used for this long, s. */
export const NO_VELOCITY_S: f32 = 1.5;
/** A row does not move faster: simulated ones reach 1.2 m/s at 5 m/s on class E. A sensor that jumps by gravity gets there in 0.2 s. */
export const VELOCITY_MAX_MPS: f32 = 2;
/** The velocity contains the frame's own motion for this long after the frame has come down, s. */
export const FRAME_S: f32 = 3;
/** Averaging time of the leak, in time with closed valves, s. */
export const LEAK_TIME_S: f32 = 20;
/**
 * The drift of a missed close begins with the close: in simulations on classes D and E within 15 ms for 60 of 64 missed strokes, but
 * for 7 of 23 motions that looked like one. What begins later repeats the close, but is not found.
 */
export const EARLY_S: f32 = 0.015;
/** A repeated close is judged by the drift from 20 to 35 ms after it: then the low-pass shows all of it. */
export const JUDGE_FROM_S: f32 = 0.02;
export const JUDGE_TO_S: f32 = 0.035;
/** Time constant with which the highest sum without a missed stroke is forgotten, s. */
export const NOISE_TIME_S: f32 = 10;
/** Share of a valve's step by which its drift falls with a close that was needed: the low-passed start of it is smaller than the step. */
const STOPPED_SHARE: f32 = 0.4;
/** Drift that is left with it, as a share of that step: motion that looks like a valve goes on. */
const STILL_SHARE: f32 = 0.3;
/** Motion raises the threshold to this multiple of missedKpa at most: a missed stroke must still be found soon. */
const NOISE_MAX: f32 = 4;
/** An open valve moves the pressure by more than this share of its expected effect, a closed one by less than the other. */
const OPEN_MOVES: f32 = 0.6;
const CLOSED_MOVES: f32 = 0.3;
/** No valve moves it by more than this multiple. */
const FAST_MOVES: f32 = 1.35;
/** The same near precharge, where the gas is known less well. */
const STUCK_MOVES: f32 = 2;
/**
 * Further from rail and return line than this, kPa, an open valve would have moved the pressure soon. A valve that was stuck open has
 * closed if the pressure stays there for CLEAR_PROOFS times what proves an open one.
 */
export const FAR_KPA: f32 = 2000;
const CLEAR_PROOFS: f32 = 8;
/** Without a velocity the motion of the row counts as oil, so that more oil is needed for a proof. */
const NO_VELOCITY_PROOFS: f32 = 1.5;
/** Shares of the usual evidence that are enough before the other valve opens. */
const OTHER_SUSPECT: f32 = 0.25;
const OTHER_PROOF: f32 = 0.5;
/** A doubted valve is open if its drift is more than this share of its step. */
const JUDGED_SHARE: f32 = 0.6;
/** An open valve has brought the pressure to its end if its step is less than this share of the other one's: within 1000 kPa of the rail. */
const END_SHARE: f32 = 0.25;
/** Share of proofMl that is enough for a valve to be stuck if the pressure then stays at that end. */
const END_PROOF: f32 = 0.125;
/** Nearer to the floor than this, only the upper part of the pressure's swings is visible. */
const FLOOR_MARGIN_KPA: f32 = 500;
/** Most repeats without a velocity: one because the field may look like an open valve, one for the valve. */
const REPEATS_MAX: u16 = 2;
/** Share of the metered oil that is tolerated as a leak: metering is not more accurate. */
const METERED_SHARE: f32 = 0.1;

/** True without a valid velocity relative to the frame: motion and oil cannot be distinguished then. */
export function hasNoVelocity(detector: DetectorState): bool {
  return detector.noVelocityTicks !== 0 || detector.frameSettled === 0;
}

/**
 * High-passed row velocity from the accelerometer. After an invalid acceleration it is off by what was missed: that decays
 * sixteen times as fast at first, then ever more slowly, and the velocity is not used meanwhile.
 */
function followVelocity(detector: DetectorState, accelerationMps2: f32, c: Coefficients): void {
  const remaining: f32 = <f32>detector.noVelocityTicks / <f32>c.noVelocityTicks;
  const decay = c.velocityDecay * (1 + 15 * remaining * remaining);
  detector.velocityMps += accelerationMps2 * c.tickS - decay * detector.velocityMps;
  detector.slowMps += decay * (detector.velocityMps - detector.slowMps);
  detector.smoothMps += c.detectorWeight * (detector.velocityMps - detector.slowMps - detector.smoothMps);
}

/** Low-passes the pressure that metered oil does not explain. Returns its change minus that by the row's motion, kPa. */
export function followDrift(
  detector: DetectorState,
  probe: RowProbe,
  isPressureValid: bool,
  isAccelerationValid: bool,
  c: Coefficients,
): f32 {
  const isPossible = abs<f32>(detector.smoothMps) < VELOCITY_MAX_MPS;
  detector.noVelocityTicks = isAccelerationValid && isPossible ? countDown(detector.noVelocityTicks) : <u16>c.noVelocityTicks;
  if (detector.hasPressure === 0) {
    detector.residualKpa = probe.pressureRawKpa - probe.meteredKpa;
    if (detector.slowKpa === 0) detector.slowKpa = probe.pressureRawKpa;
  }
  detector.hasPressure = isPressureValid ? 1 : 0;
  followVelocity(detector, probe.accelerationMps2, c);
  const changeKpa = c.detectorWeight * (probe.pressureRawKpa - probe.meteredKpa - detector.residualKpa);
  detector.residualKpa += changeKpa;
  detector.motionKpa = hasNoVelocity(detector) ? 0 : (c.strokeVolumeMlPerMps * detector.smoothMps) / probe.compliance;
  return changeKpa - detector.motionKpa;
}

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
  detector.cusumUpKpa = max<f32>(0, upKpa);
  detector.cusumDownKpa = max<f32>(0, downKpa);
  detector.upTicks = upKpa > 0 ? countUp(detector.upTicks) : 0;
  detector.downTicks = downKpa > 0 ? countUp(detector.downTicks) : 0;
}

function restartRaw(detector: DetectorState): void {
  detector.rawUpMl = 0;
  detector.rawDownMl = 0;
  detector.rawTicks = 0;
}

function restartSums(detector: DetectorState, mode: u8): void {
  detector.mode = mode;
  detector.cusumUpKpa = 0;
  detector.cusumDownKpa = 0;
  detector.upTicks = 0;
  detector.downTicks = 0;
}

/** The residual is relative to the metered oil, so it follows when that changes. */
function shiftResidual(row: Row, kpa: f32): void {
  row.detector.residualKpa += kpa;
  row.motion.residualKpa += kpa;
}

function limitMetered(row: Row, c: Coefficients): void {
  const shiftKpa = restartMetered(row.predictor, row.probe, c);
  if (shiftKpa !== 0) shiftResidual(row, shiftKpa);
}

/** The oil of a missed stroke: `kpa` has been metered too little. */
export function correctOil(row: Row, kpa: f32): void {
  correctMetered(row.predictor, kpa);
  shiftResidual(row, -kpa);
}

/** Whether the drift of a row shows the motion of the frame. */
function isReference(detector: DetectorState): bool {
  return detector.hasPressure !== 0 && !hasNoVelocity(detector) && detector.doubt === MissedValve.None;
}

/**
 * Drift by the motion of the frame. Rows of one bar move together: a row between two others moves as their mean, one at the end as
 * both next to it extrapolate. Normalised least mean squares (Widrow and Stearns 1985, Adaptive Signal Processing, ch. 6; from
 * memory) learns how much of each neighbour's motion a row shares: nothing if they are on different bars. Without two neighbours it
 * is the slow mean of the row's own drift, which is held while a stroke or a suspicion could show, and then fades.
 * Returns the neighbours' part.
 */
function followFrame(row: Row, rows: i32, driftKpa: f32, mode: u8, compliance: f32, c: Coefficients): f32 {
  const detector = row.detector;
  detector.frameMl = driftKpa * compliance;
  if (hasNoVelocity(detector)) {
    detector.frameKpa = 0;
    return 0;
  }
  const index = row.index;
  const first = rowAt(index > 0 ? index - 1 : min<i32>(2, rows - 1)).detector;
  const second = rowAt(index < rows - 1 ? index + 1 : max<i32>(rows - 3, 0)).detector;
  const isFresh = min<u32>(row.supply.quietTicks, row.returnValve.quietTicks) <= c.frameHoldTicks;
  const isHeld = isFresh || mode !== DetectorMode.Closed || detector.doubt !== MissedValve.None;
  if (rows > 2 && isReference(first) && isReference(second)) {
    const sharedMl = detector.firstWeight * first.frameMl + detector.secondWeight * second.frameMl;
    detector.frameKpa = sharedMl / compliance;
    if (isHeld) return detector.frameKpa;
    const power = first.frameMl * first.frameMl + second.frameMl * second.frameMl + c.frameMinMl2;
    const rate = (c.frameRate * (detector.frameMl - sharedMl)) / power;
    detector.firstWeight += rate * first.frameMl;
    detector.secondWeight += rate * second.frameMl;
    return detector.frameKpa;
  }
  if (isHeld) detector.frameKpa -= c.frameForget * detector.frameKpa;
  else detector.frameKpa += c.frameWeight * (driftKpa - detector.frameKpa);
  return 0;
}

/** Smallest sum that is a suspicion, kPa: above what motion has caused recently. */
function thresholdOf(detector: DetectorState, p: Parameters): f32 {
  return hasNoVelocity(detector) ? p.suspectKpa : p.missedKpa + detector.noiseKpa;
}

/** Oil that moves the pressure further than motion can, mL. */
export function proofOf(detector: DetectorState, p: Parameters): f32 {
  return hasNoVelocity(detector) ? NO_VELOCITY_PROOFS * p.proofMl : p.proofMl;
}

/** Oil after which a doubted valve is stuck, mL: up to twice the proof where motion has been mistaken for oil. Its row holds anyway. */
function isolationOf(detector: DetectorState, p: Parameters): f32 {
  return proofOf(detector, p) * (1 + detector.noiseKpa / (NOISE_MAX * p.missedKpa));
}

/** A valve is checked for a while after its closing stroke; a stuck one is not. */
export function isChecked(valve: ValveState, c: Coefficients): bool {
  return valve.quietTicks < c.missedWindowTicks && valve.stuck === 0;
}

/** Whether the pressure can show soon whether this valve is open. */
function stepOf(probe: RowProbe, which: u8): f32 {
  return which === Valve.Supply ? probe.supplyStepKpa : probe.returnStepKpa;
}

/**
 * The valve may have missed its closing stroke: it is closed again, and no pulse begins until that is judged. `rateKpa`: evidence
 * per tick for `ticks`, in the direction of this valve's oil.
 */
function startDoubt(row: Row, which: u8, rateKpa: f32, ticks: f32, isLate: bool): void {
  const detector = row.detector;
  detector.isDoubtLate = isLate ? 1 : 0;
  detector.doubt = <u8>(which + 1);
  detector.doubtRateKpa = rateKpa;
  // Without a velocity the motion that may have caused the suspicion must not count.
  detector.movedMl = hasNoVelocity(detector) ? 0 : rateKpa * ticks * row.probe.compliance;
  detector.owedMl = hasNoVelocity(detector) ? 0 : stepOf(row.probe, which) * ticks * row.probe.compliance;
  detector.judgedKpa = 0;
  repeatClose(row.valve(which));
}

function endDoubt(detector: DetectorState, row: Row): void {
  row.valve(<u8>(detector.doubt - 1)).repeats = 0;
  detector.doubt = MissedValve.None;
  restartSums(detector, DetectorMode.Off);
}

/** The velocity that raised a suspicion was not valid. */
function dropDoubt(row: Row): void {
  const detector = row.detector;
  if (detector.doubt !== MissedValve.None && row.valve(<u8>(detector.doubt - 1)).stuck === 0) endDoubt(detector, row);
}

/** The oil that a pulse may not have passed does not speak against the other valve, which has long been closed. */
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
  detector.rawUpMl = max<f32>(0, upMl);
  detector.rawDownMl = max<f32>(0, downMl);
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

/** The suspicion was right: its oil counts as metered, and a fault reports it. */
function confirmMissedClose(row: Row): void {
  const detector = row.detector;
  const isSupply = detector.doubt === MissedValve.Supply;
  const movedKpa = detector.movedMl / row.probe.compliance;
  correctOil(row, isSupply ? movedKpa : -movedKpa);
  detector.missedValve = detector.doubt;
}

/** Whether the drift stopped with the second close: the valve was open and now is closed. Motion that looks like it goes on. */
function hasStopped(detector: DetectorState, valve: ValveState, stepKpa: f32, p: Parameters, c: Coefficients): bool {
  if (detector.isDoubtLate !== 0 || valve.repeats !== 1 || valve.quietTicks !== c.judgeToTicks) return false;
  const ticks = <f32>(c.judgeToTicks - c.judgeFromTicks);
  const beforeKpa = detector.doubtRateKpa;
  const afterKpa = JUDGED_SHARE * stepKpa + detector.judgedKpa / ticks;
  const isClosed = abs<f32>(afterKpa) <= STILL_SHARE * stepKpa && beforeKpa <= FAST_MOVES * stepKpa;
  // Where a valve's step is small, less than that is noise.
  return isClosed && beforeKpa - afterKpa >= max<f32>(STOPPED_SHARE * stepKpa, p.missedKpa / ticks);
}

/** Whether the pressure has moved since the suspicion began as an open valve moves it. */
function isOil(detector: DetectorState): bool {
  return detector.movedMl >= OPEN_MOVES * detector.owedMl && detector.movedMl <= STUCK_MOVES * detector.owedMl;
}

/** The valve does not close. */
function isolate(row: Row, valve: ValveState): void {
  confirmMissedClose(row);
  setStuckOpen(valve);
  row.detector.movedMl = 0;
  row.detector.owedMl = 0;
}

/** Closes a doubted valve again: soon if it is seen to be open, and now and then while that cannot be seen. */
function tryAgain(valve: ValveState, isOpen: bool, p: Parameters, c: Coefficients): void {
  if ((isOpen && valve.repeats < p.strokeTries) || valve.quietTicks >= c.retryTicks) repeatClose(valve);
}

/** Judges a doubted valve once it has been closed again and the low-pass shows the effect. */
function judgeDoubt(row: Row, evidenceKpa: f32, isFar: bool, p: Parameters, c: Coefficients): void {
  const detector = row.detector;
  const which = <u8>(detector.doubt - 1);
  const valve = row.valve(which);
  const isSupply = which === Valve.Supply;
  const stepKpa = stepOf(row.probe, which);
  detector.movedMl += (isSupply ? evidenceKpa : -evidenceKpa) * row.probe.compliance;
  detector.owedMl += stepKpa * row.probe.compliance;
  holdPulses(row.pair);
  if (valve.stuck !== 0) {
    judgeStuck(row, valve, isFar, p);
    return;
  }
  if (valve.suspected !== 0 || valve.quietTicks <= c.judgeFromTicks) {
    detector.judgedKpa = 0;
    return;
  }
  detector.judgedKpa += (isSupply ? evidenceKpa : -evidenceKpa) - JUDGED_SHARE * stepKpa;
  if (valve.quietTicks < c.judgeToTicks) return;
  if (hasStopped(detector, valve, stepKpa, p, c)) {
    confirmMissedClose(row);
    endDoubt(detector, row);
  } else weighDoubt(row, valve, p, c);
}

/** The drift of a doubted valve goes on, or has not stopped with its close: is it motion, or is the valve still open? */
function weighDoubt(row: Row, valve: ValveState, p: Parameters, c: Coefficients): void {
  const detector = row.detector;
  const isMotionKnown = !hasNoVelocity(detector);
  const isProof = detector.owedMl >= proofOf(detector, p);
  const isLess = detector.movedMl < OPEN_MOVES * detector.owedMl;
  if (isLess && isMotionKnown && detector.judgedKpa < -p.missedKpa) {
    detector.noiseKpa = min<f32>(detector.noiseKpa + p.missedKpa, NOISE_MAX * p.missedKpa);
    endDoubt(detector, row);
  } else if (isLess && isProof) endDoubt(detector, row);
  else if (isProof && !isOil(detector)) detector.movedMl = detector.owedMl = 0;
  else if (detector.owedMl >= isolationOf(detector, p) && valve.repeats >= p.strokeTries) isolate(row, valve);
  else tryAgain(valve, !isMotionKnown || detector.judgedKpa > thresholdOf(detector, p), p, c);
}

/** A stuck valve gets a closing stroke now and then: has the last one closed it? Then the effect of an open one is missing. */
function judgeStuck(row: Row, valve: ValveState, isFar: bool, p: Parameters): void {
  const detector = row.detector;
  if (!isFar) detector.movedMl = detector.owedMl = 0;
  if (detector.owedMl < CLEAR_PROOFS * proofOf(detector, p)) return;
  if (detector.movedMl <= CLOSED_MOVES * detector.owedMl) {
    setUnstuck(valve);
    endDoubt(detector, row);
  } else detector.movedMl = detector.owedMl = 0;
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

/** An open valve would have brought the pressure to where its oil no longer moves it. */
function isAtEnd(row: Row, which: u8, c: Coefficients): bool {
  const probe = row.probe;
  if (which === Valve.Supply) return probe.supplyStepKpa < END_SHARE * probe.returnStepKpa;
  return probe.pressureRawKpa <= c.floorKpa;
}

/**
 * A suspicion that the pressure does not resolve. Where an open valve would have brought it, the valve stays doubted and is closed
 * again now and then; elsewhere the suspicion ends with the check. A stuck valve stays suspect.
 */
function waitInDoubt(row: Row, isEnd: bool, p: Parameters, c: Coefficients): void {
  const detector = row.detector;
  const valve = row.valve(<u8>(detector.doubt - 1));
  holdPulses(row.pair);
  if (valve.stuck !== 0 || valve.suspected !== 0) return;
  if (!isEnd) {
    if (valve.quietTicks > c.missedWindowTicks) endDoubt(detector, row);
    return;
  }
  // Without a velocity oil that makes up for motion at this end is not seen.
  if (hasNoVelocity(detector)) detector.movedMl = detector.owedMl = 0;
  const isProof = detector.owedMl >= END_PROOF * p.proofMl && isOil(detector);
  const isLong = valve.repeats >= 2 * p.strokeTries;
  if ((isProof && valve.repeats >= p.strokeTries) || (isLong && hasNoVelocity(detector))) isolate(row, valve);
  else if (isLong) endDoubt(detector, row);
  else tryAgain(valve, isProof, p, c);
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
  const driftKpa = followDrift(detector, probe, isPressureValid, isAccelerationValid, c);
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
  probe.cusumUpKpa = detector.cusumUpKpa;
  probe.cusumDownKpa = detector.cusumDownKpa;
  probe.leakMlPerMin = detector.leakMlPerMin;
}
