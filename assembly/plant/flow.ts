import { Derived, Machine, ZERO_C_K } from './generated/records';

/** Discharge coefficient of a sharp-edged orifice in turbulent flow (Merritt, Hydraulic Control Systems, 1967: π/(π+2) = 0.611). */
export const DISCHARGE: f64 = 0.62;

/** Fits the line of ASTM D341 through the viscosities at 40 and 100 °C: log log(ν + 0.7) = A − B·log T, ν in mm²/s, T in K. */
export function fitViscosity(m: Machine, d: Derived): void {
  const at40 = Math.log10(Math.log10(m.viscosityAt40 + 0.7));
  const at100 = Math.log10(Math.log10(m.viscosityAt100 + 0.7));
  const log40 = Math.log10(40 + ZERO_C_K);
  const log100 = Math.log10(100 + ZERO_C_K);
  d.viscosityB = (at40 - at100) / (log100 - log40);
  d.viscosityA = at40 + d.viscosityB * log40;
}

/** Kinematic viscosity, m²/s. */
export function viscosityAt(celsius: f64, d: Derived): f64 {
  const loglog = d.viscosityA - d.viscosityB * Math.log10(celsius + ZERO_C_K);
  return (Math.pow(10, Math.pow(10, loglog)) - 0.7) * 1e-6;
}

/**
 * Fits the pressure drop of a valve, Δp = a·ν·Q + b·Q²: a narrow passage in laminar flow (Hagen–Poiseuille) in series with an
 * orifice. The passage is as wide as an orifice that alone would pass the nominal flow. At 40 °C the orifice takes the rest of
 * the nominal drop, but no less than a twentieth of it.
 */
export function fitValve(m: Machine, d: Derived): void {
  const flow = m.valveFlowLpm / 60000;
  const drop = m.valveFlowDropKpa * 1000;
  const area = flow / (DISCHARGE * Math.sqrt((2 * drop) / m.oilKgPerM3));
  const diameter2 = (4 * area) / Math.PI;
  d.viscousTerm = (128 * m.oilKgPerM3 * m.passageMm * 1e-3) / (Math.PI * diameter2 * diameter2);
  const viscous = d.viscousTerm * viscosityAt(40, d) * flow;
  d.orificeTerm = Math.max(drop - viscous, 0.05 * drop) / (flow * flow);
}

/** Flow at an oil temperature relative to that at 40 °C, as far as the viscosity does not explain it. */
export function flowRatioAt(celsius: f64, m: Machine): f64 {
  return 1 + m.flowRatioPerC * (celsius - 40);
}

/** Flow through a fully open valve, m³/s, with the sign of the drop, Pa. Smooth through zero, where the flow is laminar. */
export function valveFlow(dropPa: f64, viscous: f64, orifice: f64): f64 {
  const size = Math.abs(dropPa);
  if (size === 0) return 0;
  const flow = (2 * size) / (viscous + Math.sqrt(viscous * viscous + 4 * orifice * size));
  return dropPa < 0 ? -flow : flow;
}
