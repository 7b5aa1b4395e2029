import { MedianState, SecondOrderState } from './generated/records';

/** The middle of three values. */
export function median3(a: f32, b: f32, c: f32): f32 {
  if (a < b) {
    if (b < c) return b;
    return a < c ? c : a;
  }
  if (a < c) return a;
  return b < c ? c : b;
}

/** Median of the value and the two before it. */
export function nextMedian(state: MedianState, value: f32): f32 {
  const middle = median3(state.older, state.old, value);
  state.older = state.old;
  state.old = value;
  return middle;
}

export function seedMedian(state: MedianState, value: f32): void {
  state.older = value;
  state.old = value;
}

/*
 * Second-order filter as a trapezoidal state-variable filter: the bilinear transform of the analog prototype, as in the
 * W3C Note "Audio EQ Cookbook" (2021), but with a DC gain of exactly 1 whatever the corner. The direct form loses that in f32,
 * because at 4 Hz and 1 kHz its coefficients cancel to 1.6e-4.
 *
 *   g = tan(pi·corner/rate)   k = 1/Q (sqrt 2 for Butterworth)
 *   a1 = 1/(1 + g(g + k))     a2 = g·a1     a3 = g·a2
 */

/** k of a second-order Butterworth low-pass, 1/Q = sqrt 2. */
export const BUTTERWORTH_K: f32 = <f32>Math.SQRT2;

export function firstCoefficient(g: f32, k: f32): f32 {
  return 1 / (1 + g * (g + k));
}

/** tan x by its continued fraction (Abramowitz and Stegun 4.3.94); error below 1e-6 for 0 <= x <= 0.8. */
export function tangent(x: f32): f32 {
  const square = x * x;
  return x / (1 - square / (3 - square / (5 - square / (7 - square / 9))));
}

/** One step of the low-pass. */
export function nextLowPass(state: SecondOrderState, value: f32, a1: f32, a2: f32, a3: f32): f32 {
  const difference = value - state.second;
  const band = a1 * state.first + a2 * difference;
  const low = state.second + a2 * state.first + a3 * difference;
  state.first = 2 * band - state.first;
  state.second = 2 * low - state.second;
  return low;
}

/** One step of the notch. */
export function nextNotch(state: SecondOrderState, value: f32, g: f32, k: f32): f32 {
  const a1 = firstCoefficient(g, k);
  const a2 = g * a1;
  const difference = value - state.second;
  const band = a1 * state.first + a2 * difference;
  const low = state.second + a2 * state.first + g * a2 * difference;
  state.first = 2 * band - state.first;
  state.second = 2 * low - state.second;
  return value - k * band;
}

/** Sets the filter to its steady state at `value`. */
export function seedSecondOrder(state: SecondOrderState, value: f32): void {
  state.first = 0;
  state.second = value;
}
