import { Order, RowFault, Wish } from './generated/enums';
import { PairState, Parameters, ValveState } from './generated/records';
import { clamp } from './load-loop';
import { countDown } from './time';

/** Covariance of the learned gain at start and at most, 1/kPa²: trusts a first gain to ±0.4 against ±20 kPa of reading. */
export const COVARIANCE_MAX: f32 = 0.0004;

/** Pulses that should step further than this many times learnAboveKpa teach nothing: the compliance changes on the way. */
const LEARN_SPAN: f32 = 20;
/** Steps below and above these shares of the expected one teach nothing: gains of 0.2 to 4 are still reached, in a few pulses. */
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
 * Steps are read from the low-passed pressure. It has not quite settled after settleTicks, which costs 4 %; read from the raw
 * pressure, the row's motion in a field biases the gain by 15 % and more.
 */

/** Notes the pressure before a pulse, as long as the pulse waits for its slot. */
export function prepareLearning(pair: PairState, supply: ValveState, back: ValveState, pressureKpa: f32): void {
  const valve = pair.openWish === Wish.Hold && supply.request === Order.Open ? supply : back;
  if (valve.request !== Order.Open) return;
  valve.beforeKpa = pressureKpa;
  valve.stepKpaPerTick = pair.stepKpaPerTick;
}

/** Reads the step of the last pulse when it has settled. A new pulse, or a pressure in doubt, ends the wait unread. */
export function learnAfterPulse(
  pair: PairState,
  supply: ValveState,
  back: ValveState,
  pressureKpa: f32,
  trouble: u32,
  p: Parameters,
): void {
  if (pair.learnWish === Wish.Hold) return;
  const isSpoiled = pair.openWish !== Wish.Hold || (trouble & RowFault.ANY_HOLD) !== 0;
  if (!isSpoiled && pair.settleTicks !== 0) {
    pair.settleTicks = countDown(pair.settleTicks);
    return;
  }
  const isRaise = pair.learnWish === Wish.Raise;
  pair.learnWish = Wish.Hold;
  if (isSpoiled || p.gainLearning === 0) return;
  const valve = isRaise ? supply : back;
  const expectedKpa = valve.stepKpaPerTick * <f32>valve.openTicks;
  const measuredKpa = isRaise ? pressureKpa - valve.beforeKpa : valve.beforeKpa - pressureKpa;
  const isTelling = expectedKpa * valve.gain >= p.learnAboveKpa && expectedKpa <= LEARN_SPAN * p.learnAboveKpa;
  // A step far from what the gain so far makes of it was no pulse of this valve: a stroke that failed, or the field.
  const share = measuredKpa / (expectedKpa * valve.gain);
  const isPlausible = share >= LEAST_SHARE && share <= MOST_SHARE;
  if (isTelling && isPlausible) learnGain(valve, measuredKpa, expectedKpa, p);
}
