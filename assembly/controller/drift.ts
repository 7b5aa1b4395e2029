import { DetectorMode, MissedValve } from './generated/enums';
import { Coefficients, DetectorState, Parameters, RowProbe } from './generated/records';
import { correctMetered, restartMetered } from './predictor';
import { Row, rowAt } from './row-records';
import { countDown } from './time';

/*
 * Drift: the pressure change that neither metered oil nor the row's motion explains, and the part of it by the motion of the frame.
 */

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

/** Row velocity from the accelerometer, and the pressure change that it explains. */
function followMotion(detector: DetectorState, probe: RowProbe, isAccelerationValid: bool, c: Coefficients): void {
  const isPossible = abs<f32>(detector.smoothMps) < VELOCITY_MAX_MPS;
  detector.noVelocityTicks = isAccelerationValid && isPossible ? countDown(detector.noVelocityTicks) : <u16>c.noVelocityTicks;
  followVelocity(detector, probe.accelerationMps2, c);
  detector.motionKpa = hasNoVelocity(detector) ? 0 : (c.strokeVolumeMlPerMps * detector.smoothMps) / probe.compliance;
}

/** Low-passes the pressure that metered oil does not explain. Returns its change minus that by the row's motion, kPa. */
export function followDrift(
  detector: DetectorState,
  probe: RowProbe,
  isPressureValid: bool,
  isAccelerationValid: bool,
  p: Parameters,
  c: Coefficients,
): f32 {
  // Without an accelerometer velocity and motion stay 0.
  if (p.accelerationFitted !== 0) followMotion(detector, probe, isAccelerationValid, c);
  else detector.noVelocityTicks = <u16>c.noVelocityTicks;
  if (detector.hasPressure === 0) {
    detector.residualKpa = probe.pressureRawKpa - probe.meteredKpa;
    if (detector.slowKpa === 0) detector.slowKpa = probe.pressureRawKpa;
  }
  detector.hasPressure = isPressureValid ? 1 : 0;
  const changeKpa = c.detectorWeight * (probe.pressureRawKpa - probe.meteredKpa - detector.residualKpa);
  detector.residualKpa += changeKpa;
  return changeKpa - detector.motionKpa;
}

/** The residual is relative to the metered oil, so it follows when that changes. */
function shiftResidual(row: Row, kpa: f32): void {
  row.detector.residualKpa += kpa;
  row.motion.residualKpa += kpa;
}

export function limitMetered(row: Row, c: Coefficients): void {
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
export function followFrame(row: Row, rows: i32, driftKpa: f32, mode: u8, compliance: f32, c: Coefficients): f32 {
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
