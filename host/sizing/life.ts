import { strokesPerS } from './duty.js';
import type { SizingInput } from './sizing-input.js';

/** Returns hectares planted per hour, without turns: 0.36·width (m)·speed (m/s). Source: 1 ha = 10 000 m², 1 h = 3600 s. */
export const hectaresPerHour = (widthM: number, speedMps: number): number => 0.36 * widthM * speedMps;

export interface LifeSize {
  readonly widthM: number;
  readonly hectaresPerHour: number;
  readonly plantingHoursPerYear: number;
  readonly strokesPerYear: number;
  readonly serviceStrokes: number;
  /** Life of a valve at that rate, at most 1000 years. */
  readonly lifeYears: number;
  readonly lifeRatio: number;
}

/** Upper limits of the results, so that they stay finite without strokes. */
const YEARS_MAX = 1000;
const RATIO_MAX = 1e6;

/**
 * Returns the strokes of one valve in service: half of a row's, while planting at the typical speed. The few strokes at start-up, zeroing
 * and re-latching are ignored. The ratio is rated strokes over strokes in service, at most a million. Source: area over area rate.
 */
export function lifeSize(input: SizingInput): LifeSize {
  const widthM = input.rowCount * input.rowSpacingM;
  const perHour = hectaresPerHour(widthM, input.speedTypicalMps);
  const hours = input.hectaresPerYear / perHour;
  const strokesPerYear = (hours * 3600 * strokesPerS(input.dutyPulsesPerMin)) / 2;
  const serviceStrokes = strokesPerYear * input.serviceYears;
  return {
    widthM,
    hectaresPerHour: perHour,
    plantingHoursPerYear: hours,
    strokesPerYear,
    serviceStrokes,
    lifeYears: strokesPerYear > 0 ? Math.min(YEARS_MAX, input.strokeLifeCount / strokesPerYear) : YEARS_MAX,
    lifeRatio: serviceStrokes > 0 ? Math.min(RATIO_MAX, input.strokeLifeCount / serviceStrokes) : RATIO_MAX,
  };
}
