/** Standard atmosphere, Pa (ISO 2533:1975). */
export const ATMOSPHERE_PA: f64 = 101325;
/** 0 °C, K. */
export const ZERO_C_K: f64 = 273.15;
/** Temperature at which a precharge is given, K. */
export const PRECHARGE_K: f64 = 293.15;
/** Standard gravity, m/s² (ISO 80000-3). */
export const GRAVITY_MPS2: f64 = 9.80665;
/** Longest integration step, s: fourth-order Runge–Kutta is then within 0.01 N rms of a tight reference (tests/published). */
export const STEP_S: f64 = 0.0005;

export function clamp(value: f64, least: f64, most: f64): f64 {
  return Math.max(least, Math.min(most, value));
}
