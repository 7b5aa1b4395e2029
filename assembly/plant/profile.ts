import { clamp } from './constants';
import { fitLowPass, fitSection, nextLowPass, prewarp } from './filters';
import { addSupportPoint } from './frame';
import {
  Derived,
  derived,
  envelope,
  Field,
  field,
  frameFilter,
  machine,
  PROFILE_AT,
  PROFILE_STEP_M,
  plant,
  RING,
  ROAD_REFERENCE_PER_M,
  SECTIONS,
  SOIL_LEAD,
  section,
  setup,
  Track,
  track,
  wheelPath,
  window,
} from './generated/records';
import { pushHeight, pushPoint } from './path';
import { normal, Purpose } from './random';
import { passPlacedStones, placedHeight, roughnessAt, stepsHeight } from './segments';
import { addSoilPoint, soilPointAt, startSoil, stoneAt } from './soil';
import { middleOf, pushWindow, wheelPathOf } from './wheel';

/*
 * Height of the ground under the gauge wheels of each row, point by point along the path. Track 0 has the waves that all rows
 * share, and carries the frame; tracks 1 to n are the rows.
 *
 *   noise → pole at 0.002 cycles/m → waviness filter → split: own waves above, common waves below → tyre → stones → wheel → ring of points
 *
 * The two sides of the split are power-complementary: the spectrum of a row is that of its road class, while rows share the
 * long waves and differ in the short ones.
 */

/** The spectrum is flat below this, cycles/m: well under the longest wave of ISO 8608 (0.011 cycles/m). */
const FLAT_BELOW_PER_M: f64 = 0.002;
/** Range in which the waviness filter has a constant slope, cycles/m. */
const WAVINESS_FROM_PER_M: f64 = 0.001;
const WAVINESS_TO_PER_M: f64 = 15;
/** Points run through the filters before the start, so that they settle. */
const SETTLING_POINTS: i32 = 4000;
/** The waviness filters take hundreds of metres to settle. */
const SETTLING_POINTS_WAVINESS: i32 = 40000;

/**
 * Fits a filter whose gain is a fractional power of frequency: poles and zeros evenly distributed over its range (Oustaloup et
 * al., Frequency-band complex noninteger differentiator, IEEE Trans. Circuits and Systems I, 47(1), 2000). Returns its gain at
 * the reference frequency.
 */
function fitWaviness(waviness: f64, d: Derived): f64 {
  const power = (2 - waviness) / 2;
  d.sections = power === 0 ? 0 : <f64>SECTIONS;
  const spread = WAVINESS_TO_PER_M / WAVINESS_FROM_PER_M;
  const reference = prewarp(ROAD_REFERENCE_PER_M, PROFILE_STEP_M);
  let gain: f64 = 1;
  for (let index = 0; index < <i32>d.sections; index++) {
    const middle = <f64>index + 0.5;
    const zero = prewarp(WAVINESS_FROM_PER_M * Math.pow(spread, (middle - power / 2) / <f64>SECTIONS), PROFILE_STEP_M);
    const pole = prewarp(WAVINESS_FROM_PER_M * Math.pow(spread, (middle + power / 2) / <f64>SECTIONS), PROFILE_STEP_M);
    fitSection(section(index), zero, pole);
    gain *= Math.sqrt((1 + (reference / zero) * (reference / zero)) / (1 + (reference / pole) * (reference / pole)));
  }
  return gain;
}

/**
 * Noise through one pole has the one-sided spectrum G(n) = 2σ²/(π·n1)/(1 + (n/n1)²), so σ² = π·G(n0)·n0²/(2·n1) gives
 * G(n0)·(n0/n)² well above n1 (Ornstein–Uhlenbeck process; classes and n0: ISO 8608).
 */
function fitNoise(f: Field, gain: f64, d: Derived): void {
  const n0 = ROAD_REFERENCE_PER_M;
  const variance = (Math.PI * f.roughnessCm3 * 1e-6 * n0 * n0) / (2 * FLAT_BELOW_PER_M);
  d.ouSpreadM = Math.sqrt(variance) / gain;
  d.ouDecay = Math.exp(-2 * Math.PI * FLAT_BELOW_PER_M * PROFILE_STEP_M);
  d.ouStepM = d.ouSpreadM * Math.sqrt(1 - d.ouDecay * d.ouDecay);
  const unitVariance = (Math.PI * 1e-6 * n0 * n0) / (2 * FLAT_BELOW_PER_M);
  d.ouUnitStepM = (Math.sqrt(unitVariance) / gain) * Math.sqrt(1 - d.ouDecay * d.ouDecay);
}

/**
 * Noise added at a point, m. Where the roughness changes, only this does: heights stay continuous, and waves much shorter than
 * the way since then have the new class's spectrum at once, because above the pole the profile is a sum of these.
 */
function noiseStep(point: i64, d: Derived): f64 {
  if (setup().segments === 0) return d.ouStepM;
  return d.ouUnitStepM * Math.sqrt(roughnessAt(<f64>point * PROFILE_STEP_M));
}

