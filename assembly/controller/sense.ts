import { ChannelSetting, ChannelState } from './generated/records';
import { countDown, countUp } from './time';

/** The five checks of a channel, as bits in the order of its faults. */
export namespace Check {
  export const Short: u32 = 1 << 0;
  export const Open: u32 = 1 << 1;
  export const Range: u32 = 1 << 2;
  export const Frozen: u32 = 1 << 3;
  export const Rate: u32 = 1 << 4;
  export const ALL: u32 = 31;
}

/** Where a code stands among a channel's limits: at most one bit. */
export function rangeCheck(counts: u32, setting: ChannelSetting): u32 {
  if (counts < setting.shortCounts) return Check.Short;
  if (counts > setting.openCounts) return Check.Open;
  const isOutside = counts < setting.lowCounts || counts > setting.highCounts;
  return isOutside ? Check.Range : 0;
}

/** A sensor in order does not move up and down by more than 5 % of full scale in so many ticks running (our choice). */
const FLIPS: u8 = 4;

/** Counts for how many ticks running the code has moved far and back: a loose wire within the range. */
function countFlips(channel: ChannelState, counts: u16, setting: ChannelSetting): void {
  const move = <i32>counts - <i32>channel.counts;
  const isFlip = abs<i32>(move) > <i32>setting.flipCounts && move > 0 !== channel.changeCounts > 0;
  channel.flips = isFlip ? min<u8>(channel.flips + 1, FLIPS) : 0;
  channel.changeCounts = move;
}

/** Conditions that a channel's new code shows, before any debounce. `frozenTicks` 0: never frozen. */
export function checkChannel(channel: ChannelState, counts: u16, setting: ChannelSetting, frozenTicks: u32, rateHoldTicks: u32): u32 {
  const range = rangeCheck(counts, setting);
  const lastRange: u32 = channel.rangeCheck;
  const isSame = counts === channel.counts;
  countFlips(channel, counts, setting);
  channel.counts = counts;
  channel.sameTicks = isSame ? countUp(channel.sameTicks) : 0;

  // A jump is judged against the last code inside the range, so that a short or an open circuit is not a jump as well.
  const change = abs<i32>(<i32>counts - <i32>channel.inRangeCounts);
  const isJump = range === 0 && channel.hasReading !== 0 && <u32>change > setting.rateCounts;
  // A loose wire leaves one kind of trouble for another, or for none, before any debounce is over: that counts as a jump.
  const isLoose = (channel.hasReading !== 0 && lastRange !== 0 && range !== lastRange) || channel.flips === FLIPS;
  channel.rateTicks = isJump || isLoose ? <u16>rateHoldTicks : countDown(channel.rateTicks);
  channel.rangeCheck = <u8>range;
  if (range === 0) {
    channel.inRangeCounts = counts;
    channel.hasReading = 1;
  }

  let conditions = range;
  if (frozenTicks !== 0 && channel.sameTicks >= frozenTicks) conditions |= Check.Frozen;
  if (channel.rateTicks !== 0) conditions |= Check.Rate;
  return conditions;
}

/** Ratiometric conversion: the converter is referenced to the sensor's supply, so a code is a share of it. */
export function toUnit(counts: u16, setting: ChannelSetting): f32 {
  return <f32>counts * setting.unitPerCount + setting.unitAtZero;
}

/**
 * Takes the new value if no condition speaks against it in this tick, and keeps the last one otherwise. While a fault has
 * not recovered yet, values are taken again but not good, so that filters have settled by the time they are.
 */
export function takeValue(channel: ChannelState, conditions: u32, faults: u32, setting: ChannelSetting): void {
  const isClean = conditions === 0;
  channel.cleanTicks = isClean ? min<u8>(channel.cleanTicks + 1, 2) : 0;
  channel.valid = isClean && faults === 0 ? 1 : 0;
  if (isClean) channel.value = toUnit(channel.counts, setting);
}

/** True in the tick in which a value is taken after doubtful ones: what filters remember is older than the doubt. */
export function isFresh(channel: ChannelState): bool {
  return channel.cleanTicks === 1;
}
