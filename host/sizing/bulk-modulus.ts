import { ATMOSPHERE_KPA } from '../../shared/physics.js';

/**
 * Returns the effective bulk modulus of oil with free air, MPa, at a gauge pressure (kPa, above −101). With the liquid's share of
 * volume l = (1 − α)·e^(−p/B) and the air's x = α·(pa/p_abs)^(1/n),
 *   B_eff = (l + x)/(l/B + x/(n·p_abs)),
 * where α is the air's share of volume at atmospheric pressure (0 to 1) and n its polytropic exponent (1: isothermal).
 * Source: Merritt, *Hydraulic Control Systems*, 1967; Rabie, *Fluid Power Engineering*, eq. 2.49 to 2.57.
 */
export function effectiveBulkMpa(bulkMpa: number, airRatio: number, gaugeKpa: number, exponent = 1): number {
  const absoluteMpa = (gaugeKpa + ATMOSPHERE_KPA) / 1000;
  const liquid = (1 - airRatio) * Math.exp(-gaugeKpa / 1000 / bulkMpa);
  const air = airRatio * (ATMOSPHERE_KPA / 1000 / absoluteMpa) ** (1 / exponent);
  return (liquid + air) / (liquid / bulkMpa + air / (exponent * absoluteMpa));
}
