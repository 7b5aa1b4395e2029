import { WARM_OIL_C } from './constants.js';
import type { SizingInput } from './sizing-input.js';
import { viscosityAt } from './viscosity.js';

/** Discharge coefficient of a sharp-edged orifice, as in the plant; the theoretical limit is π/(π + 2) = 0.611 (Merritt, 1967). */
export const DISCHARGE = 0.62;

/**
 * Returns the flow of a sharp-edged orifice, L/min: Q = Cd·A·√(2Δp/ρ); diameter in mm, drop in kPa (not below 0), density in kg/m³.
 * Source: Merritt, *Hydraulic Control Systems*, 1967; Rabie, *Fluid Power Engineering*, eq. 2.36 to 2.39.
 */
export function orificeLpm(diameterMm: number, dropKpa: number, kgPerM3: number, discharge = DISCHARGE): number {
  const areaM2 = (Math.PI / 4) * (diameterMm / 1000) ** 2;
  return 60000 * discharge * areaM2 * Math.sqrt((2000 * dropKpa) / kgPerM3);
}

/** Returns the diameter of the orifice that passes a flow, mm. Source: `orificeLpm` solved for the diameter. */
export const orificeMm = (lpm: number, dropKpa: number, kgPerM3: number): number => Math.sqrt(lpm / orificeLpm(1, dropKpa, kgPerM3));

type Valve = Pick<
  SizingInput,
  'valveFlowLpm' | 'valveFlowDropKpa' | 'flowRatioPerC' | 'passageMm' | 'oilKgPerM3' | 'viscosityAt40' | 'viscosityAt100'
>;

/**
 * Returns the flow of an open valve, L/min, over its pressure drop (kPa; 0 or less gives 0) at an oil temperature (°C): a narrow passage in
 * laminar flow in series with an orifice, Δp = a·ν·Q + b·Q². The passage has the diameter of an orifice that passes the nominal flow
 * alone; b makes up the rest of the nominal drop at 40 °C, at least 5 % of it. The flow then changes by flowRatioPerC, not below zero.
 * Source: as in the plant; Hagen–Poiseuille and `orificeLpm`.
 */
export function valveCurve(celsius: number, valve: Valve): (dropKpa: number) => number {
  const nominal = valve.valveFlowLpm / 60000;
  const nominalPa = valve.valveFlowDropKpa * 1000;
  const diameterM = orificeMm(valve.valveFlowLpm, valve.valveFlowDropKpa, valve.oilKgPerM3) / 1000;
  const laminar = (128 * valve.oilKgPerM3 * (valve.passageMm / 1000)) / (Math.PI * diameterM ** 4);
  const throat = Math.max(nominalPa - laminar * viscosityAt(WARM_OIL_C, valve) * 1e-6 * nominal, 0.05 * nominalPa) / nominal ** 2;
  const viscous = laminar * viscosityAt(celsius, valve) * 1e-6;
  const ratio = Math.max(0, 1 + valve.flowRatioPerC * (celsius - WARM_OIL_C));
  return (dropKpa) =>
    dropKpa > 0 ? (ratio * 60000 * 2000 * dropKpa) / (viscous + Math.sqrt(viscous ** 2 + 4 * throat * 1000 * dropKpa)) : 0;
}

/** Returns the flow at one pressure drop, kPa. Source: `valveCurve`. */
export const valveLpm = (dropKpa: number, celsius: number, valve: Valve): number => valveCurve(celsius, valve)(dropKpa);

export interface ValveSize {
  readonly orificeMm: number;
  readonly coldViscosityMm2PerS: number;
  readonly warmViscosityMm2PerS: number;
  readonly hotViscosityMm2PerS: number;
  /** Flow at valveFlowDropKpa with the coldest oil, at 40 °C and with the hottest oil. */
  readonly coldLpm: number;
  readonly warmLpm: number;
  readonly hotLpm: number;
}

/** Returns the valve over the range of oil temperatures. Source: as the functions above. */
export function valveSize(input: SizingInput): ValveSize {
  const lpm = (celsius: number): number => valveLpm(input.valveFlowDropKpa, celsius, input);
  return {
    orificeMm: orificeMm(input.valveFlowLpm, input.valveFlowDropKpa, input.oilKgPerM3),
    coldViscosityMm2PerS: viscosityAt(input.oilColdC, input),
    warmViscosityMm2PerS: viscosityAt(WARM_OIL_C, input),
    hotViscosityMm2PerS: viscosityAt(input.oilHotC, input),
    coldLpm: lpm(input.oilColdC),
    warmLpm: lpm(WARM_OIL_C),
    hotLpm: lpm(input.oilHotC),
  };
}
