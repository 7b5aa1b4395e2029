import { effectiveBulkMpa } from './bulk-modulus.js';
import { gasMl } from './gas.js';
import { absoluteKpa, type ForceRange } from './geometry.js';
import type { SizingInput } from './sizing-input.js';

/**
 * Returns the chamber's compliance, mL/bar, at a gauge pressure (kPa): oil V/B_eff plus gas V_g/(γ·p), the gas only above its precharge.
 * Pulses are fast, so the gas is adiabatic. Source: the plant's chamber equation; `effectiveBulkMpa`, `gasMl`.
 */
export function complianceMlPerBar(gaugeKpa: number, input: SizingInput): number {
  const absolute = absoluteKpa(gaugeKpa);
  const oil = input.chamberOilMl / (10 * effectiveBulkMpa(input.bulkModulusMpa, input.airRatio, gaugeKpa));
  const hasGas = absolute >= input.prechargeAbsoluteKpa;
  return oil + (hasGas ? (100 * gasMl(gaugeKpa, input)) / (input.gasExponent * absolute) : 0);
}

export interface ComplianceSize {
  readonly minMlPerBar: number;
  readonly typicalMlPerBar: number;
  readonly maxMlPerBar: number;
  readonly effectiveBulkMpa: number;
  /** Spring rate of oil and gas at the row: (area · lever ratio)²/compliance. */
  readonly springNPerM: number;
  readonly barPerMm: number;
  readonly newtonPerMl: number;
}

/**
 * Returns the compliance at the lowest, typical and highest working pressure, and the resulting spring rate at the row: 1 mm of row
 * travel moves A·r/10 mL (A in cm², r the lever ratio); divided by compliance that is bar/mm, and times N/bar the spring rate.
 * Source: F = p·A, dp = dV/C.
 */
export function complianceSize(input: SizingInput, force: ForceRange): ComplianceSize {
  const typical = complianceMlPerBar(force.workTypicalKpa, input);
  const mlPerMm = (input.capAreaCm2 * force.leverRatio) / 10;
  const barPerMm = mlPerMm / typical;
  return {
    minMlPerBar: complianceMlPerBar(force.workMaxKpa, input),
    typicalMlPerBar: typical,
    maxMlPerBar: complianceMlPerBar(force.workMinKpa, input),
    effectiveBulkMpa: effectiveBulkMpa(input.bulkModulusMpa, input.airRatio, force.workTypicalKpa),
    springNPerM: 1000 * barPerMm * force.newtonPerBar,
    barPerMm,
    newtonPerMl: force.newtonPerBar / typical,
  };
}
