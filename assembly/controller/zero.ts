import { ZeroResult } from './generated/enums';
import { Coefficients, Parameters, ZeroState } from './generated/records';
import { countUp } from './time';

/*
 * At each lift the load sensor shows its zero. Once the frame is up and liftSettleMs have passed, windows follow one another until
 * one is accepted: quiet and plausible. Its mean becomes the zero, and the rest of the lift is not used. A refused window is only
 * reported if the lift ends without a zero, or after REFUSALS windows: a row may sway for a while.
 */

/** Number of refused windows after which a longer lift is not expected to help (our choice). */
const REFUSALS: u16 = 5;

function openWindow(zero: ZeroState, loadRawN: f32): void {
  zero.firstN = loadRawN;
  zero.lowestN = loadRawN;
  zero.highestN = loadRawN;
  zero.sumN = 0;
}

/** Judges a full window. The first zero after start has no zero expected. */
export function judgeWindow(meanN: f32, spreadN: f32, expectedN: f32, isFirst: bool, p: Parameters): u8 {
  const isQuiet = spreadN <= p.zeroSpreadN;
  const isNear = isFirst || abs<f32>(meanN - expectedN) <= p.zeroStepN;
  const isPossible = abs<f32>(meanN) <= p.zeroLimitN;
  if (!isQuiet) return ZeroResult.Noisy;
  return isNear && isPossible ? ZeroResult.Accepted : ZeroResult.Implausible;
}

function closeWindow(zero: ZeroState, offsetN: f32, p: Parameters): void {
  // The sum is of differences from the first load, so that it fits an f32's 24 bits however long the window is.
  const meanN = zero.firstN + zero.sumN / <f32>zero.ticks;
  zero.result = judgeWindow(meanN, zero.highestN - zero.lowestN, zero.zeroN + offsetN, zero.hasZero === 0, p);
  zero.ticks = 0;
  if (zero.result !== ZeroResult.Accepted) {
    zero.refusals = countUp(zero.refusals);
    if (zero.refusals >= REFUSALS) zero.reported = zero.result;
    return;
  }
  zero.zeroN = meanN;
  zero.reported = ZeroResult.Accepted;
  zero.accepted = 1;
  zero.hasZero = 1;
}

/**
 * One tick of the re-zero. Returns whether a zero was accepted in it.
 * @param offsetN what the last zero is known to be wrong by
 */
export function updateZero(
  zero: ZeroState,
  loadRawN: f32,
  isLoadValid: bool,
  isLifted: bool,
  offsetN: f32,
  p: Parameters,
  c: Coefficients,
): bool {
  if (!isLifted) {
    if (zero.refusals !== 0 && zero.accepted === 0) zero.reported = zero.result;
    zero.waitTicks = 0;
    zero.ticks = 0;
    zero.accepted = 0;
    zero.refusals = 0;
    return false;
  }
  if (zero.accepted !== 0) return false;
  zero.waitTicks = countUp(zero.waitTicks);
  if (!isLoadValid || zero.waitTicks <= c.liftSettleTicks) {
    zero.ticks = 0;
    return false;
  }
  if (zero.ticks === 0) openWindow(zero, loadRawN);
  zero.sumN += loadRawN - zero.firstN;
  zero.lowestN = min<f32>(zero.lowestN, loadRawN);
  zero.highestN = max<f32>(zero.highestN, loadRawN);
  zero.ticks += 1;
  if (zero.ticks >= c.zeroWindowTicks) closeWindow(zero, offsetN, p);
  return zero.accepted !== 0;
}
