/** Standard atmosphere, kPa (ISO 2533:1975). */
export const ATMOSPHERE_KPA = 101.325;
/** 0 °C, K. */
export const ZERO_C_K = 273.15;
/** Standard gravity, m/s² (ISO 80000-3). */
export const GRAVITY_MPS2 = 9.80665;
