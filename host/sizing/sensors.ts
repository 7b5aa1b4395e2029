import type { ForceRange } from './geometry.js';
import type { Given } from './given.js';

/**
 * What one converter code is worth, in the unit of the two values: the span between 10 % and 90 % of the supply over 0.8 of the
 * codes. Converter referenced to the sensor supply. Source: ratiometric convention, common practice, no source.
 */
export const perCount = (atTenPercent: number, atNinetyPercent: number, fullScaleCounts: number): number =>
  (atNinetyPercent - atTenPercent) / (0.8 * fullScaleCounts);

/** Standard deviation of rounding to codes, in codes: 1/√12. Source: uniform distribution. */
const ROUNDING_COUNTS = 1 / Math.sqrt(12);

export interface SensorSize {
  readonly loadSpanN: number;
  readonly loadNPerCount: number;
  readonly loadNoiseN: number;
  readonly loadNoiseCounts: number;
  /** Highest load that has to be read: mean and three standard deviations at the highest target. */
  readonly loadPeakN: number;
  readonly loadRoomN: number;
  /** Load below zero that an offset may reach before the reading ends. */
  readonly loadBelowZeroN: number;
  readonly pressureKpaPerCount: number;
  /** Noise of one pressure reading as load. */
  readonly pressureNoiseN: number;
  readonly pressureRoomKpa: number;
}

/**
 * Ranges, steps and noise of load and pressure sensors; units as named. Noise is the sensor's and the rounding's, as root of the sum
 * of squares. The peak is target·(1 + 3·σ/mean); ratios of σ to mean from 0.40 to 0.71 are found in research (a no-till study's
 * abstract, 6 to 12 km/h). Source: `perCount`; variances of independent errors add.
 */
export function sensorSize(given: Given, force: ForceRange): SensorSize {
  const step = perCount(given.loadAtTenPercentN, given.loadAtNinetyPercentN, given.adcFullScaleCounts);
  const pressureStep = perCount(given.pressureAtTenPercentKpa, given.pressureAtNinetyPercentKpa, given.adcFullScaleCounts);
  const noiseN = Math.hypot(given.loadNoiseN, ROUNDING_COUNTS * step);
  const peakN = given.targetMostN * (1 + 3 * given.loadVariationRatio);
  return {
    loadSpanN: given.loadAtNinetyPercentN - given.loadAtTenPercentN,
    loadNPerCount: step,
    loadNoiseN: noiseN,
    loadNoiseCounts: noiseN / step,
    loadPeakN: peakN,
    loadRoomN: given.loadAtNinetyPercentN - peakN,
    loadBelowZeroN: -given.loadAtTenPercentN,
    pressureKpaPerCount: pressureStep,
    pressureNoiseN: (force.newtonPerBar * Math.hypot(given.pressureNoiseKpa, ROUNDING_COUNTS * pressureStep)) / 100,
    pressureRoomKpa: given.pressureAtNinetyPercentKpa - Math.max(force.workMostKpa, given.railNominalKpa),
  };
}
