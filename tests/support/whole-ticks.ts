/** A time in ticks, rounded to nearest (half to even) in single precision, and at least 1 for a time above 0. */
export function wholeTicks(timeMs: number, tickHz: number): number {
  const ticks = Math.fround(Math.fround(timeMs) / Math.fround(1000 / tickHz));
  const below = Math.floor(ticks);
  const rest = ticks - below;
  const isUp = rest > 0.5 || (rest === 0.5 && below % 2 === 1);
  return timeMs > 0 ? Math.max(1, below + (isUp ? 1 : 0)) : 0;
}
