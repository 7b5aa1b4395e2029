import { Check } from './generated/enums';
import { ChannelSetting, ChannelState, Coefficients } from './generated/records';
import { countDown, countUp } from './time';

/** Compares ADC counts with a channel's limits. Returns the check that fails, or 0. */
export function rangeCheck(counts: u32, setting: ChannelSetting): u32 {
  if (Check.Short > 0xff || Check.Open > 0xff || Check.Range > 0xff) ERROR('ChannelState.rangeCheck has 8 bits');
  if (counts >= setting.lowCounts && counts <= setting.highCounts) return 0;
  if (counts < setting.shortCounts) return Check.Short;
  return counts > setting.openCounts ? Check.Open : Check.Range;
}

/** A healthy sensor does not move up and down by more than 5 % of full scale in this many ticks in a row (our choice). */
const FLIPS: u8 = 4;

/** Counts for how many ticks in a row the ADC counts have moved far and back: a loose wire within the range. */
function countFlips(channel: ChannelState, change: i32, setting: ChannelSetting): void {
  const isFlip = abs<i32>(change) > <i32>setting.flipCounts && change > 0 !== channel.changeCounts > 0;
  channel.flips = isFlip ? min<u8>(channel.flips + 1, FLIPS) : 0;
}

/*
 * A quiet sensor shows the same ADC counts for a while, a frozen one for ever. It is frozen if a related signal has moved meanwhile:
 *
 *   channel        related signals
 *   load           pressure; own metered oil (a row that sees a constant load keeps on metering in one direction)
 *   pressure       own metered oil; load
 *   acceleration   pressure
 *   rail           time for which oil has flowed from it
 */

/** Pressure change that load and acceleration do not miss: 1.2 % of the default sensor's range (our choice). */
export const RELATED_KPA: f32 = 300;
/** Effect of metered oil on the load that the load does not miss, N: some thirty ADC counts at the default span (our choice). */
export const RELATED_METERED_N: f32 = 50;
/** Effect of metered oil on the pressure that the pressure does not miss, ADC counts (our choice). */
export const RELATED_COUNTS: f32 = 8;
/** Load change that the pressure does not miss, N: the wheel gives way by 2 mm or more, and the gas with it (our choice). */
export const RELATED_LOAD_N: f32 = 300;
/** Flow from the rail that its pressure does not miss, ms of one open valve: some eight pulses (our choice). */
export const RELATED_SUPPLY_MS: f32 = 80;
/** A sensor that may rightly rest, such as that of the load with the wheels in the air, is only frozen after this many times as long. */
const REST_FACTOR: u32 = 10;

/**
 * Whether the counts have not changed for so long that the channel may be frozen; to be called after checkChannel(). After a change
 * the related signals are kept instead.
 */
export function isLongSame(channel: ChannelState, related1: f32, related2: f32, c: Coefficients): bool {
  if (channel.sameTicks === 0) {
    channel.related1 = related1;
    channel.related2 = related2;
    channel.frozen = 0;
    return false;
  }
  return channel.sameTicks >= c.frozenTicks && c.frozenTicks !== 0;
}

/**
 * Returns the check Frozen, or 0; to be called if isLongSame().
 * @param related1, related2 the channel's related signals
 * @param mayRest whether a constant value is plausible for a while
 */
export function frozenCheck(
  channel: ChannelState,
  related1: f32,
  related2: f32,
  mayRest: bool,
  setting: ChannelSetting,
  c: Coefficients,
): u32 {
  if (mayRest && channel.sameTicks < REST_FACTOR * c.frozenTicks) return 0;
  const hasMoved = abs<f32>(related1 - channel.related1) > setting.related1 || abs<f32>(related2 - channel.related2) > setting.related2;
  if (hasMoved) channel.frozen = 1;
  return channel.frozen !== 0 ? Check.Frozen : 0;
}

/** The checks of counts that have changed much, are not in range, or follow such. Returns those that fail. */
function checkUnsteady(channel: ChannelState, counts: u16, change: i32, range: u32, setting: ChannelSetting, c: Coefficients): u32 {
  const lastRange: u32 = channel.rangeCheck;
  countFlips(channel, change, setting);
  // A jump is measured from the last counts in range, so that a short or an open circuit is not a jump as well.
  const jump = abs<i32>(<i32>counts - <i32>channel.inRangeCounts);
  const isJump = range === 0 && channel.hasReading !== 0 && <u32>jump > setting.rateCounts;
  // A loose wire changes from one failed check to another, or to none, faster than any debounce: that is a jump too.
  const isLoose = (channel.hasReading !== 0 && lastRange !== 0 && range !== lastRange) || channel.flips === FLIPS;
  channel.rateTicks = isJump || isLoose ? <u16>c.rateHoldTicks : countDown(channel.rateTicks);
  channel.rangeCheck = <u8>range;
  if (range === 0) {
    channel.inRangeCounts = counts;
    channel.hasReading = 1;
  }
  channel.steady = range === 0 && channel.rateTicks === 0 && channel.flips === 0 ? 1 : 0;
  return channel.rateTicks !== 0 ? range | Check.Rate : range;
}

/** Checks a channel's new ADC counts, except for Frozen. Returns the checks that fail, before any debounce. */
export function checkChannel(channel: ChannelState, counts: u16, setting: ChannelSetting, c: Coefficients): u32 {
  const range = rangeCheck(counts, setting);
  const change = <i32>counts - <i32>channel.counts;
  channel.counts = counts;
  channel.sameTicks = change === 0 ? countUp(channel.sameTicks) : 0;
  let failed: u32 = 0;
  // Nearly always nothing is wrong, and then nothing else needs to be looked at.
  const steady = setting.steadyCounts;
  const isSteady = channel.steady !== 0 && range === 0 && <u32>change + steady <= 2 * steady;
  if (isSteady) channel.inRangeCounts = counts;
  else failed = checkUnsteady(channel, counts, change, range, setting, c);
  channel.changeCounts = change;
  return failed;
}

/** Ratiometric conversion: the ADC is referenced to the sensor's supply, so its counts are a fraction of that supply. */
export function toUnit(counts: u16, setting: ChannelSetting): f32 {
  return <f32>counts * setting.unitPerCount + setting.unitAtZero;
}

/**
 * Takes the new value if no check fails in this tick, and keeps the last one otherwise. While a fault recovers, values are
 * taken but not yet valid, so that filters have settled by the time they are.
 */
export function takeValue(channel: ChannelState, conditions: u32, faults: u32, setting: ChannelSetting): void {
  if (conditions !== 0) {
    channel.cleanTicks = 0;
    channel.valid = 0;
    return;
  }
  if (channel.cleanTicks < 2) channel.cleanTicks += 1;
  channel.valid = faults === 0 ? 1 : 0;
  channel.value = toUnit(channel.counts, setting);
}

/** True in the tick of the first value after invalid ones: what median filters remember is too old. */
export function isFirstValue(channel: ChannelState): bool {
  return channel.cleanTicks === 1;
}
