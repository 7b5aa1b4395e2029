import { Coefficients, OffsetState, Parameters } from './generated/records';
import { countDown, countUp } from './time';

/*
 * An offset of the load sensor misleads the load loop, and between two lifts nothing but the wheels shows it: whenever they leave the
 * ground, the true load is exactly 0. The sensor's first-order lag hides it; without that lag, y + T·dy/dt, a lift-off is a flat bottom
 * between a fall and a sudden rise, as nothing else is:
 *
 *   reading    ‾‾\            /‾‾       flat: within FLAT_N for FLAT_S or longer
 *                 \__________/          rise: by RISE_N within RISE_S
 *
 * Bottoms of a load that does not reach 0 are rounder, and no two are alike. AGREEING lift-offs that agree give the offset. A reading
 * far below zero needs no lift-off to be wrong: the lag only makes it seem nearer to zero than it is.
 */

/** Corner of the two low-passes on the load without lag, Hz: below the noise that taking the lag away amplifies (our choice). */
export const OFFSET_HZ: f32 = 13;
/** The noise may grow by this much; a slower sensor's lag remains in part (our choice). */
export const OFFSET_LEAD_MAX: f32 = 5;
/**
 * Half the height of a flat stretch, N: five times the low-passed noise of the default sensor. Together with the other limits, no
 * sine of 2.5 Hz or more is taken for a lift-off, whatever its amplitude.
 */
const FLAT_N: f32 = 15;
/** Shortest and longest bottom of a lift-off, s. A longer one is a quiet field. */
export const FLAT_S: f32 = 0.05;
export const FLAT_MAX_S: f32 = 0.8;
/** When the wheels touch again, the load rises by this much, N, in this time, s. */
const RISE_N: f32 = 150;
export const RISE_S: f32 = 0.04;
/** Time for which a reading below zero must last, s. */
export const LOW_S: f32 = 0.015;
/** Lift-offs agree within this, N: several times what is left of the lag at the end of a short one. */
const AGREE_N: f32 = 30;
/** Number of lift-offs that must agree, and at most counted: as many that disagree make the sensor's past irrelevant. */
const AGREEING: u8 = 5;
const LIFT_OFFS_MAX: u8 = 8;
/** Weight of a new lift-off. */
const LIFT_OFF_WEIGHT: f32 = 0.25;
/** Largest reading at lift-off that is not an offset, N: an error of the last zero, and what is left of the lag. */
const LIFT_OFF_MAX_N: f32 = 100;

/** An offset found from lift-offs counts if it is beyond what a good zero leaves. */
function offsetOf(liftOffN: f32, p: Parameters): f32 {
  return liftOffN > LIFT_OFF_MAX_N || liftOffN < -p.belowZeroN ? liftOffN : 0;
}

/** Takes the reading at a lift-off. A higher one than the others may be none; a lower one shows that the others were none. */
function takeLiftOff(offset: OffsetState, bottomN: f32, p: Parameters): void {
  const differenceN = bottomN - offset.liftOffN;
  if (offset.liftOffs === 0 || differenceN < -AGREE_N) {
    offset.liftOffN = bottomN;
    offset.liftOffs = 1;
    return;
  }
  if (differenceN > AGREE_N) {
    offset.liftOffs -= 1;
    return;
  }
  offset.liftOffN += LIFT_OFF_WEIGHT * differenceN;
  offset.liftOffs = min<u8>(offset.liftOffs + 1, LIFT_OFFS_MAX);
  if (offset.liftOffs >= AGREEING) offset.offsetN = offsetOf(offset.liftOffN, p);
}

/** Looks for the flat bottom and the rise of a lift-off. */
function followBottom(offset: OffsetState, p: Parameters, c: Coefficients): void {
  const wheelN = offset.wheelN;
  if (abs<f32>(wheelN - offset.levelN) <= FLAT_N) offset.flatTicks = countUp(offset.flatTicks);
  else {
    const isBottom = wheelN > offset.levelN && offset.flatTicks >= c.flatTicks && offset.flatTicks <= c.flatMaxTicks;
    if (isBottom) {
      offset.flatN = offset.levelN;
      offset.riseTicks = <u16>c.riseTicks;
    }
    offset.levelN = wheelN;
    offset.flatTicks = 0;
  }
  if (offset.riseTicks === 0) return;
  offset.riseTicks = wheelN < offset.flatN - FLAT_N ? 0 : countDown(offset.riseTicks);
  if (wheelN <= offset.flatN + RISE_N) return;
  offset.riseTicks = 0;
  takeLiftOff(offset, offset.flatN, p);
}

/** One tick of the search. @param loadN after zero, with the sensor's lag */
export function updateOffset(offset: OffsetState, loadN: f32, isLoadValid: bool, p: Parameters, c: Coefficients): void {
  if (!isLoadValid) {
    offset.flatTicks = 0;
    offset.riseTicks = 0;
    offset.lowTicks = 0;
    return;
  }
  if (loadN < -p.belowZeroN) {
    offset.lowTicks = countUp(offset.lowTicks);
    if (offset.lowTicks >= c.lowTicks) offset.offsetN = min<f32>(offset.offsetN, loadN);
  } else offset.lowTicks = 0;
  // Low-pass and lead in one: (1 + T·s) / (1 + t·s) = T/t + (1 - T/t) / (1 + t·s).
  offset.lowPassN += c.offsetWeight * (loadN - offset.lowPassN);
  const leadN = offset.lowPassN + c.offsetLead * (loadN - offset.lowPassN);
  offset.wheelN += c.offsetWeight * (leadN - offset.wheelN);
  followBottom(offset, p, c);
}

/** A good zero: whatever was found before is over. The load is 0 now. */
export function restartOffset(offset: OffsetState): void {
  offset.lowPassN = 0;
  offset.wheelN = 0;
  offset.offsetN = 0;
  offset.flatTicks = 0;
  offset.riseTicks = 0;
  offset.liftOffs = 0;
}
