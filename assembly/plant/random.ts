/*
 * Counter-based random numbers: each is a pure function of seed, row, purpose and count, so that draws of one row or purpose
 * never change those of another.
 */

/** What a random number is for. */
export namespace Purpose {
  export const Profile: u32 = 1;
  export const SoilNoise: u32 = 2;
  export const PatchLength: u32 = 3;
  export const PatchEdge: u32 = 4;
  export const PatchSame: u32 = 5;
  export const PatchForce: u32 = 6;
  export const Stone: u32 = 7;
  export const LugPhase: u32 = 8;
  export const Mass: u32 = 9;
  export const Contact: u32 = 10;
  export const Flow: u32 = 11;
  export const LoadZero: u32 = 12;
  export const LoadNoise: u32 = 13;
  export const PressureNoise: u32 = 14;
  export const AccelerationNoise: u32 = 15;
  export const RailNoise: u32 = 16;
  export const Missed: u32 = 17;
  export const Garbage: u32 = 18;
  export const AccelerationBias: u32 = 19;
  export const LiftSwitch: u32 = 20;
  export const Gas: u32 = 21;
  export const LoadGain: u32 = 22;
  export const LiftHeight: u32 = 23;
  export const MapWrong: u32 = 24;
  export const MapForce: u32 = 25;
  export const MapNoise: u32 = 26;
  export const PlacedStone: u32 = 27;
}

/** Finalizer of SplitMix64 (Steele, Lea, Flood, Fast splittable pseudorandom number generators, OOPSLA 2014). */
function mix(value: u64): u64 {
  // biome-ignore lint/correctness/noPrecisionLoss: a 64-bit integer in AssemblyScript
  let z = (value ^ (value >> 30)) * 0xbf58476d1ce4e5b9;
  // biome-ignore lint/correctness/noPrecisionLoss: a 64-bit integer in AssemblyScript
  z = (z ^ (z >> 27)) * 0x94d049bb133111eb;
  return z ^ (z >> 31);
}

/** Returns 64 random bits. Row 0 is for what all rows share. */
export function randomBits(seed: f64, row: i32, purpose: u32, count: u64): u64 {
  const stream = mix(((<u64>seed) << 16) + ((<u64>row) << 8) + <u64>purpose);
  // biome-ignore lint/correctness/noPrecisionLoss: a 64-bit integer in AssemblyScript
  return mix(stream + count * 0x9e3779b97f4a7c15);
}

/** Uniformly distributed over [0, 1). */
export function uniform(seed: f64, row: i32, purpose: u32, count: u64): f64 {
  return <f64>(randomBits(seed, row, purpose, count) >> 11) * (1.0 / 9007199254740992.0);
}

/** Approximately normal, mean 0, standard deviation 1, within ±3.46: the sum of four uniform 16-bit numbers. */
export function normal(seed: f64, row: i32, purpose: u32, count: u64): f64 {
  const bits = randomBits(seed, row, purpose, count);
  const sum = <f64>((bits & 0xffff) + ((bits >> 16) & 0xffff) + ((bits >> 32) & 0xffff) + (bits >> 48));
  return (sum * (1.0 / 65536.0) - 2 + 2.0 / 65536.0) * 1.7320508075688772;
}
