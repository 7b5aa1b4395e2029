import { Belief, DetectorMode, MissedValve, Order, PulseFault, Wish } from './generated/enums';
import { Coefficients, DetectorState, PairState, Parameters, RowProbe, ValveState } from './generated/records';
import { correctMetered, restartMetered } from './predictor';
import { Row } from './row-records';
import { countDown } from './time';
import { repeatClose, setMissedClose, setMissedOpen } from './valve-pair';

/*
 * Finds missed strokes and leaks. A stroke that does not move its valve is silent, but the pressure shows it. The pressure
 * change that neither metered oil nor the row's motion explains is drift; a cumulative sum (Page 1954, Biometrika 41:100-115)
 * finds the moment from which it drifts as if a valve were not where it is believed to be:
 *
 *   mode        missed stroke                                  drift per tick      sum grows by
 *   closed      close of the supply valve                      + supply step       drift − 0.4 step
 *   closed      close of the return valve                      − return step       −drift − 0.4 step
 *   raising     open of the supply valve: less oil than metered − supply step      −drift − ¾ step
 *   lowering    open of the return valve                       + return step       drift − ¾ step
 *
 * With ¾, a valve that passes only half of the expected oil still counts as open.
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
/** After an invalid acceleration, the velocity is not used for this long, s. */
export const NO_VELOCITY_S: f32 = 1.5;
/** The velocity contains the frame's own motion for this long after the frame has come down, s. */
export const FRAME_S: f32 = 3;
/** Averaging time of the leak, in time with closed valves, s. */
export const LEAK_TIME_S: f32 = 20;
/** Nearer to the floor than this, only the upper part of the pressure's swings is visible. */
const FLOOR_MARGIN_KPA: f32 = 500;
/** Share of the metered oil that is tolerated as a leak: metering is not more accurate. */
const METERED_SHARE: f32 = 0.1;
/**
 * An opening stroke is confirmed once its pulse should have moved the pressure by CONFIRM_SHARE · missedKpa, with less than
 * MISSED_SHARE of that in the sum. If the valve had not moved, the sum would be a tenth of it by then, and a quarter later.
 */
const CONFIRM_SHARE: f32 = 8;
const MISSED_SHARE: f32 = 0.0625;

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
  const validMps: f32 = hasNoVelocity(detector) ? 0 : detector.velocityMps - detector.slowMps;
  detector.smoothMps += c.detectorWeight * (validMps - detector.smoothMps);
}

