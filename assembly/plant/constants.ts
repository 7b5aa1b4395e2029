/** Temperature at which a precharge is specified, K. */
export const PRECHARGE_K: f64 = 293.15;
/** Longest integration step, s. Fourth-order Runge–Kutta is then within 0.01 N rms of a tight reference (tests/published). */
export const STEP_S: f64 = 0.0005;

export function clamp(value: f64, min: f64, max: f64): f64 {
  return Math.max(min, Math.min(max, value));
}
