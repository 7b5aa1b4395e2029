import { injectedFaults, Machine, PREVIEW_S, PROFILE_STEP_M, plant, rowState, SoilAheadFault, setup } from './generated/records';
import { normal, Purpose, randomBits } from './random';
import { soilPointAt } from './soil';

/*
 * What a map or a leading sensor tells a row of the soil that comes: the map's force at the place that the opener reaches in
 * PREVIEW_S, minus the map's force under it now.
 */

/** Error of the map at a distance, N: a random number per cell, linear between the centres of the cells. */
function mapErrorAt(row: i32, distanceM: f64, m: Machine): f64 {
  if (m.soilAheadNoiseN === 0) return 0;
  const place = distanceM / m.soilAheadCellM;
  const cell = Math.floor(place);
  const seed = setup().seed;
  const first = normal(seed, row + 1, Purpose.MapNoise, <u64>(<i64>cell));
  const next = normal(seed, row + 1, Purpose.MapNoise, <u64>(<i64>cell + 1));
  return m.soilAheadNoiseN * (first + (place - cell) * (next - first));
}

/** Opener force on the map of a row at a distance, N, linear between the points. */
function mapAt(row: i32, distanceM: f64, m: Machine): f64 {
  const place = distanceM / PROFILE_STEP_M;
  const point = Math.floor(place);
  const first = soilPointAt(row + 1, <i64>point).mapN;
  const next = soilPointAt(row + 1, <i64>point + 1).mapN;
  return first + (place - point) * (next - first) + mapErrorAt(row, distanceM, m);
}

/** The row whose map a row gets: the one that is farthest from it, if they are swapped. */
function sourceOf(row: i32, fault: f64): i32 {
  const rows = <i32>setup().rows;
  return fault === SoilAheadFault.OtherRow ? (row + (rows >> 1)) % rows : row;
}

/** Expected change of the opener's force, N. Without a map it is 0; NaN when the map has nothing. */
export function readSoilAhead(row: i32, m: Machine): f32 {
  if (m.soilAheadFitted === 0) return 0;
  const p = plant();
  const y = rowState(row);
  const faults = injectedFaults(row);
  if (faults.soilAhead === SoilAheadFault.Lost) return f32.NaN;
  if (faults.soilAhead === SoilAheadFault.Garbage) {
    return reinterpret<f32>(<u32>randomBits(setup().seed, row + 1, Purpose.Garbage, ((<u64>p.tick) << 2) + 3));
  }
  if (faults.soilAhead === SoilAheadFault.Frozen) return <f32>y.frozenSoilAheadN;
  const source = sourceOf(row, faults.soilAhead);
  const hereM = p.distanceM - faults.soilAheadDelayS * p.speedMps - m.soilAheadOffsetM;
  const changeN = mapAt(source, hereM + PREVIEW_S * p.speedMps, m) - mapAt(source, hereM, m);
  y.frozenSoilAheadN = m.soilAheadGainRatio * faults.soilAheadGainRatio * changeN;
  return <f32>y.frozenSoilAheadN;
}
