import { correctOil, hasNoVelocity } from './drift';
import { DetectorMode, MissedValve, Valve } from './generated/enums';
import { Coefficients, DetectorState, Parameters, RowProbe, ValveState } from './generated/records';
import { Row } from './row-records';
import { holdPulses, repeatClose, setStuckOpen, setUnstuck } from './valve-pair';

/*
 * A valve that may have missed its closing stroke is doubted: it is closed again, and no pulse begins until that is judged.
 *
 *   the drift stops with the second close                             it was open, and now is closed: a missed stroke
 *   the drift goes on, but is less than an open valve's                motion
 *   as much oil as motion cannot be has moved, after strokeTries       stuck open
 *   the pressure is where an open valve would have brought it          closed now and then, until it moves
 *
 * The doubt ends only with evidence that the valve is closed: to hold a row for a moment too long costs less than both valves open.
 */

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
export const FAST_MOVES: f32 = 1.35;
/** The same near precharge, where the gas is known less well. */
const STUCK_MOVES: f32 = 1.7;
/**
 * Further from rail and return line than this, kPa, an open valve would have moved the pressure soon. A valve that was stuck open has
 * closed if the pressure stays there for CLEAR_PROOFS times what proves an open one.
 */
export const FAR_KPA: f32 = 2000;
const CLEAR_PROOFS: f32 = 8;
/** Without a velocity the motion of the row counts as oil, so that more oil is needed for a proof. */
const NO_VELOCITY_PROOFS: f32 = 1.5;
/** A doubted valve is open if its drift is more than this share of its step. */
const JUDGED_SHARE: f32 = 0.6;
/** An open valve has brought the pressure to its end if its step is less than this share of the other one's: within 1000 kPa of the rail. */
const END_SHARE: f32 = 0.25;
/** Share of proofMl that is enough for a valve to be stuck if the pressure then stays at that end. */
const END_PROOF: f32 = 0.125;

export function restartSums(detector: DetectorState, mode: u8): void {
  detector.mode = mode;
  detector.cusumUpKpa = 0;
  detector.cusumDownKpa = 0;
  detector.upTicks = 0;
  detector.downTicks = 0;
}

/** Smallest sum that is a suspicion, kPa: above what motion has caused recently. */
export function thresholdOf(detector: DetectorState, p: Parameters): f32 {
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
export function stepOf(probe: RowProbe, which: u8): f32 {
  return which === Valve.Supply ? probe.supplyStepKpa : probe.returnStepKpa;
}

/**
 * The valve may have missed its closing stroke: it is closed again, and no pulse begins until that is judged. `rateKpa`: evidence
 * per tick for `ticks`, in the direction of this valve's oil.
 */
export function startDoubt(row: Row, which: u8, rateKpa: f32, ticks: f32, isLate: bool): void {
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
export function dropDoubt(row: Row): void {
  const detector = row.detector;
  if (detector.doubt !== MissedValve.None && row.valve(<u8>(detector.doubt - 1)).stuck === 0) endDoubt(detector, row);
}

/** The suspicion was right: its oil counts as metered, and a fault reports it. */
function confirmMissedClose(row: Row): void {
  const detector = row.detector;
  const isSupply = detector.doubt === MissedValve.Supply;
  const movedKpa = detector.movedMl / row.probe.compliance;
  correctOil(row, isSupply ? movedKpa : -movedKpa);
  detector.missedValve = detector.doubt;
}

/** Mean drift since a close has shown its effect, kPa per tick, in the direction of the doubted valve's oil. */
function judgedRate(detector: DetectorState, valve: ValveState, stepKpa: f32, c: Coefficients): f32 {
  return JUDGED_SHARE * stepKpa + detector.judgedKpa / <f32>(valve.quietTicks - c.judgeFromTicks);
}

/** Whether the drift stopped with the last close: the valve was open and now is closed. Motion that looks like it goes on. */
function hasStopped(detector: DetectorState, valve: ValveState, stepKpa: f32, p: Parameters, c: Coefficients): bool {
  if (hasNoVelocity(detector) || detector.isDoubtLate !== 0 || valve.quietTicks !== c.judgeToTicks) return false;
  const beforeKpa = detector.doubtRateKpa;
  const afterKpa = judgedRate(detector, valve, stepKpa, c);
  const isClosed = abs<f32>(afterKpa) <= STILL_SHARE * stepKpa && beforeKpa <= FAST_MOVES * stepKpa;
  // Where a valve's step is small, less than that is noise.
  return isClosed && beforeKpa - afterKpa >= max<f32>(STOPPED_SHARE * stepKpa, p.missedKpa / <f32>(c.judgeToTicks - c.judgeFromTicks));
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
export function judgeDoubt(row: Row, evidenceKpa: f32, isFar: bool, p: Parameters, c: Coefficients): void {
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
  else {
    const isOpen = detector.judgedKpa > thresholdOf(detector, p);
    // The next close is judged by the drift after this one.
    if (isOpen) detector.doubtRateKpa = judgedRate(detector, valve, stepOf(row.probe, <u8>(detector.doubt - 1)), c);
    tryAgain(valve, !isMotionKnown || isOpen, p, c);
  }
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

/** An open valve would have brought the pressure to where its oil no longer moves it. */
export function isAtEnd(row: Row, which: u8, c: Coefficients): bool {
  const probe = row.probe;
  if (which === Valve.Supply) return probe.supplyStepKpa < END_SHARE * probe.returnStepKpa;
  return probe.pressureRawKpa <= c.floorKpa;
}

/**
 * A suspicion that the pressure does not resolve. Where an open valve would have brought it, the valve stays doubted and is closed
 * again now and then; elsewhere the suspicion ends with the check. A stuck valve stays suspect.
 */
export function waitInDoubt(row: Row, isEnd: bool, p: Parameters, c: Coefficients): void {
  const detector = row.detector;
  const valve = row.valve(<u8>(detector.doubt - 1));
  holdPulses(row.pair);
  if (valve.stuck !== 0 || valve.suspected !== 0 || valve.quietTicks < c.judgeToTicks) return;
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
