import type { SizingInput } from './sizing-input.js';

/** Returns the natural frequency, Hz, of a mass (kg) on a spring (N/m): √(k/m)/2π. Source: closed form. */
export const naturalHz = (nPerM: number, kg: number): number => Math.sqrt(nPerM / kg) / (2 * Math.PI);

export interface ResonanceSize {
  /** Row on accumulator and lift spring, wheels off the ground. */
  readonly wheelsOffHz: number;
  /** Row on accumulator, lift spring and wheel contact. */
  readonly wheelsOnHz: number;
  readonly lugMinHz: number;
  readonly lugTypicalHz: number;
  readonly lugMaxHz: number;
  /** Lowest lug frequency over the highest natural frequency; below 1 the lugs excite the row at or below it. */
  readonly lugRatio: number;
}

/**
 * Returns the natural frequencies of the row and its lug frequencies over the planting speeds; `springNPerM` is the spring rate of oil and
 * gas at the row. Source: `naturalHz`; lug frequency is speed over pitch.
 */
export function resonanceSize(input: SizingInput, springNPerM: number): ResonanceSize {
  const kg = input.massKg + input.seedKg;
  const wheelsOffHz = naturalHz(springNPerM + input.liftNPerM, kg);
  const wheelsOnHz = naturalHz(springNPerM + input.liftNPerM + input.contactNPerM, kg);
  const [lugMinHz, lugMaxHz] = [input.speedMinMps / input.lugPitchM, input.speedMaxMps / input.lugPitchM];
  return {
    wheelsOffHz,
    wheelsOnHz,
    lugMinHz,
    lugTypicalHz: input.speedTypicalMps / input.lugPitchM,
    lugMaxHz,
    lugRatio: lugMinHz / Math.max(wheelsOffHz, wheelsOnHz),
  };
}
