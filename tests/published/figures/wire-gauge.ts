/**
 * Solid copper wire by gauge: diameter 0.127·92^((36 − n)/39) mm (ASTM B258), resistance at 20 °C with 17.241 nΩ·m, and of 1000 ft at
 * 75 °C with 0.00393 1/K. Worked out in double precision; a published table agrees with those at 20 °C to four digits.
 */
// biome-ignore format: a table
export const GAUGES: readonly { readonly awg: number; readonly mm: number; readonly mm2: number; readonly ohmPerKm: number; readonly ohmPerKft75: number }[] = [
  { awg: 8, mm: 3.26364, mm2: 8.36556, ohmPerKm: 2.0609, ohmPerKft75: 0.76396 },
  { awg: 9, mm: 2.90636, mm2: 6.63419, ohmPerKm: 2.5988, ohmPerKft75: 0.96333 },
  { awg: 10, mm: 2.58819, mm2: 5.26115, ohmPerKm: 3.277, ohmPerKft75: 1.21474 },
  { awg: 11, mm: 2.30485, mm2: 4.17229, ohmPerKm: 4.1323, ohmPerKft75: 1.53176 },
  { awg: 12, mm: 2.05253, mm2: 3.30877, ohmPerKm: 5.2107, ohmPerKft75: 1.93151 },
  { awg: 13, mm: 1.82783, mm2: 2.62398, ohmPerKm: 6.5706, ohmPerKft75: 2.43559 },
  { awg: 14, mm: 1.62773, mm2: 2.08091, ohmPerKm: 8.2853, ohmPerKft75: 3.07123 },
  { awg: 15, mm: 1.44953, mm2: 1.65023, ohmPerKm: 10.4476, ohmPerKft75: 3.87274 },
  { awg: 16, mm: 1.29085, mm2: 1.3087, ohmPerKm: 13.1742, ohmPerKft75: 4.88344 },
  { awg: 17, mm: 1.14953, mm2: 1.03784, ohmPerKm: 16.6123, ohmPerKft75: 6.1579 },
  { awg: 18, mm: 1.02369, mm2: 0.82305, ohmPerKm: 20.9478, ohmPerKft75: 7.76497 },
  { awg: 19, mm: 0.91162, mm2: 0.65271, ohmPerKm: 26.4147, ohmPerKft75: 9.79145 },
  { awg: 20, mm: 0.81182, mm2: 0.51762, ohmPerKm: 33.3083, ohmPerKft75: 12.34679 },
  { awg: 21, mm: 0.72295, mm2: 0.41049, ohmPerKm: 42.0009, ohmPerKft75: 15.56902 },
  { awg: 22, mm: 0.6438, mm2: 0.32553, ohmPerKm: 52.9622, ohmPerKft75: 19.63217 },
  { awg: 23, mm: 0.57332, mm2: 0.25816, ohmPerKm: 66.7841, ohmPerKft75: 24.75571 },
  { awg: 24, mm: 0.51056, mm2: 0.20473, ohmPerKm: 84.2132, ohmPerKft75: 31.21637 },
];
