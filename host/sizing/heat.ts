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
 * Returns the noise bandwidth of the frame's vertical speed, Hz: that of base excitation, ω·(1 + 4ζ²)/(8ζ), of which the frame wheels, a
 * second-order Butterworth low-pass with its corner at speed over frameWaveM, pass what they do at the natural frequency. 0 for a rigid
 * frame. Source: ∫|H|² df of an oscillator, closed form; within 7 % of the integral with the low-pass from 2 to 5 m/s.
 */
export function frameBandHz(groundMps: number, input: SizingInput): number {
  const { bounceHz, bounceDampingRatio: damping, frameWaveM } = input;
  const bandHz = (2 * Math.PI * bounceHz * (1 + 4 * damping ** 2)) / (8 * damping);
  return bandHz / (1 + ((bounceHz * frameWaveM) / groundMps) ** 4);
}

/**
 * Returns the mean share of the frame's variance at the rows of a wing, whose two supports move independently: a row at a share s of the
 * way has (1 − s)² + s². Source: variance of a sum; mean over n rows, (2n − 1)/(3(n − 1)).
 */
export function frameShare({ wingRows, rowCount }: SizingInput): number {
  const rows = Math.min(wingRows, rowCount);
  return rows < 2 ? 1 : (2 * rows - 1) / (3 * (rows - 1));
}

/**
 * Returns the RMS vertical speed of a row relative to the frame, m/s, at a ground speed: with waviness 2, ISO 8608 gives a white spectrum
 * of vertical speed, (2π·n0)²·Gd·v. The row follows the ground, cut off by the tyre's second-order enveloping with its corner at
 * envelopePerM·v; the frame bounces on its wheels, on independent ground. Source: ISO 8608:2016; variances of independent motions add.
 */
export function verticalRmsMps(groundMps: number, input: SizingInput): number {
  const bandHz = NOISE_BANDWIDTH * input.envelopePerM * groundMps + frameShare(input) * frameBandHz(groundMps, input);
  const spectrum = (2 * Math.PI * REFERENCE_PER_M) ** 2 * input.roughnessTypicalCm3 * 1e-6 * groundMps;
  return Math.sqrt(spectrum * bandHz);
}

/**
 * Returns the heat of a stone's far side, J: k·∫|w|³ dt over a half sine of its height, as far as the wheels rise, but no more than what
 * pushes the row down does over that height: wheel load, opener and closing wheels at the typical target. Source: ∫cos³ = 2/3; work.
 */
export function stoneJ(groundMps: number, input: SizingInput): number {
  const heightM = (input.stoneTypicalMm / 1000) * input.equaliserRatio;
  const followedJ = (2 / 3) * reboundNs2PerM2(input) * heightM ** 3 * ((Math.PI * groundMps) / (input.stoneTypicalLengthMm / 1000)) ** 2;
  const downN = input.targetLoadTypicalN + (input.openerMinN + input.openerMaxN) / 2 + input.closingN;
  return Math.min(followedJ, downN * heightM);
}

export interface HeatSize {
  readonly reboundNs2PerM2: number;
  /** Of a row relative to the frame, without stones. */
  readonly verticalRmsMps: number;
  readonly stoneJ: number;
  readonly reboundW: number;
  readonly reboundMaxW: number;
  readonly cylinderRiseK: number;
  readonly cylinderMaxC: number;
  readonly machineReboundW: number;
}

/**
 * Returns the rebound heat of a row, W: of the ground k·σ³·2/√(2π)·(1 + up ratio), the mean of k·|w|³ over a normally distributed speed,
 * down and up, and of the stones; and the steady cylinder temperature at the highest speed in the hottest air, from its thermal
 * resistance. It is an estimate: within 40 % of simulations on classes C and D at 2 to 5 m/s. Where wheels leave the ground, at class E
 * and 5 m/s, it is twice as high. Source: mean cube of a normal variable; ΔT = P·R_th.
 */
export function heatSize(input: SizingInput): HeatSize {
  const damping = reboundNs2PerM2(input);
  const groundW = (groundMps: number): number => damping * verticalRmsMps(groundMps, input) ** 3 * MEAN_CUBE * (1 + input.reboundUpRatio);
  const stonesW = (groundMps: number): number =>
    input.stoneTypicalEveryM > 0 ? (stoneJ(groundMps, input) * groundMps) / input.stoneTypicalEveryM : 0;
  const [typical, max] = [input.speedTypicalMps, input.speedMaxMps].map((mps) => groundW(mps) + stonesW(mps)) as [number, number];
  return {
    reboundNs2PerM2: damping,
    verticalRmsMps: verticalRmsMps(input.speedTypicalMps, input),
    stoneJ: stoneJ(input.speedTypicalMps, input),
    reboundW: typical,
    reboundMaxW: max,
    cylinderRiseK: max * input.cylinderKPerW,
    cylinderMaxC: input.airHotC + max * input.cylinderKPerW,
    machineReboundW: input.rowCount * typical,
  };
}