/** Next height of a track before the split, m. */
function nextNoise(t: Track, row: i32, point: i64, stepM: f64, d: Derived): f64 {
  t.ouM = d.ouDecay * t.ouM + stepM * normal(setup().seed, row, Purpose.Profile, <u64>point);
  let value = t.ouM;
  const states = changetype<usize>(t) + offsetof<Track>('section0');
  for (let index = 0; index < <i32>d.sections; index++) {
    const s = section(index);
    const at = states + ((<usize>index) << 3);
    const out = s.b0 * value + load<f64>(at);
    store<f64>(at, s.b1 * value - s.a1 * out);
    value = out;
  }
  return value;
}

/** Low side of the split: the waves of a track that are longer than `commonWaveM`. */
function nextLongWaves(t: Track, value: f64, d: Derived): f64 {
  const step = (value - t.splitM) * d.splitRatio;
  const low = step + t.splitM;
  t.splitM = low + step;
  return low;
}

/** Height of a profile from a file; past its end, that of its last point. */
function heightFromFile(row: i32, point: i64): f64 {
  const s = setup();
  const points = <i64>s.profilePoints;
  const index = max<i64>(0, min<i64>(point, points - 1));
  const first = s.profileTracks > 1 ? <i64>(row - 1) * points : 0;
  return <f64>load<f32>(PROFILE_AT + ((<usize>(first + index)) << 2));
}

/** Waves of a point that all rows share, m; 0 with a profile from a file. */
function commonWaves(point: i64, stepM: f64, d: Derived): f64 {
  if (setup().profileTracks > 0) return 0;
  return nextLongWaves(track(0), nextNoise(track(0), 0, point, stepM, d), d);
}

/** Height of the ground of a row, m. */
function groundOf(t: Track, row: i32, point: i64, commonM: f64, stepM: f64, d: Derived): f64 {
  if (setup().profileTracks > 0) return heightFromFile(row, point);
  const own = nextNoise(t, row, point, stepM, d);
  return commonM + own - nextLongWaves(t, own, d);
}

/** Adds a point to every track. The ground is drawn ahead of it, as far as a gauge wheel reaches. */
export function addPoint(point: i64): void {
  const d = derived();
  const rows = <i32>setup().rows;
  const ahead = point + <i64>d.wheelReach;
  const aheadM = <f64>ahead * PROFILE_STEP_M;
  const noiseM = noiseStep(ahead, d);
  const commonM = commonWaves(ahead, noiseM, d);
  const stepsM = stepsHeight(aheadM);
  passPlacedStones(aheadM);
  let sumM: f64 = 0;
  for (let row = 1; row <= rows; row++) {
    const t = track(row);
    const path = wheelPath(row);
    const groundM = groundOf(t, row, ahead, commonM, noiseM, d) + stepsM;
    sumM += groundM;
    pushWindow(window(row), nextLowPass(path, envelope(), groundM), Math.max(stoneAt(t, row, ahead), placedHeight(row, aheadM)));
    pushHeight(path, wheelPathOf(window(row)));
    addSoilPoint(t, row, point + SOIL_LEAD);
    pushPoint(changetype<usize>(t) + offsetof<Track>('soil0'), soilPointAt(row, point).soilN);
  }
  // A rigid frame follows the common waves; with a profile from a file, the mean of the rows.
  pushWindow(window(0), setup().profileTracks > 0 ? sumM / <f64>rows : commonM + stepsM, 0);
  pushHeight(wheelPath(0), nextLowPass(wheelPath(0), frameFilter(), middleOf(window(0))));
  addSupportPoint();
}

/** Fits the generators and lets them settle; point 0 is then in the second place of each ring. */
export function startProfile(): void {
  const d = derived();
  const f = field();
  const m = machine();
  fitNoise(f, fitWaviness(f.waviness, d), d);
  const tangent = prewarp(1 / f.commonWaveM, PROFILE_STEP_M);
  d.splitRatio = tangent / (1 + tangent);
  fitLowPass(envelope(), m.envelopePerM, PROFILE_STEP_M);
  fitLowPass(frameFilter(), 1 / m.frameWaveM, PROFILE_STEP_M);
  // The sum is rounded so that a radius of whole points reaches all of them.
  d.wheelReach = Math.floor((m.wheelRadiusMm * 1e-3) / PROFILE_STEP_M + 1e-9);
  const settling: i64 = d.sections > 0 ? SETTLING_POINTS_WAVINESS : SETTLING_POINTS;
  startSoil(-settling);
  const rows = <i32>setup().rows;
  for (let row = 0; row <= rows; row++) {
    track(row).ouM = clamp(d.ouSpreadM * normal(setup().seed, row, Purpose.Profile, u64.MAX_VALUE), -3 * d.ouSpreadM, 3 * d.ouSpreadM);
  }
  for (let point: i64 = -settling; point < <i64>RING - 1; point++) addPoint(point);
  plant().point = 0;
}
