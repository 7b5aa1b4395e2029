import { isBlind } from './detector';
import { MissedValve, Order, RowFault, Wish } from './generated/enums';
import { DetectorState, PairState, Parameters, RowProbe, ValveState } from './generated/records';
import { clamp } from './load-loop';
import { countDown } from './time';

/** Covariance of the learned gain at start and at most, 1/kPa²: trusts a first gain to ±0.4 against ±20 kPa of reading. */
export const COVARIANCE_MAX: f32 = 0.0004;

/** Pulses that should step further than this many times learnMinKpa teach nothing: the compliance changes on the way. */
const LEARN_SPAN: f32 = 20;
/** Steps below and above these shares of what the gain so far makes of them teach nothing. */
const LEAST_SHARE: f32 = 0.3;
const MOST_SHARE: f32 = 3;

/**
 * Learns a valve's gain from one pulse by recursive least squares with forgetting on measured = gain · expected
 * (Ljung, System Identification, 2nd ed., eq 11.16 ff.). Both as sizes, kPa.
 */
export function learnGain(valve: ValveState, measuredKpa: f32, expectedKpa: f32, p: Parameters): void {
  const spread = valve.covariance * expectedKpa;
  const weight = spread / (p.gainForgetting + spread * expectedKpa);
  valve.gain = clamp(valve.gain + weight * (measuredKpa - valve.gain * expectedKpa), p.gainMin, p.gainMax);
  valve.covariance = min<f32>((valve.covariance - weight * spread) / p.gainForgetting, COVARIANCE_MAX);
}

/*
 * What a pulse did is read from the watch's rest: the pressure less that of own pulses and of the row's motion. If the gain is
 * right, the rest is the same after the pulse as before; what it has changed by is the gain's error. A strategy that fires on
 * noise in the pressure would read a step too small against the pressure it fired at; here the pressure before is the
 * watch's, which no strategy looks at.
 */

/** What the rest changes by is counted from before a pulse, as long as the pulse waits for its slot. */
export function prepareLearning(pair: PairState, supply: ValveState, back: ValveState, watch: DetectorState): void {
  const valve = pair.openWish === Wish.Hold && supply.request === Order.Open ? supply : back;
  if (valve.request !== Order.Open) return;
  watch.residualStepKpa = 0;
  pair.expectedKpa = 0;
}

/** Adds up what the open valve should give at gain 1. */
function followPulse(pair: PairState, supply: ValveState, back: ValveState, probe: RowProbe): void {
  if (pair.flowWish === Wish.Raise) pair.expectedKpa += probe.supplyStepKpa / supply.gain;
  if (pair.flowWish === Wish.Lower) pair.expectedKpa += probe.returnStepKpa / back.gain;
}

/** Reads the step of the last pulse when it has settled. A new pulse, or a pressure in doubt, ends the wait unread. */
export function learnAfterPulse(
  pair: PairState,
  supply: ValveState,
  back: ValveState,
  watch: DetectorState,
  probe: RowProbe,
  trouble: u32,
  p: Parameters,
): void {
  followPulse(pair, supply, back, probe);
  if (pair.learnWish === Wish.Hold) return;
  const isSpoiled = pair.openWish !== Wish.Hold || watch.missedValve !== MissedValve.None || (trouble & RowFault.ANY_HOLD) !== 0;
  if (!isSpoiled && pair.settleTicks !== 0) {
    pair.settleTicks = countDown(pair.settleTicks);
    return;
  }
  const isRaise = pair.learnWish === Wish.Raise;
  pair.learnWish = Wish.Hold;
  // Where motion will be known again it is not taken for oil meanwhile.
  const isWaiting = p.accelerationFitted !== 0 && isBlind(watch);
  if (isSpoiled || isWaiting || p.gainLearning === 0) return;
  const valve = isRaise ? supply : back;
  const errorKpa = isRaise ? watch.residualStepKpa : -watch.residualStepKpa;
  const knownKpa = pair.expectedKpa * valve.gain;
  const measuredKpa = knownKpa + errorKpa;
  const isTelling = knownKpa >= p.learnMinKpa && pair.expectedKpa <= LEARN_SPAN * p.learnMinKpa;
  // A step far from what the gain so far makes of it was no pulse of this valve: a stroke that failed, or the field.
  const share = measuredKpa / knownKpa;
  const isPlausible = share >= LEAST_SHARE && share <= MOST_SHARE;
  if (isTelling && isPlausible) learnGain(valve, measuredKpa, pair.expectedKpa, p);
}
