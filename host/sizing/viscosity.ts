import { ZERO_C_K } from '../../shared/physics.js';
import type { SizingInput } from './sizing-input.js';

/** Upper limit of viscosity, mm²/s: above it oil no longer flows and the formula diverges. Our choice. */
export const VISCOSITY_MAX = 1e6;

/**
 * Returns the kinematic viscosity, mm²/s, at a temperature (°C): the ASTM D341 line, log log(ν + 0.7) = A − B·log T, through the
 * viscosities at 40 and 100 °C, which must fall with temperature. At most VISCOSITY_MAX. Source: ASTM D341.
 */
export function viscosityAt(
  celsius: number,
  { viscosityAt40, viscosityAt100 }: Pick<SizingInput, 'viscosityAt40' | 'viscosityAt100'>,
): number {
  const loglog = (viscosity: number): number => Math.log10(Math.log10(viscosity + 0.7));
  const logK = (at: number): number => Math.log10(at + ZERO_C_K);
  const slope = (loglog(viscosityAt40) - loglog(viscosityAt100)) / (logK(100) - logK(40));
  const viscosity = 10 ** (10 ** (loglog(viscosityAt40) - slope * (logK(celsius) - logK(40)))) - 0.7;
  return Math.min(VISCOSITY_MAX, viscosity);
}
