/**
 * Usable volume of an accumulator of 1 L, L: V0·[(p0/p1)^(1/n) − (p0/p2)^(1/n)], pressures absolute, given as gauge, bar. Worked out
 * in double precision. A worked example found in a published text agrees: 90, 100 and 200 bar, n = 1.4, 1 L wanted: V0 = 2.774 L.
 */
export const USABLE_VOLUME: readonly {
  readonly prechargeBar: number;
  readonly fromBar: number;
  readonly toBar: number;
  readonly exponent: number;
  readonly litre: number;
}[] = [
  { prechargeBar: 90, fromBar: 100, toBar: 200, exponent: 1, litre: 0.448230694359 },
  { prechargeBar: 90, fromBar: 100, toBar: 200, exponent: 1.25, litre: 0.389462911515 },
  { prechargeBar: 90, fromBar: 100, toBar: 200, exponent: 1.4, litre: 0.360436910604 },
  { prechargeBar: 50, fromBar: 60, toBar: 150, exponent: 1, litre: 0.498294723986 },
  { prechargeBar: 50, fromBar: 60, toBar: 150, exponent: 1.25, litre: 0.446881281027 },
  { prechargeBar: 50, fromBar: 60, toBar: 150, exponent: 1.4, litre: 0.419364596882 },
  { prechargeBar: 40, fromBar: 50, toBar: 120, exponent: 1, litre: 0.465057130636 },
  { prechargeBar: 40, fromBar: 50, toBar: 120, exponent: 1.25, litre: 0.41903567361 },
  { prechargeBar: 40, fromBar: 50, toBar: 120, exponent: 1.4, litre: 0.393996941186 },
  { prechargeBar: 70, fromBar: 80, toBar: 180, exponent: 1, litre: 0.484253722678 },
  { prechargeBar: 70, fromBar: 80, toBar: 180, exponent: 1.25, litre: 0.426921340274 },
  { prechargeBar: 70, fromBar: 80, toBar: 180, exponent: 1.4, litre: 0.397639121681 },
];

/**
 * Effective bulk modulus of oil of 1500 MPa with free air, MPa, bubbles at constant temperature; `airRatio` is their share of
 * volume at atmospheric pressure. Worked out in double precision; form: Merritt, *Hydraulic Control Systems*, 1967; Rabie, *Fluid
 * Power Engineering*, eq. 2.49 to 2.57.
 */
export const BULK_MODULUS: readonly { readonly airRatio: number; readonly gaugeBar: number; readonly megapascal: number }[] = [
  { airRatio: 0, gaugeBar: 50, megapascal: 1500 },
  { airRatio: 0.005, gaugeBar: 1, megapascal: 75.7782605 },
  { airRatio: 0.005, gaugeBar: 5, megapascal: 482.2723588 },
  { airRatio: 0.005, gaugeBar: 10, megapascal: 920.6115019 },
  { airRatio: 0.005, gaugeBar: 50, megapascal: 1457.239345 },
  { airRatio: 0.005, gaugeBar: 100, megapascal: 1488.857313 },
  { airRatio: 0.005, gaugeBar: 200, megapascal: 1497.170584 },
  { airRatio: 0.01, gaugeBar: 1, megapascal: 38.77671884 },
  { airRatio: 0.01, gaugeBar: 5, megapascal: 286.3554925 },
  { airRatio: 0.01, gaugeBar: 10, megapascal: 662.4066414 },
  { airRatio: 0.01, gaugeBar: 50, megapascal: 1416.460497 },
  { airRatio: 0.01, gaugeBar: 100, megapascal: 1477.770008 },
  { airRatio: 0.01, gaugeBar: 200, megapascal: 1494.32355 },
  { airRatio: 0.02, gaugeBar: 1, megapascal: 19.54547903 },
  { airRatio: 0.02, gaugeBar: 5, megapascal: 157.0983774 },
  { airRatio: 0.02, gaugeBar: 10, megapascal: 422.2585536 },
  { airRatio: 0.02, gaugeBar: 50, megapascal: 1340.321534 },
  { airRatio: 0.02, gaugeBar: 100, megapascal: 1455.759896 },
  { airRatio: 0.02, gaugeBar: 200, megapascal: 1488.575967 },
  { airRatio: 0.05, gaugeBar: 1, megapascal: 7.761821889 },
  { airRatio: 0.05, gaugeBar: 5, megapascal: 65.42629875 },
  { airRatio: 0.05, gaugeBar: 10, megapascal: 198.3371123 },
  { airRatio: 0.05, gaugeBar: 50, megapascal: 1147.627448 },
  { airRatio: 0.05, gaugeBar: 100, megapascal: 1391.016702 },
  { airRatio: 0.05, gaugeBar: 200, megapascal: 1470.892796 },
];

/**
 * Viscosity of an oil of 46 mm²/s at 40 °C and 6.8 at 100 °C (this one assumed), mm²/s, on the line of ASTM D341: worked out in
 * double precision.
 */
export const VISCOSITY_46: readonly { readonly celsius: number; readonly mm2PerS: number }[] = [
  { celsius: -20, mm2PerS: 4517.84080439 },
  { celsius: -10, mm2PerS: 1474.32660579 },
  { celsius: 0, mm2PerS: 577.321355416 },
  { celsius: 10, mm2PerS: 261.873688559 },
  { celsius: 20, mm2PerS: 133.838180521 },
  { celsius: 30, mm2PerS: 75.3945449322 },
  { celsius: 40, mm2PerS: 46 },
  { celsius: 50, mm2PerS: 29.9729898393 },
  { celsius: 60, mm2PerS: 20.622747557 },
  { celsius: 70, mm2PerS: 14.8472552741 },
  { celsius: 80, mm2PerS: 11.1026106251 },
  { celsius: 90, mm2PerS: 8.57204402627 },
  { celsius: 100, mm2PerS: 6.8 },
];
