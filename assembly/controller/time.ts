/*
 * Time is counted in ticks. Timers count down to 0 or up to their limit and stay there: no free-running counter is ever
 * compared, so nothing changes meaning after 2^31 ticks.
 */

export function countDown(ticks: u16): u16 {
  return ticks === 0 ? 0 : ticks - 1;
}

export function countUp(ticks: u16): u16 {
  return ticks === u16.MAX_VALUE ? ticks : ticks + 1;
}

export function countUpLong(ticks: u32): u32 {
  return ticks === u32.MAX_VALUE ? ticks : ticks + 1;
}
