import {
  derived,
  field,
  machine,
  PROFILE_STEP_M,
  SOIL_LEAD,
  SOIL_POINTS,
  SoilPoint,
  setup,
  soilPoint,
  Track,
  track,
} from './generated/records';
import { normal, Purpose, uniform } from './random';
import { hardnessAt, nextStoneM } from './segments';

/*
 * Soil force on an opener at its set depth: patches along the path, with noise within. All rows share the patch lengths; the
 * edges are ragged. In each patch a row has its neighbour's soil with the probability `rowCorrelation`, and independent soil
 * otherwise: forces are then uniformly distributed, and their correlation between neighbours is exactly that number.
 *
 * The soil is computed some metres ahead of the row, for a map that tells what soil comes.
 */

/** Largest shift of an edge, as a share of the shortest patch; below a half, so that edges never cross. */
const RAGGED: f64 = 0.4;

/** Returns the row whose soil a row has in a patch: itself or one before it. */
function soilSource(row: i32, patch: u64): i32 {
  let source = row;
  while (source > 1 && uniform(setup().seed, source, Purpose.PatchSame, patch) < field().rowCorrelation) source -= 1;
  return source;
}

function startPatch(t: Track, row: i32, patch: f64): void {
  const f = field();
  const seed = setup().seed;
  const count = <u64>patch;
  t.patch = patch;
  t.patchBaseM += f.patchMinM + (f.patchMaxM - f.patchMinM) * uniform(seed, 0, Purpose.PatchLength, count);
  t.patchEndM = t.patchBaseM + RAGGED * f.patchMinM * (2 * uniform(seed, row, Purpose.PatchEdge, count) - 1);
  const share = uniform(seed, soilSource(row, count), Purpose.PatchForce, count);
  t.patchN = f.soilMinN + (f.soilMaxN - f.soilMinN) * share;
  const isWrong = uniform(seed, row, Purpose.MapWrong, count) < machine().soilAheadWrongRatio;
  t.mapWrong = isWrong ? 1 : 0;
  t.mapPatchN = isWrong ? f.soilMinN + (f.soilMaxN - f.soilMinN) * uniform(seed, row, Purpose.MapForce, count) : t.patchN;
}

/** Place of a point of a track's soil. */
export function soilPointAt(row: i32, point: i64): SoilPoint {
  return soilPoint(row * SOIL_POINTS + (<i32>point & (SOIL_POINTS - 1)));
}

/** Computes the soil of a track at its next point: the opener's force, and what the map has there. */
export function addSoilPoint(t: Track, row: i32, point: i64): void {
  const d = derived();
  while (<f64>point * PROFILE_STEP_M >= t.patchEndM) startPatch(t, row, t.patch + 1);
  const gain = Math.sqrt(1 - d.soilDecay * d.soilDecay);
  t.soilNoise = d.soilDecay * t.soilNoise + gain * normal(setup().seed, row, Purpose.SoilNoise, <u64>point);
  t.soilN = t.patchN + d.patchDecay * (t.soilN - t.patchN);
  t.mapN = t.mapPatchN + d.patchDecay * (t.mapN - t.mapPatchN);
  const within = 1 + field().soilNoiseRatio * t.soilNoise;
  const at = soilPointAt(row, point);
  const hardness = hardnessAt(<f64>point * PROFILE_STEP_M);
  at.soilN = Math.max(0, t.soilN * within) * hardness;
  at.mapN = Math.max(0, t.mapN * (t.mapWrong === 0 ? within : 1)) * hardness;
}

/** Places the next stone of a row; the gaps from the end of one to the start of the next are exponentially distributed. */
function nextStone(t: Track, row: i32): void {
  const f = field();
  t.stone += 1;
  const gap = -Math.log(1 - uniform(setup().seed, row, Purpose.Stone, <u64>t.stone));
  if (setup().segments > 0) t.stoneM = nextStoneM(t.stoneM + f.stoneLengthMm * 1e-3, gap);
  else t.stoneM += f.stoneLengthMm * 1e-3 + gap * f.stoneEveryM;
}

/** Whether there are stones at random places. */
function hasRandomStones(): bool {
  return setup().segments > 0 || field().stoneEveryM > 0;
}

/** Height of a stone at a point, m: half a sine. Points come in order; the next stone is placed as soon as one has ended. */
export function stoneAt(t: Track, row: i32, point: i64): f64 {
  const f = field();
  if (!hasRandomStones()) return 0;
  const lengthM = f.stoneLengthMm * 1e-3;
  const positionM = <f64>point * PROFILE_STEP_M;
  while (positionM >= t.stoneM + lengthM) nextStone(t, row);
  if (positionM <= t.stoneM) return 0;
  return f.stoneHeightMm * 1e-3 * Math.sin((Math.PI * (positionM - t.stoneM)) / lengthM);
}

/** Number of stones that a row has reached. Its points, and with them the next random stone, are a few centimetres ahead of the row. */
export function stonesMet(t: Track, distanceM: f64): f64 {
  if (!hasRandomStones()) return t.placedMet;
  return t.placedMet + (distanceM >= t.stoneM ? t.stone : t.stone - 1);
}

/** Prepares the generator, and computes the soil up to SOIL_LEAD points ahead of the first one. */
export function startSoil(firstPoint: i64): void {
  const d = derived();
  const f = field();
  d.soilDecay = Math.exp(-PROFILE_STEP_M / f.soilNoiseM);
  d.patchDecay = Math.exp(-PROFILE_STEP_M / f.soilEdgeM);
  const rows = <i32>setup().rows;
  for (let row = 1; row <= rows; row++) {
    const t = track(row);
    startPatch(t, row, 0);
    t.soilN = t.patchN;
    t.mapN = t.mapPatchN;
    nextStone(t, row);
    for (let point = firstPoint; point < firstPoint + SOIL_LEAD; point++) addSoilPoint(t, row, point);
  }
}
