import { VELOCITY_MAX_MPS } from './drift';
import { Channel, Wish } from './generated/enums';
import { BandState, Coefficients, MotionState } from './generated/records';
import { clamp } from './load-loop';
import { Row } from './row-records';
import { countDown } from './time';

/*
 * The accelerometer, and what it says about the row. Its slow part is taken away: offset, tilt, slope and gravity, if the sensor
 * feels it. In the band in which the row moves, but the frame does not, three signals then have to agree:
 *
 *   pressure = stiffness · motion        the gas is compressed by the row's motion
 *   load     = inertia + …               what the wheels push is what accelerates the row
 *
 * Regression over the last seconds gives both slopes. If the load follows the inertia with another slope than 1, the scale of the
 * accelerometer is wrong; what is then left of the first slope is the accumulator's gas. If pressure and motion have nothing in
 * common, the accelerometer does not measure the row's motion, and the row is controlled as one without. If load and inertia have
 * nothing in common, it is so too until the pressure has spoken for the accelerometer: then the load is wrong.
 */

/** Corner of the slow part, Hz: far below the predictor's lowest band. */
export const SLOW_HZ: f32 = 0.03;
/** The signals are compared this often, Hz. */
export const COMPARE_HZ: f32 = 100;
/** Band in which they are compared, Hz. */
export const BAND_FROM_HZ: f32 = 3;
export const BAND_TO_HZ: f32 = 8;
/** Averaging time of the regression, s. */
export const COMPARE_TIME_S: f32 = 2;

/** Time without comparing after a gap, s: the band-passes settle. */
export const COMPARE_WAIT_S: f32 = 0.5;
/** Slopes of a sound row, from simulations on classes C to E: the opener carries a part of the load, and the linkage moves. */
const LOAD_SLOPE: f32 = 0.88;
const PRESSURE_SLOPE: f32 = 0.95;
/** Mean square of the pressure change between two comparisons from which on they tell something, kPa²: twice its noise. */
const PRESSURE2_MIN: f32 = 9;
/** Correlation of pressure and motion below which the accelerometer is doubted, and above which it is trusted again. */
const COHERENCE_LOST: f32 = 0.33;
const COHERENCE_BACK: f32 = 0.65;
/** What the past still counts when load and inertia part: it must not be enough to end the doubt. */
const PAST_SHARE: f32 = 0.6;
/** Correlation from which on their slope is precise enough for a correction. */
const CLEAR: f32 = 0.85;
const OUTLIER: f32 = 3;
/** A correction begins outside the outer limits, and ends inside the inner ones. */
const OUTER_FROM: f32 = 0.87;
const OUTER_TO: f32 = 1.15;
const INNER_FROM: f32 = 0.93;
const INNER_TO: f32 = 1.08;
const SCALE_MIN: f32 = 0.4;
const SCALE_MAX: f32 = 2.5;
const GAS_MIN: f32 = 0.1;
const GAS_MAX: f32 = 3;
/** Gas ratio below which the accumulator has lost its precharge. */
export const GAS_LOW: f32 = 0.6;

/** Acceleration without its slow part, as the sensor would read it with the right scale. The first readings seed the slow part. */
export function followAcceleration(row: Row, c: Coefficients): f32 {
  const channel = row.channel(Channel.Acceleration);
  const motion = row.motion;
  if (channel.valid === 0) return 0;
  // An impossible velocity comes from a reading that has jumped, such as by gravity: its slow part is another one now.
  if (abs<f32>(row.detector.smoothMps) >= VELOCITY_MAX_MPS) motion.seedTicks = 0;
  const isSeeding = motion.seedTicks < c.slowTicks;
  if (isSeeding) motion.seedTicks += 1;
  const weight: f32 = isSeeding ? <f32>1 / <f32>motion.seedTicks : c.slowAccelerationWeight;
  motion.slowMps2 += weight * (channel.value - motion.slowMps2);
  return motion.scale * (channel.value - motion.slowMps2);
}

/** Low-pass, then twice a high-pass, all of first order. */
function nextBand(band: BandState, value: f32, c: Coefficients): f32 {
  band.low += c.bandToWeight * (value - band.low);
  band.slow += c.bandFromWeight * (band.low - band.slow);
  const once = band.low - band.slow;
  band.slower += c.bandFromWeight * (once - band.slower);
  return once - band.slower;
}

/**
 * A ratio that has been measured corrects a nominal 1 only if it is far from it, and until it is near again: the difference may be
 * the field's, and the nominal value is the one that everything was tuned with.
 */
export function correction(measured: f32, now: f32): f32 {
  const isNear = measured > INNER_FROM && measured < INNER_TO;
  const isFar = measured < OUTER_FROM || measured > OUTER_TO;
  return isFar || (now !== 1 && !isNear) ? measured : 1;
}

/**
 * A slope of the pressure that is far from nominal is the sensor's scale if the load has about the same slope, and the accumulator's
 * gas if the load has its nominal one. The slope of the load alone is not precise enough: it depends on the field.
 */
