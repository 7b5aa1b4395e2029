import { strokesPerS } from './duty.js';
import type { Given } from './given.js';

/** Hectares in an hour of planting, turns not counted: 0.36·width (m)·speed (m/s). Source: 1 ha = 10 000 m², 1 h = 3600 s. */
export const hectaresPerHour = (widthM: number, speedMps: number): number => 0.36 * widthM * speedMps;

export interface LifeSize {
  readonly widthM: number;
  readonly hectaresPerHour: number;
  readonly plantingHoursPerYear: number;
  readonly strokesPerYear: number;
  readonly strokesInService: number;
  /** Years that a valve lasts at that rate, at most 1000. */
  readonly lifeYears: number;
  readonly lifeRatio: number;
}

/** Longer lives are told as this. */
const YEARS_MOST = 1000;
const RATIO_MOST = 1e6;

/**
 * Strokes of one valve over its service: half of a row's, while planting at the usual speed. Strokes at start, zeroing and re-latching
 * are few beside them and not counted. Ratio: strokes that it lasts over those of its service, at most a million.
 * Source: area over area rate.
 */
export function lifeSize(given: Given): LifeSize {
  const widthM = given.rowCount * given.rowSpacingM;
  const perHour = hectaresPerHour(widthM, given.speedUsualMps);
  const hours = given.hectaresPerYear / perHour;
  const strokesPerYear = (hours * 3600 * strokesPerS(given.dutyPulsesPerMin)) / 2;
  const inService = strokesPerYear * given.serviceYears;
  return {
    widthM,
    hectaresPerHour: perHour,
    plantingHoursPerYear: hours,
    strokesPerYear,
    strokesInService: inService,
    lifeYears: strokesPerYear > 0 ? Math.min(YEARS_MOST, given.strokeLifeCount / strokesPerYear) : YEARS_MOST,
    lifeRatio: inService > 0 ? Math.min(RATIO_MOST, given.strokeLifeCount / inService) : RATIO_MOST,
  };
}
