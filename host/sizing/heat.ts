import { leverRatio } from './geometry.js';
import type { SizingInput } from './sizing-input.js';
import { DISCHARGE } from './valve-flow.js';

/** Reference spatial frequency of ISO 8608, cycles/m. */
const REFERENCE_PER_M = 0.1;
/** Noise bandwidth of a second-order Butterworth low-pass over its corner frequency: π/(2·√2). Source: closed form. */
const NOISE_BANDWIDTH = Math.PI / (2 * Math.SQRT2);
/** Mean of |z|³/2 of a standard normal variable: 2/√(2π). Source: closed form. */
const MEAN_CUBE = 2 / Math.sqrt(2 * Math.PI);

/**
 * Returns the rebound damping at the row, N per (m/s)²: A·(ρ/2)·(A/(Cd·Ao))², A being the rod-side area times the lever ratio. 0 without a
 * rod side. Source: orifice equation, as in the plant.
 */
export function reboundNs2PerM2(input: SizingInput): number {
  const sideM2 = input.rodAreaCm2 * 1e-4 * leverRatio(0, input);
  const orificeM2 = (Math.PI / 4) * (input.reboundOrificeMm / 1000) ** 2;
  return sideM2 * (input.oilKgPerM3 / 2) * (sideM2 / (DISCHARGE * orificeM2)) ** 2;
}

/**
 * Returns the RMS vertical speed of a row on a field, m/s, at a ground speed: with waviness 2, ISO 8608 gives a white spectrum of vertical
 * speed, (2π·n0)²·Gd·v, cut off by the tyre's second-order enveloping with its corner at envelopePerM·v. The frame is assumed to stand
 * still and the row to follow the ground, which overestimates short waves and ignores the frame's motion on long ones.
 * Source: ISO 8608:2016; noise bandwidth of the low-pass.
 */
export function verticalRmsMps(groundMps: number, input: SizingInput): number {
  const bandHz = NOISE_BANDWIDTH * input.envelopePerM * groundMps;
  const spectrum = (2 * Math.PI * REFERENCE_PER_M) ** 2 * input.roughnessTypicalCm3 * 1e-6 * groundMps;
  return Math.sqrt(spectrum * bandHz);
}

export interface HeatSize {
  readonly reboundNs2PerM2: number;
  readonly verticalRmsMps: number;
  readonly reboundW: number;
  readonly reboundMaxW: number;
  readonly cylinderRiseK: number;
  readonly cylinderMaxC: number;
  readonly machineReboundW: number;
}

/**
 * Returns the rebound heat of a row, W: k·σ³·2/√(2π)·(1 + up ratio), the mean of k·|w|³ over a normally distributed speed, down and up; and
 * the steady cylinder temperature at the highest speed in the hottest air, from its thermal resistance. That damping reduces the speed is
 * ignored, so this is an upper estimate. Source: mean cube of a normal variable; ΔT = P·R_th.
 */
export function heatSize(input: SizingInput): HeatSize {
  const damping = reboundNs2PerM2(input);
  const watt = (groundMps: number): number => damping * verticalRmsMps(groundMps, input) ** 3 * MEAN_CUBE * (1 + input.reboundUpRatio);
  const [typical, max] = [watt(input.speedTypicalMps), watt(input.speedMaxMps)];
  return {
    reboundNs2PerM2: damping,
    verticalRmsMps: verticalRmsMps(input.speedTypicalMps, input),
    reboundW: typical,
    reboundMaxW: max,
    cylinderRiseK: max * input.cylinderKPerW,
    cylinderMaxC: input.airHotC + max * input.cylinderKPerW,
    machineReboundW: input.rowCount * typical,
  };
}
