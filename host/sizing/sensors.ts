import type { ForceRange } from './geometry.js';
import type { SizingInput } from './sizing-input.js';

/**
 * Returns the size of one ADC count, in the unit of the two values: the span from 10 % to 90 % of the sensor supply over 0.8 of full
 * scale. The converter's reference is the sensor supply. Source: ratiometric convention, common practice, no source.
 */
export const perCount = (atTenPercent: number, atNinetyPercent: number, fullScaleCounts: number): number =>
  (atNinetyPercent - atTenPercent) / (0.8 * fullScaleCounts);

/** Standard deviation of the rounding error, counts: 1/√12. Source: uniform distribution. */
const ROUNDING_COUNTS = 1 / Math.sqrt(12);

export interface SensorSize {
  readonly loadSpanN: number;
  readonly loadNPerCount: number;
  readonly loadNoiseN: number;
  readonly loadNoiseCounts: number;
  /** Highest load to be measured: mean plus three standard deviations at the highest target. */
  readonly loadPeakN: number;
  readonly loadHeadroomN: number;
  /** Range below zero for an offset. */
  readonly loadBelowZeroN: number;
  readonly pressureKpaPerCount: number;
  /** Noise of a pressure reading, expressed as load. */
  readonly pressureNoiseN: number;
  readonly pressureHeadroomKpa: number;
}

/**
 * Returns range, resolution and noise of the load and pressure sensors. Noise is that of sensor and rounding, root of the sum of squares.
 * The peak is target·(1 + 3·σ/mean); research has ratios of σ to mean from 0.40 to 0.71 (abstract of a no-till study, 6 to 12
 * km/h), simulations of class E at 5 m/s about 1.0.
 * Source: `perCount`; variances of independent errors add.
 */
export function sensorSize(input: SizingInput, force: ForceRange): SensorSize {
  const loadNPerCount = perCount(input.loadAtTenPercentN, input.loadAtNinetyPercentN, input.adcFullScaleCounts);
  const pressureKpaPerCount = perCount(input.pressureAtTenPercentKpa, input.pressureAtNinetyPercentKpa, input.adcFullScaleCounts);
  const loadNoiseN = Math.hypot(input.loadNoiseN, ROUNDING_COUNTS * loadNPerCount);
  const loadPeakN = input.targetLoadMaxN * (1 + 3 * input.loadVariationRatio);
  return {
    loadSpanN: input.loadAtNinetyPercentN - input.loadAtTenPercentN,
    loadNPerCount,
    loadNoiseN,
    loadNoiseCounts: loadNoiseN / loadNPerCount,
    loadPeakN,
    loadHeadroomN: input.loadAtNinetyPercentN - loadPeakN,
    loadBelowZeroN: -input.loadAtTenPercentN,
    pressureKpaPerCount,
    pressureNoiseN: (force.newtonPerBar * Math.hypot(input.pressureNoiseKpa, ROUNDING_COUNTS * pressureKpaPerCount)) / 100,
    pressureHeadroomKpa: input.pressureAtNinetyPercentKpa - Math.max(force.workMaxKpa, input.railNominalKpa),
  };
}
