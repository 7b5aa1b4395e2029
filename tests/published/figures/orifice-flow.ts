/**
 * Flow of a sharp-edged orifice, Q = Cd·A·sqrt(2·dp/rho), with Cd 0.62 and rho 870 kg/m³, worked out in double precision.
 * Form: Merritt, *Hydraulic Control Systems*, 1967; Rabie, *Fluid Power Engineering*, eq 2.36 to 2.39.
 */
export const ORIFICE_FLOW: readonly { readonly diameterMm: number; readonly dropBar: number; readonly litrePerMinute: number }[] = [
  { diameterMm: 1, dropBar: 1, litrePerMinute: 0.4429841554599396 },
  { diameterMm: 1, dropBar: 10, litrePerMinute: 1.4008388986195235 },
  { diameterMm: 1, dropBar: 50, litrePerMinute: 3.1323710028391907 },
  { diameterMm: 1, dropBar: 100, litrePerMinute: 4.429841554599396 },
  { diameterMm: 1.5, dropBar: 1, litrePerMinute: 0.9967143497848641 },
  { diameterMm: 1.5, dropBar: 10, litrePerMinute: 3.1518875218939284 },
  { diameterMm: 1.5, dropBar: 50, litrePerMinute: 7.04783475638818 },
  { diameterMm: 1.5, dropBar: 100, litrePerMinute: 9.967143497848642 },
  { diameterMm: 2, dropBar: 1, litrePerMinute: 1.7719366218397583 },
  { diameterMm: 2, dropBar: 10, litrePerMinute: 5.603355594478094 },
  { diameterMm: 2, dropBar: 50, litrePerMinute: 12.529484011356763 },
  { diameterMm: 2, dropBar: 100, litrePerMinute: 17.719366218397585 },
];
