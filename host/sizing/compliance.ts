import { effectiveBulkMpa } from './bulk-modulus.js';
import { gasMl } from './gas.js';
import { absoluteKpa, type ForceRange } from './geometry.js';
import type { Given } from './given.js';

/**
 * Oil that the chamber takes for a bar, mL/bar, at a gauge pressure, kPa: oil V/B_eff and gas V_g/(γ·p), the gas's only above its
 * precharge. Pulses are fast, so the gas keeps its heat. Source: the chamber's equation of the plant; `effectiveBulkMpa`, `gasMl`.
 */
export function complianceMlPerBar(gaugeKpa: number, given: Given): number {
  const absolute = absoluteKpa(gaugeKpa);
  const oil = given.chamberOilMl / (10 * effectiveBulkMpa(given.bulkModulusMpa, given.airRatio, gaugeKpa));
  const hasGas = absolute >= given.prechargeAbsoluteKpa;
  return oil + (hasGas ? (100 * gasMl(gaugeKpa, given)) / (given.gasExponent * absolute) : 0);
}

export interface ComplianceSize {
  readonly leastMlPerBar: number;
  readonly usualMlPerBar: number;
  readonly mostMlPerBar: number;
  readonly effectiveBulkMpa: number;
  /** Spring of oil and gas, seen at the row: (area · lever)²/compliance. */
  readonly springNPerM: number;
  readonly barPerMm: number;
  readonly newtonPerMl: number;
}

/**
 * Compliance at lowest, usual and highest working pressure, and the spring that it makes of the row: each mm of it moves A·r/10 mL
 * (A in cm², r the lever ratio), which over the compliance is bar/mm, and times N/bar the spring. Source: F = p·A, dp = dV/C.
 */
export function complianceSize(given: Given, force: ForceRange): ComplianceSize {
  const usual = complianceMlPerBar(force.workUsualKpa, given);
  const mlPerMm = (given.capAreaCm2 * force.leverRatio) / 10;
  const barPerMm = mlPerMm / usual;
  return {
    leastMlPerBar: complianceMlPerBar(force.workMostKpa, given),
    usualMlPerBar: usual,
    mostMlPerBar: complianceMlPerBar(force.workLeastKpa, given),
    effectiveBulkMpa: effectiveBulkMpa(given.bulkModulusMpa, given.airRatio, force.workUsualKpa),
    springNPerM: 1000 * barPerMm * force.newtonPerBar,
    barPerMm,
    newtonPerMl: force.newtonPerBar / usual,
  };
}
