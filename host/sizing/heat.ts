import { leverRatio } from './geometry.js';
import type { Given } from './given.js';
import { DISCHARGE } from './valve-flow.js';

/** Reference spatial frequency of ISO 8608, cycles/m. */
const REFERENCE_PER_M = 0.1;
/** Noise bandwidth of a second-order Butterworth low-pass over its corner: π/(2·√2). Source: closed form. */
const NOISE_BANDWIDTH = Math.PI / (2 * Math.SQRT2);
/** Mean of z³ over the half line of a normal variable: 2/√(2π). Source: closed form. */
const MEAN_CUBE = 2 / Math.sqrt(2 * Math.PI);

/**
 * Rebound damping at the row, N per (m/s)²: A·(ρ/2)·(A/(Cd·Ao))², A the rod side's area times the lever ratio. 0 without a rod side.
 * Source: orifice equation, as in the plant.
 */
export function reboundNs2PerM2(given: Given): number {
  const sideM2 = given.rodAreaCm2 * 1e-4 * leverRatio(0, given);
  const orificeM2 = (Math.PI / 4) * (given.reboundOrificeMm / 1000) ** 2;
  return sideM2 * (given.oilKgPerM3 / 2) * (sideM2 / (DISCHARGE * orificeM2)) ** 2;
}

/**
 * Root mean square of a row's vertical speed on a field, m/s, at a ground speed: ISO 8608 with waviness 2 has a white spectrum of
 * vertical speed, (2π·n0)²·Gd·v, which the tyre's second-order enveloping, with its corner at envelopePerM·v, cuts off. The frame is
 * taken as still and the row as following the ground, so that short waves count too much and long ones of the frame not at all.
 * Source: ISO 8608:2016; noise bandwidth of the low-pass.
 */
export function verticalRmsMps(groundMps: number, given: Given): number {
  const bandHz = NOISE_BANDWIDTH * given.envelopePerM * groundMps;
  const spectrum = (2 * Math.PI * REFERENCE_PER_M) ** 2 * given.roughnessUsualCm3 * 1e-6 * groundMps;
  return Math.sqrt(spectrum * bandHz);
}

export interface HeatSize {
  readonly reboundNs2PerM2: number;
  readonly verticalRmsMps: number;
  readonly reboundW: number;
  readonly reboundMostW: number;
  readonly cylinderRiseK: number;
  readonly cylinderHottestC: number;
  readonly machineReboundW: number;
}

/**
 * Rebound heat of a row, W: k·σ³·2/√(2π)·(1 + up share), the mean of k·|w|³ over a normally distributed speed, down and up; and the
 * cylinder's steady temperature at the highest speed in the hottest air, W times thermal resistance. Damping takes speed away, which
 * is not counted: an upper estimate. Source: mean cube of a normal variable; ΔT = P·R_th.
 */
export function heatSize(given: Given): HeatSize {
  const damping = reboundNs2PerM2(given);
  const watt = (groundMps: number): number => damping * verticalRmsMps(groundMps, given) ** 3 * MEAN_CUBE * (1 + given.reboundUpRatio);
  const [usual, most] = [watt(given.speedUsualMps), watt(given.speedMostMps)];
  return {
    reboundNs2PerM2: damping,
    verticalRmsMps: verticalRmsMps(given.speedUsualMps, given),
    reboundW: usual,
    reboundMostW: most,
    cylinderRiseK: most * given.cylinderKPerW,
    cylinderHottestC: given.airHotC + most * given.cylinderKPerW,
    machineReboundW: given.rowCount * usual,
  };
}
