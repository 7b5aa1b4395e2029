import { derived, field, PROFILE_STEP_M, setup, Track, track } from './generated/records';
import { normal, Purpose, uniform } from './random';

/*
 * Force that the soil bears against an opener at its set depth: patches along the way, uneven within. Patch lengths are
 * common to all rows, their edges ragged; a row has its neighbour's soil with the probability that the correlation says, and
 * its own otherwise, so that forces are spread evenly and correlate between neighbours by just that number.
 */

/** Length over which an opener rounds a patch's edge, m (our choice: part of a disc's length in the soil). */
const EDGE_M: f64 = 0.1;
/** Raggedness of edges, as a share of the shortest patch; below half, so that edges never cross. */
const RAGGED: f64 = 0.4;

/** Row whose soil a row shares in a patch: itself, or one before. */
function ownerOf(row: i32, patch: u64): i32 {
  let owner = row;
  while (owner > 1 && uniform(setup().seed, owner, Purpose.PatchSame, patch) < field().rowCorrelation) owner -= 1;
  return owner;
}

function beginPatch(t: Track, row: i32, patch: f64): void {
  const f = field();
  const seed = setup().seed;
  const count = <u64>patch;
  t.patch = patch;
  t.patchBaseM += f.patchMinM + (f.patchMaxM - f.patchMinM) * uniform(seed, 0, Purpose.PatchLength, count);
  t.patchEndM = t.patchBaseM + RAGGED * f.patchMinM * (2 * uniform(seed, row, Purpose.PatchEdge, count) - 1);
  const share = uniform(seed, ownerOf(row, count), Purpose.PatchForce, count);
  t.patchN = f.soilMinN + (f.soilMaxN - f.soilMinN) * share;
}

/** Opener force at a point, N. */
export function soilAt(t: Track, row: i32, point: i64): f64 {
  const d = derived();
  while (<f64>point * PROFILE_STEP_M >= t.patchEndM) beginPatch(t, row, t.patch + 1);
  const kick = Math.sqrt(1 - d.soilDecay * d.soilDecay);
  t.soilNoise = d.soilDecay * t.soilNoise + kick * normal(setup().seed, row, Purpose.SoilNoise, <u64>point);
  t.soilN = t.patchN + d.patchDecay * (t.soilN - t.patchN);
  return Math.max(0, t.soilN * (1 + field().soilNoiseRatio * t.soilNoise));
}

/** Next stone of a row: at exponentially spread distances. */
export function nextStone(t: Track, row: i32): void {
  const f = field();
  t.stone += 1;
  const gap = -Math.log(1 - uniform(setup().seed, row, Purpose.Stone, <u64>t.stone));
  t.stoneM += f.stoneLengthMm * 1e-3 + gap * f.stoneEveryM;
}

export function startSoil(): void {
  const d = derived();
  const f = field();
  d.soilDecay = Math.exp(-PROFILE_STEP_M / f.soilNoiseM);
  d.patchDecay = Math.exp(-PROFILE_STEP_M / EDGE_M);
  const rows = <i32>setup().rows;
  for (let row = 1; row <= rows; row++) {
    const t = track(row);
    beginPatch(t, row, 0);
    t.soilN = t.patchN;
    nextStone(t, row);
  }
}
