import type { Given } from './given.js';

/** Natural frequency, Hz, of a mass (kg) on a spring (N/m): √(k/m)/2π. Source: closed form. */
export const naturalHz = (nPerM: number, kg: number): number => Math.sqrt(nPerM / kg) / (2 * Math.PI);

export interface ResonanceSize {
  /** Row on its accumulator and lift spring, the wheels off the ground. */
  readonly hangingHz: number;
  /** Row on these and on its wheels' contact. */
  readonly standingHz: number;
  readonly lugLeastHz: number;
  readonly lugUsualHz: number;
  readonly lugMostHz: number;
  /** How many times below or above the lugs' band the nearer of the two lies; 1 where it lies inside. */
  readonly lugDistance: number;
}

/** How far a frequency lies outside a band, as a ratio of at least 1. */
const distance = (hz: number, leastHz: number, mostHz: number): number => Math.max(1, leastHz / hz, hz / mostHz);

/**
 * Natural frequencies of the row and those of its lugs over the working speeds; `springNPerM` is that of oil and gas seen at the row.
 * Source: `naturalHz`; lug frequency is speed over pitch.
 */
export function resonanceSize(given: Given, springNPerM: number): ResonanceSize {
  const kg = given.massKg + given.seedKg;
  const hanging = naturalHz(springNPerM + given.liftNPerM, kg);
  const standing = naturalHz(springNPerM + given.liftNPerM + given.contactNPerM, kg);
  const [least, most] = [given.speedLeastMps / given.lugPitchM, given.speedMostMps / given.lugPitchM];
  return {
    hangingHz: hanging,
    standingHz: standing,
    lugLeastHz: least,
    lugUsualHz: given.speedUsualMps / given.lugPitchM,
    lugMostHz: most,
    lugDistance: Math.min(distance(hanging, least, most), distance(standing, least, most)),
  };
}
