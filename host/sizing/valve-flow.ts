import { WARM_OIL_C } from './constants.js';
import type { Given } from './given.js';
import { viscosityAt } from './viscosity.js';

/** Discharge coefficient of a sharp-edged orifice, as the plant has it; the limit of theory is π/(π + 2) = 0.611 (Merritt, 1967). */
export const DISCHARGE = 0.62;

/**
 * Flow of a sharp-edged orifice, L/min: Q = Cd·A·√(2Δp/ρ); diameter in mm, drop in kPa (not below 0), density in kg/m³.
 * Source: Merritt, *Hydraulic Control Systems*, 1967; Rabie, *Fluid Power Engineering*, eq. 2.36 to 2.39.
 */
export function orificeLpm(diameterMm: number, dropKpa: number, kgPerM3: number, discharge = DISCHARGE): number {
  const areaM2 = (Math.PI / 4) * (diameterMm / 1000) ** 2;
  return 60000 * discharge * areaM2 * Math.sqrt((2000 * dropKpa) / kgPerM3);
}

/** Diameter of the orifice that passes a flow, mm. Source: `orificeLpm` turned round. */
export const orificeMm = (lpm: number, dropKpa: number, kgPerM3: number): number => Math.sqrt(lpm / orificeLpm(1, dropKpa, kgPerM3));

type Valve = Pick<Given, 'valveFlowLpm' | 'valveFlowDropKpa' | 'passageMm' | 'oilKgPerM3' | 'viscosityAt40' | 'viscosityAt100'>;

/**
 * Flow of an open valve, L/min, at a drop, kPa (0 or less: 0), with oil of a temperature, °C: a narrow passage in laminar flow and an
 * orifice in a row, Δp = a·ν·Q + b·Q². The passage is as wide as the orifice that passes the nominal flow alone; b makes up what a
 * leaves of the nominal drop at 40 °C, at least a twentieth. Source: as in the plant; Hagen–Poiseuille and `orificeLpm`.
 */
export function valveLpm(dropKpa: number, celsius: number, valve: Valve): number {
  if (!(dropKpa > 0)) return 0;
  const nominal = valve.valveFlowLpm / 60000;
  const nominalPa = valve.valveFlowDropKpa * 1000;
  const diameterM = orificeMm(valve.valveFlowLpm, valve.valveFlowDropKpa, valve.oilKgPerM3) / 1000;
  const laminar = (128 * valve.oilKgPerM3 * (valve.passageMm / 1000)) / (Math.PI * diameterM ** 4);
  const throat = Math.max(nominalPa - laminar * viscosityAt(WARM_OIL_C, valve) * 1e-6 * nominal, 0.05 * nominalPa) / nominal ** 2;
  const viscous = laminar * viscosityAt(celsius, valve) * 1e-6;
  return (60000 * 2000 * dropKpa) / (viscous + Math.sqrt(viscous ** 2 + 4 * throat * 1000 * dropKpa));
}

export interface ValveSize {
  readonly orificeMm: number;
  readonly coldViscosityMm2PerS: number;
  readonly warmViscosityMm2PerS: number;
  readonly hotViscosityMm2PerS: number;
  /** Flow at valveFlowDropKpa with oil at its coldest, at 40 °C and at its hottest. */
  readonly coldLpm: number;
  readonly warmLpm: number;
  readonly hotLpm: number;
}

/** The valve over the temperatures of the oil; units as named. Source: as the functions above. */
export function valveSize(given: Given): ValveSize {
  const lpm = (celsius: number): number => valveLpm(given.valveFlowDropKpa, celsius, given);
  return {
    orificeMm: orificeMm(given.valveFlowLpm, given.valveFlowDropKpa, given.oilKgPerM3),
    coldViscosityMm2PerS: viscosityAt(given.oilColdC, given),
    warmViscosityMm2PerS: viscosityAt(WARM_OIL_C, given),
    hotViscosityMm2PerS: viscosityAt(given.oilHotC, given),
    coldLpm: lpm(given.oilColdC),
    warmLpm: lpm(WARM_OIL_C),
    hotLpm: lpm(given.oilHotC),
  };
}