/** Low-passes the pressure that metered oil does not explain. Returns its change minus that by the row's motion, kPa. */
export function followDrift(
  detector: DetectorState,
  probe: RowProbe,
  isPressureValid: bool,
  isAccelerationValid: bool,
  c: Coefficients,
): f32 {
  detector.noVelocityTicks = isAccelerationValid ? countDown(detector.noVelocityTicks) : <u16>c.noVelocityTicks;
  if (detector.hasPressure === 0) {
    detector.residualKpa = probe.pressureRawKpa - probe.meteredKpa;
    if (detector.slowKpa === 0) detector.slowKpa = probe.pressureRawKpa;
  }
  detector.hasPressure = isPressureValid ? 1 : 0;
  followVelocity(detector, probe.accelerationMps2, c);
  const changeKpa = c.detectorWeight * (probe.pressureRawKpa - probe.meteredKpa - detector.residualKpa);
  detector.residualKpa += changeKpa;
  detector.motionKpa = (c.strokeVolumeMlPerMps * detector.smoothMps) / probe.compliance;
  const driftKpa = changeKpa - detector.motionKpa;
  detector.residualStepKpa += driftKpa;
  return driftKpa;
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

/** Adds to both sums, and keeps the residual from which each began to grow. */
export function addDrift(detector: DetectorState, driftKpa: f32, riseAllowedKpa: f32, fallAllowedKpa: f32): void {
  const motionErrorKpa = MOTION_SHARE * abs<f32>(detector.motionKpa);
  detector.cusumUpKpa = max<f32>(0, detector.cusumUpKpa + driftKpa - riseAllowedKpa - motionErrorKpa);
  detector.cusumDownKpa = max<f32>(0, detector.cusumDownKpa - driftKpa - fallAllowedKpa - motionErrorKpa);
  if (detector.cusumUpKpa === 0) detector.cusumUpFromKpa = detector.residualKpa;
  if (detector.cusumDownKpa === 0) detector.cusumDownFromKpa = detector.residualKpa;
}

/** `fromKpa`: the residual before this tick. */
function restartSums(detector: DetectorState, mode: u8, fromKpa: f32): void {
  detector.mode = mode;
  detector.cusumUpKpa = 0;
  detector.cusumDownKpa = 0;
  detector.cusumUpFromKpa = fromKpa;
  detector.cusumDownFromKpa = fromKpa;
  detector.pulseKpa = 0;
}

/** The residual is relative to the metered oil, so it follows when that sum restarts. */
function limitMetered(row: Row, c: Coefficients): void {
  const shiftKpa = restartMetered(row.predictor, row.probe, c);
  if (shiftKpa === 0) return;
  const detector = row.detector;
  detector.residualKpa += shiftKpa;
  detector.cusumUpFromKpa += shiftKpa;
  detector.cusumDownFromKpa += shiftKpa;
}

/**
 * Threshold for a sum, kPa. What a rough field did once it may do again: each miss in a row needs twice the sum of the one before.
 * The threshold without a velocity is far beyond what a field does; twice as much would be beyond what a rail can do.
 */
function thresholdOf(detector: DetectorState, missed: u8, p: Parameters): f32 {
  return hasNoVelocity(detector) ? p.missedNoAccelKpa : p.missedKpa * <f32>(1 << min<u32>(missed, 8));
}

/** A valve is checked for a while after its closing stroke; a stuck one is not. */
function isChecked(valve: ValveState, c: Coefficients): bool {
  return valve.quietTicks < c.missedWindowTicks && valve.stuck === 0;
}

/** At the end of that time without a finding, the valve is closed, and earlier misses no longer count. */
function confirmClose(valve: ValveState, c: Coefficients): void {
  if (valve.quietTicks === c.missedWindowTicks && valve.belief === Belief.Closed) valve.missedCloses = 0;
}

/**
 * With both valves believed closed: has one of them missed its last closing stroke? What has flowed since is the change of the
 * residual, and what the low-pass, late by 1/detectorWeight ticks, does not show yet.
 */
function judgeClosed(row: Row, p: Parameters, c: Coefficients): void {
  const detector = row.detector;
  const predictor = row.predictor;
  const probe = row.probe;
  const supply = row.supply;
  const returnValve = row.returnValve;
  if (detector.cusumUpKpa > thresholdOf(detector, supply.missedCloses, p) && isChecked(supply, c)) {
    correctMetered(predictor, detector.residualKpa - detector.cusumUpFromKpa + probe.supplyStepKpa / c.detectorWeight);
    detector.residualKpa = detector.cusumUpFromKpa;
    setMissedClose(row.pair, supply, p.strokeTries, c);
    detector.missedValve = MissedValve.Supply;
  } else if (detector.cusumDownKpa > thresholdOf(detector, returnValve.missedCloses, p) && isChecked(returnValve, c)) {
    correctMetered(predictor, detector.residualKpa - detector.cusumDownFromKpa - probe.returnStepKpa / c.detectorWeight);
    detector.residualKpa = detector.cusumDownFromKpa;
    setMissedClose(row.pair, returnValve, p.strokeTries, c);
    detector.missedValve = MissedValve.Return;
  } else if (hasNoVelocity(detector)) {
    // Motion can look like an open valve, but an extra stroke costs less than a valve that stays open.
    if (detector.cusumUpKpa > p.suspectKpa && isChecked(supply, c)) repeatClose(supply);
    if (detector.cusumDownKpa > p.suspectKpa && isChecked(returnValve, c)) repeatClose(returnValve);
  }
}

/**
 * With a valve believed open: does the pressure follow? `stepKpa`: its expected effect per tick, with its sign; `sumKpa`: the sum
 * against it; `fromKpa`: the residual from which that began to grow.
 */
function judgeOpen(row: Row, valve: ValveState, stepKpa: f32, sumKpa: f32, fromKpa: f32, p: Parameters, c: Coefficients): void {
  const detector = row.detector;
  const thresholdKpa = thresholdOf(detector, valve.missedOpens, p);
  detector.pulseKpa += stepKpa;
  if (row.pair.pulseFault !== PulseFault.None || valve.stuck !== 0) return;
  // The sum knows only what the low-pass already shows of the pulse.
  const shownKpa = abs<f32>(detector.pulseKpa) - abs<f32>(stepKpa) / c.detectorWeight;
  if (sumKpa > thresholdKpa) {
    correctMetered(row.predictor, -detector.pulseKpa);
    detector.residualKpa = fromKpa;
    setMissedOpen(row.pair, valve, p.strokeTries);
    detector.missedValve = stepKpa > 0 ? MissedValve.Supply : MissedValve.Return;
  } else if (shownKpa > CONFIRM_SHARE * p.missedKpa && sumKpa < MISSED_SHARE * shownKpa) valve.missedOpens = 0;
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
  const isObeyed = row.detector.frameSettled !== 0 && supply.stuck === 0 && returnValve.stuck === 0;
  return (
    mode === DetectorMode.Closed &&
    isObeyed &&
    min<u32>(supply.quietTicks, returnValve.quietTicks) > c.settleTicks &&
    row.detector.slowKpa > c.floorKpa + FLOOR_MARGIN_KPA
  );
}

/**
 * One tick of a row's detector.
 * @param isSignificant pressure and rail are valid, and the pressure is above precharge: it shows what valves do
 * @param isFrameSettled the frame has been down for long enough: the row's velocity is its motion relative to the frame
 */
export function updateDetector(
  row: Row,
  isPressureValid: bool,
  isAccelerationValid: bool,
  isSignificant: bool,
  isFrameSettled: bool,
  p: Parameters,
  c: Coefficients,
): void {
  const detector = row.detector;
  const probe = row.probe;
  detector.missedValve = MissedValve.None;
  confirmClose(row.supply, c);
  confirmClose(row.returnValve, c);
  limitMetered(row, c);
  const hadNoVelocity = hasNoVelocity(detector);
  detector.frameSettled = isFrameSettled ? 1 : 0;
  const fromKpa = detector.residualKpa;
  const driftKpa = followDrift(detector, probe, isPressureValid, isAccelerationValid, c);
  const mode = isPressureValid && isSignificant ? modeOf(row, c) : DetectorMode.Off;
  // What motion has added to the sums while it was not known must not count once it is.
  if (mode !== detector.mode || hadNoVelocity !== hasNoVelocity(detector)) restartSums(detector, mode, fromKpa);
  followLeak(detector, driftKpa, row.pair, isAtRest(row, mode, c), probe, c);
  const supplyKpa = probe.supplyStepKpa;
  const returnKpa = probe.returnStepKpa;
  if (CLOSED_SHARE >= 1 || OPEN_SHARE >= 1) ERROR('a sum must grow by the full step of a valve');
  if (mode === DetectorMode.Closed) {
    addDrift(detector, driftKpa, CLOSED_SHARE * supplyKpa, CLOSED_SHARE * returnKpa);
    judgeClosed(row, p, c);
  } else if (mode !== DetectorMode.Off) {
    addDrift(detector, driftKpa, OPEN_SHARE * returnKpa, OPEN_SHARE * supplyKpa);
    if (mode === DetectorMode.Raising) judgeOpen(row, row.supply, supplyKpa, detector.cusumDownKpa, detector.cusumDownFromKpa, p, c);
    else judgeOpen(row, row.returnValve, -returnKpa, detector.cusumUpKpa, detector.cusumUpFromKpa, p, c);
  }
  probe.cusumUpKpa = detector.cusumUpKpa;
  probe.cusumDownKpa = detector.cusumDownKpa;
  probe.leakMlPerMin = detector.leakMlPerMin;
}
