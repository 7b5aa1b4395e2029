import { ZERO_C_K } from '../../shared/physics.js';
import type { Given } from './given.js';

/** Viscosity that is reckoned with at most, mm²/s: beyond, oil no longer flows, and the formula runs away. Our choice. */
export const VISCOSITY_MOST = 1e6;

/**
 * Kinematic viscosity, mm²/s, at a temperature, °C: the line of ASTM D341, log log(ν + 0.7) = A − B·log T, through the viscosities
 * at 40 and 100 °C, which must fall with temperature. At most VISCOSITY_MOST. Source: ASTM D341.
 */
export function viscosityAt(celsius: number, { viscosityAt40, viscosityAt100 }: Pick<Given, 'viscosityAt40' | 'viscosityAt100'>): number {
  const loglog = (viscosity: number): number => Math.log10(Math.log10(viscosity + 0.7));
  const logK = (at: number): number => Math.log10(at + ZERO_C_K);
  const slope = (loglog(viscosityAt40) - loglog(viscosityAt100)) / (logK(100) - logK(40));
  const viscosity = 10 ** (10 ** (loglog(viscosityAt40) - slope * (logK(celsius) - logK(40)))) - 0.7;
  return Math.min(VISCOSITY_MOST, viscosity);
}
