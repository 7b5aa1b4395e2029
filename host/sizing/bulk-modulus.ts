import { ATMOSPHERE_KPA } from '../../shared/physics.js';

/**
 * Effective bulk modulus of oil with free air, MPa, at a gauge pressure (kPa, above −101): with the oil's room l = (1 − α)·e^(−p/B) and
 * the air's x = α·(pa/p_abs)^(1/n),
 *   B_eff = (l + x)/(l/B + x/(n·p_abs)),
 * α the air's share of volume at atmospheric pressure (0 to 1), n its polytropic exponent (1: constant temperature).
 * Source: Merritt, *Hydraulic Control Systems*, 1967; Rabie, *Fluid Power Engineering*, eq. 2.49 to 2.57.
 */
export function effectiveBulkMpa(bulkMpa: number, airRatio: number, gaugeKpa: number, exponent = 1): number {
  const absoluteMpa = (gaugeKpa + ATMOSPHERE_KPA) / 1000;
  const liquid = (1 - airRatio) * Math.exp(-gaugeKpa / 1000 / bulkMpa);
  const air = airRatio * (ATMOSPHERE_KPA / 1000 / absoluteMpa) ** (1 / exponent);
  return (liquid + air) / (liquid / bulkMpa + air / (exponent * absoluteMpa));
}
