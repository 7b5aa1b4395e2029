/**
 * Random numbers by counter: each is a pure function of seed, row, purpose and tick, so that one row's draws never move
 * another's. Mixing as in the finalizer of MurmurHash3 (public domain).
 */
function mix(value: number): number {
  let h = value >>> 0;
  h = Math.imul(h ^ (h >>> 16), 0x85ebca6b);
  h = Math.imul(h ^ (h >>> 13), 0xc2b2ae35);
  return (h ^ (h >>> 16)) >>> 0;
}

/** What a random number is for. */
export enum Purpose {
  Load = 1,
  Pressure = 2,
  Ground = 3,
  Soil = 4,
  Garbage = 5,
}

/** A 32-bit number. */
export function randomBits(seed: number, row: number, purpose: Purpose, tick: number): number {
  return mix(mix(mix(seed ^ 0x9e3779b9) + row * 0x01000193 + purpose) ^ tick);
}

/** Evenly spread over [0, 1). */
export const uniform = (seed: number, row: number, purpose: Purpose, tick: number): number =>
  randomBits(seed, row, purpose, tick) / 2 ** 32;

/** Nearly normal, mean 0 and standard deviation 1: the sum of three evenly spread numbers, within ±3. */
export function normal(seed: number, row: number, purpose: Purpose, tick: number): number {
  const one = randomBits(seed, row, purpose, tick);
  const two = mix(one ^ 0x68bc21eb);
  const three = mix(two ^ 0x02e5be93);
  return ((one + two + three) / 2 ** 32 - 1.5) * 2;
}