function correct(motion: MotionState): void {
  const slope = correction(motion.motionPressure / (PRESSURE_SLOPE * motion.motion2), motion.slope);
  const ofLoad = motion.inertiaLoad / (LOAD_SLOPE * motion.inertia2);
  // Nearer to the slope than to 1, on a logarithmic scale.
  const isScale = slope > 1 ? ofLoad * ofLoad > slope : ofLoad * ofLoad < slope;
  motion.slope = slope;
  motion.scale = isScale ? clamp(slope, SCALE_MIN, SCALE_MAX) : 1;
  motion.gasRatio = isScale ? 1 : clamp(1 / slope, GAS_MIN, GAS_MAX);
}

/** Whether two signals have at least this correlation: their mean product and mean squares. */
function hasInCommon(correlation: f32, product: f32, one2: f32, other2: f32): bool {
  return product > 0 && product * product > correlation * correlation * one2 * other2;
}

/** Whether two signals have too little in common. `was`: whether they had before. */
function isIncoherent(product: f32, one2: f32, other2: f32, was: u8): bool {
  return !hasInCommon(was === 0 ? COHERENCE_LOST : COHERENCE_BACK, product, one2, other2);
}

/**
 * Factor that limits a pressure change to OUTLIER times what is normal: a step by oil that was not metered must not look like a dead
 * sensor. The motion gets the same factor, so that a real jolt keeps its slope.
 */
function limitOf(changeKpa: f32, meanSquare: f32): f32 {
  const limit2 = OUTLIER * OUTLIER * max<f32>(meanSquare, PRESSURE2_MIN);
  const square = changeKpa * changeKpa;
  return square <= limit2 ? 1 : sqrt<f32>(limit2 / square);
}

/** Who is right, by what has been compared until now. */
function conclude(motion: MotionState): void {
  if (PAST_SHARE >= COHERENCE_BACK) ERROR('the past alone must not end a doubt');
  if (motion.pressure2 < PRESSURE2_MIN) return;
  const wasDoubtful = motion.isDoubtful !== 0;
  motion.isDoubtful = isIncoherent(motion.motionPressure, motion.motion2, motion.pressure2, motion.isDoubtful) ? 1 : 0;
  if (motion.isDoubtful !== 0) {
    // The load was compared with a wrong inertia.
    motion.isLoadDoubtful = 0;
    return;
  }
  const isParted = isIncoherent(motion.inertiaLoad, motion.inertia2, motion.load2, motion.isLoadDoubtful);
  if (isParted && !wasDoubtful && motion.isLoadDoubtful === 0) {
    // One of the two is wrong. It is the accelerometer, unless the pressure goes on speaking for it: the past is not enough.
    motion.isDoubtful = 1;
    motion.motionPressure *= PAST_SHARE;
    return;
  }
  motion.isLoadDoubtful = isParted ? 1 : 0;
  // Slopes count only between signals that have nearly all in common.
  const isClear = hasInCommon(CLEAR, motion.motionPressure, motion.motion2, motion.pressure2);
  if (!isParted && isClear) correct(motion);
}

/**
 * One tick of the comparison.
 * @param isDue the signals are compared in this tick
 * @param isShown the pressure is valid and above precharge
 */
export function compareMotion(row: Row, isDue: bool, isShown: bool, c: Coefficients): void {
  const motion = row.motion;
  const detector = row.detector;
  motion.travel += detector.smoothMps;
  if (!isShown || row.channel(Channel.Acceleration).valid === 0) motion.waitTicks = <u16>c.compareWaitTicks;
  motion.waitTicks = countDown(motion.waitTicks);
  if (!isDue) return;
  const predictor = row.predictor;
  // As if the accumulator held its nominal gas, and the sensor had its nominal scale.
  const nominal: f32 = motion.gasRatio / motion.scale;
  const motionKpa = ((c.strokeVolumeMlPerMps * motion.travel) / row.probe.compliance) * nominal;
  // While oil flows both count as 0: the oil that is metered depends on the gas, so an error of it would feed on itself.
  const isStill = row.pair.openWish === Wish.Hold && row.pair.learnWish === Wish.Hold;
  const bandMotionKpa = nextBand(row.motionBand, isStill ? motionKpa : 0, c);
  const changeKpa = nextBand(row.pressureBand, isStill ? detector.residualKpa - motion.residualKpa : 0, c);
  const limit = limitOf(changeKpa, motion.pressure2);
  const x = limit * bandMotionKpa;
  const y = limit * changeKpa;
  const inertia = nextBand(row.inertiaBand, predictor.sensedInertiaN / motion.scale, c);
  const load = nextBand(row.loadBand, row.probe.loadRawN, c);
  motion.travel = 0;
  motion.residualKpa = detector.residualKpa;
  const isStuck = row.supply.stuck !== 0 || row.returnValve.stuck !== 0;
  if (motion.waitTicks !== 0 || isStuck) return;
  const w = c.compareWeight;
  motion.motion2 += w * (x * x - motion.motion2);
  motion.pressure2 += w * (y * y - motion.pressure2);
  motion.motionPressure += w * (x * y - motion.motionPressure);
  motion.inertia2 += w * (inertia * inertia - motion.inertia2);
  motion.inertiaLoad += w * (inertia * load - motion.inertiaLoad);
  motion.load2 += w * (load * load - motion.load2);
  conclude(motion);
}
