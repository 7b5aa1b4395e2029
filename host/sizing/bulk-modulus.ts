import { ATMOSPHERE_KPA } from './constants.js';

/**
 * Effective bulk modulus of oil with free air, MPa, at a gauge pressure (kPa, above −101): with x = α·(pa/p)^(1/n) the air's room,
 *   B_eff = (1 − α + x)/((1 − α)/B + x/(n·p)),
 * α the air's share of volume at atmospheric pressure (0 to 1), n its polytropic exponent (1: constant temperature).
 * Source: Merritt, *Hydraulic Control Systems*, 1967; Rabie, *Fluid Power Engineering*, eq. 2.49 to 2.57.
 */
export function effectiveBulkMpa(bulkMpa: number, airRatio: number, gaugeKpa: number, exponent = 1): number {
  const absoluteMpa = (gaugeKpa + ATMOSPHERE_KPA) / 1000;
  const room = airRatio * (ATMOSPHERE_KPA / 1000 / absoluteMpa) ** (1 / exponent);
  return (1 - airRatio + room) / ((1 - airRatio) / bulkMpa + room / (exponent * absoluteMpa));
}
