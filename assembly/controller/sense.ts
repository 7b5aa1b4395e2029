import { Check } from './generated/enums';
import { ChannelSetting, ChannelState, Coefficients } from './generated/records';
import { countDown, countUp } from './time';

/** Compares ADC counts with a channel's limits. Returns the check that fails, or 0. */
export function rangeCheck(counts: u32, setting: ChannelSetting): u32 {
  if (Check.Short > 0xff || Check.Open > 0xff || Check.Range > 0xff) ERROR('ChannelState.rangeCheck has 8 bits');
  if (counts < setting.shortCounts) return Check.Short;
  if (counts > setting.openCounts) return Check.Open;
  const isOutside = counts < setting.lowCounts || counts > setting.highCounts;
  return isOutside ? Check.Range : 0;
}

/** A healthy sensor does not move up and down by more than 5 % of full scale in this many ticks in a row (our choice). */
const FLIPS: u8 = 4;

/** Counts for how many ticks in a row the ADC counts have moved far and back: a loose wire within the range. */
function countFlips(channel: ChannelState, counts: u16, setting: ChannelSetting): void {
  const change = <i32>counts - <i32>channel.counts;
  const isFlip = abs<i32>(change) > <i32>setting.flipCounts && change > 0 !== channel.changeCounts > 0;
  channel.flips = isFlip ? min<u8>(channel.flips + 1, FLIPS) : 0;
  channel.changeCounts = change;
}

/** Checks a channel's new ADC counts. Returns the checks that fail, before any debounce. */
export function checkChannel(channel: ChannelState, counts: u16, setting: ChannelSetting, c: Coefficients): u32 {
  const range = rangeCheck(counts, setting);
  const lastRange: u32 = channel.rangeCheck;
  const isSame = counts === channel.counts;
  countFlips(channel, counts, setting);
  channel.counts = counts;
  channel.sameTicks = isSame ? countUp(channel.sameTicks) : 0;

  // A jump is measured from the last counts in range, so that a short or an open circuit is not a jump as well.
  const change = abs<i32>(<i32>counts - <i32>channel.inRangeCounts);
  const isJump = range === 0 && channel.hasReading !== 0 && <u32>change > setting.rateCounts;
  // A loose wire changes from one failed check to another, or to none, faster than any debounce: that is a jump too.
  const isLoose = (channel.hasReading !== 0 && lastRange !== 0 && range !== lastRange) || channel.flips === FLIPS;
  channel.rateTicks = isJump || isLoose ? <u16>c.rateHoldTicks : countDown(channel.rateTicks);
  channel.rangeCheck = <u8>range;
  if (range === 0) {
    channel.inRangeCounts = counts;
    channel.hasReading = 1;
  }

  let conditions = range;
  if (c.frozenTicks !== 0 && channel.sameTicks >= c.frozenTicks) conditions |= Check.Frozen;
  if (channel.rateTicks !== 0) conditions |= Check.Rate;
  return conditions;
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
  const isClean = conditions === 0;
  channel.cleanTicks = isClean ? min<u8>(channel.cleanTicks + 1, 2) : 0;
  channel.valid = isClean && faults === 0 ? 1 : 0;
  if (isClean) channel.value = toUnit(channel.counts, setting);
}

/** True in the tick of the first value after invalid ones: what median filters remember is too old. */
export function isFirstValue(channel: ChannelState): bool {
  return channel.cleanTicks === 1;
}
