/** Reference temperature for volumes, precharges and resistances, °C. */
export const REFERENCE_C = 20;
/** Reference oil temperature for valve flow, °C. */
export const WARM_OIL_C = 40;
