import { proofOf } from './doubt';
import { correctOil, hasNoVelocity } from './drift';
import { MissedValve, Order, RowFault, Wish } from './generated/enums';
import { Parameters, ValveState } from './generated/records';
import { clamp } from './load-loop';
import { Row } from './row-records';
import { countDown } from './time';
import { countMissedOpen, countOpen } from './valve-pair';

/** Covariance of the learned gain at start and at most, 1/kPa²: trusts a first gain to ±0.4 against ±20 kPa of reading. */
export const COVARIANCE_MAX: f32 = 0.0004;

/** No gain is learned from pulses with an expected step above this multiple of learnMinKpa: the compliance changes too much. */
const LEARN_SPAN: f32 = 20;
/** No gain is learned from steps outside these multiples of what the present gain predicts. */
const MIN_SHARE: f32 = 0.3;
const MAX_SHARE: f32 = 3;

/**
 * Learns a valve's gain from one pulse by recursive least squares with forgetting on measured = gain · expected
 * (Ljung, System Identification, 2nd ed., eq 11.16 ff.). Both are magnitudes, kPa.
 */
export function learnGain(valve: ValveState, measuredKpa: f32, expectedKpa: f32, p: Parameters): void {
  const spread = valve.covariance * expectedKpa;
  const weight = spread / (p.gainForgetting + spread * expectedKpa);
  valve.gain = clamp(valve.gain + weight * (measuredKpa - valve.gain * expectedKpa), p.gainMin, p.gainMax);
  valve.covariance = min<f32>((valve.covariance - weight * spread) / p.gainForgetting, COVARIANCE_MAX);
}

/*
 * The effect of a pulse is read from the detector's residual: the pressure without metered oil and without the row's motion. If
 * the gain is right, the residual is the same after the pulse as before; any change is the gain's error. A strategy that fires
 * on noise in the pressure would find too small a step against the pressure it fired at; the detector's residual before the
 * pulse has no such bias, because no strategy uses it.
 */

/** A pulse is about to begin: its step is measured from here. */
export function startLearning(row: Row): void {
  row.detector.residualStepKpa = 0;
  row.pair.expectedKpa = 0;
}

/** The step is measured from before the pulse, so it restarts as long as the pulse waits for its slot. */
export function prepareLearning(row: Row): void {
  const supply = row.supply;
  const valve = row.pair.openWish === Wish.Hold && supply.request === Order.Open ? supply : row.returnValve;
  if (valve.request === Order.Open) startLearning(row);
}

/** Adds up the expected effect of the open valve at gain 1. */
function addExpected(row: Row): void {
  const pair = row.pair;
  if (pair.flowWish === Wish.Raise) pair.expectedKpa += row.probe.supplyStepKpa / row.supply.gain;
  if (pair.flowWish === Wish.Lower) pair.expectedKpa += row.probe.returnStepKpa / row.returnValve.gain;
}

/** A pulse that seemed to pass no oil did so if this share of its expected effect or more is missing in the end. */
const PASSED_SHARE: f32 = 0.35;

/** Judges the pulse that has ended and settled: missed, passed, or neither. */
function judgePulse(row: Row, valve: ValveState, predictedKpa: f32, measuredKpa: f32, isSuspect: bool, p: Parameters): bool {
  const detector = row.detector;
  if (isSuspect && measuredKpa < PASSED_SHARE * predictedKpa) {
    const isRaise = row.pair.learnWish === Wish.Raise;
    correctOil(row, isRaise ? measuredKpa - predictedKpa : predictedKpa - measuredKpa);
    countMissedOpen(valve, predictedKpa * row.probe.compliance, p.strokeTries, proofOf(detector, p));
    detector.missedValve = isRaise ? MissedValve.Supply : MissedValve.Return;
    return true;
  }
  if (predictedKpa >= p.learnMinKpa && measuredKpa > <f32>0.5 * predictedKpa) countOpen(valve);
  return false;
}

/** Learns from the last pulse once the pressure has settled. A new pulse or an invalid pressure ends the wait without learning. */
export function learnAfterPulse(row: Row, p: Parameters): void {
  const pair = row.pair;
  const detector = row.detector;
  addExpected(row);
  if (pair.learnWish === Wish.Hold) {
    // A pulse that a loss of power has cut off is never judged.
    if (pair.openWish === Wish.Hold) pair.suspectPulse = 0;
    return;
  }
  const isSpoiled = pair.openWish !== Wish.Hold || detector.doubt !== MissedValve.None || (row.activeFaults & RowFault.ANY_PRESSURE) !== 0;
  if (!isSpoiled && pair.settleTicks !== 0) {
    pair.settleTicks = countDown(pair.settleTicks);
    return;
  }
  const isRaise = pair.learnWish === Wish.Raise;
  const isSuspect = pair.suspectPulse !== 0;
  const valve = isRaise ? row.supply : row.returnValve;
  const errorKpa = isRaise ? detector.residualStepKpa : -detector.residualStepKpa;
  const predictedKpa = pair.expectedKpa * valve.gain;
  const measuredKpa = predictedKpa + errorKpa;
  const isMissed = !isSpoiled && judgePulse(row, valve, predictedKpa, measuredKpa, isSuspect, p);
  pair.learnWish = Wish.Hold;
  pair.suspectPulse = 0;
  // With an accelerometer, motion is not mistaken for oil while the velocity is temporarily invalid.
  const isWaiting = p.accelerationFitted !== 0 && hasNoVelocity(detector);
  if (isSpoiled || isMissed || isWaiting || p.gainLearning === 0) return;
  const isSignificant = predictedKpa >= p.learnMinKpa && pair.expectedKpa <= LEARN_SPAN * p.learnMinKpa;
  // A step far from what the present gain predicts was not a pulse of this valve, but a missed stroke or the field.
  const share = measuredKpa / predictedKpa;
  const isPlausible = share >= MIN_SHARE && share <= MAX_SHARE;
  if (isSignificant && isPlausible) learnGain(valve, measuredKpa, pair.expectedKpa, p);
}
