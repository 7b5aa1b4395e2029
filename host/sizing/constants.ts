/** Temperature at which volumes, precharges and resistances are given, °C. */
export const REFERENCE_C = 20;
/** Oil temperature at which the valve's flow is given, °C. */
export const WARM_OIL_C = 40;
