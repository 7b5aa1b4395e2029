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
  /** Ratio between the lug band and the nearer of the two natural frequencies, at least 1; 1 inside the band. */
  readonly lugSeparation: number;
}

/** Returns how far a frequency lies outside a band, as a ratio of at least 1. */
const separation = (hz: number, minHz: number, maxHz: number): number => Math.max(1, minHz / hz, hz / maxHz);

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
    lugSeparation: Math.min(separation(wheelsOffHz, lugMinHz, lugMaxHz), separation(wheelsOnHz, lugMinHz, lugMaxHz)),
  };
}
