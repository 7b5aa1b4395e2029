import { ZERO_C_K } from './constants';
import { Derived, Machine } from './generated/records';

/** Discharge coefficient of a sharp-edged orifice in turbulent flow (Merritt, Hydraulic Control Systems, 1967: π/(π+2) = 0.611). */
export const DISCHARGE: f64 = 0.62;

/** The line of ASTM D341: log log(ν + 0.7) = A − B·log T, ν in mm²/s, T in K, through the viscosities at 40 and 100 °C. */
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
 * Pressure drop over a valve: a narrow passage in laminar flow (Hagen–Poiseuille) and an orifice in a row,
 * Δp = a·ν·Q + b·Q². The passage is as wide as the orifice that would pass the nominal flow alone; b makes up what
 * a leaves of the nominal drop at 40 °C, at least a twentieth.
 */
export function fitValve(m: Machine, d: Derived): void {
  const flow = m.valveFlowLpm / 60000;
  const drop = m.valveFlowDropKpa * 1000;
  const area = flow / (DISCHARGE * Math.sqrt((2 * drop) / m.oilKgPerM3));
  const diameter2 = (4 * area) / Math.PI;
  d.bellow = (128 * m.oilKgPerM3 * m.passageMm * 1e-3) / (Math.PI * diameter2 * diameter2);
  const viscous = d.bellow * viscosityAt(40, d) * flow;
  d.throat = Math.max(drop - viscous, 0.05 * drop) / (flow * flow);
}

/** Flow through a fully open valve, m³/s, with the sign of the drop, Pa. Smooth at zero, where it is laminar. */
export function valveFlow(dropPa: f64, viscous: f64, throat: f64): f64 {
  const size = Math.abs(dropPa);
  if (size === 0) return 0;
  const flow = (2 * size) / (viscous + Math.sqrt(viscous * viscous + 4 * throat * size));
  return dropPa < 0 ? -flow : flow;
}
