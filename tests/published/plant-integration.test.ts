import { describe, expect, it } from 'vitest';
import { BOTTOMED, CHECKS, compareWithOdex } from '../support/plant-odex.js';

// More seeds are in tests/slow/plant-integration.test.ts.
describe('the integration of the plant', () => {
  it.each([1, 2])('is within 0.05 N rms of ODEX at the wheel over 5 s of rough ground with pulses (seed %i)', CHECKS.onRoughGround);

  it.each([2])('is within 0.5 N rms of ODEX with a stone every 15 m (seed %i)', CHECKS.withStones);

  it.each([1])('is within 0.5 N rms of ODEX on a bouncing frame with rolling wheels and stones (seed %i)', CHECKS.inWings);

  it.each([1])('is within 0.01 N rms of ODEX without an accumulator (seed %i)', CHECKS.withoutAccumulator);

  it.each(BOTTOMED)('is within 1 N rms of ODEX with an accumulator $title that bottoms now and then', (one) => CHECKS.bottomed(one, 1));
});

describe('a step half as long', () => {
  /** A row over a sine of 3 Hz without lift-off, and without nonsmooth forces: rebound damping, soil, stops. */
  const errorN = (steps: number): number => {
    const machine = { rodAreaCm2: 0, lugHeightMm: 5, lugPitchM: 1 };
    return compareWithOdex({ startKpa: 4500, steps, machine, field: { soilMinN: 0, soilMaxN: 0 } }, 2, false).wheelRmsN;
  };

  it('has a sixteenth of the error in a smooth problem, as a fourth-order method should', () => {
    const errors = [1, 2, 4].map(errorN);
    for (const [index, error] of errors.slice(1).entries()) {
      const ratio = (errors[index] ?? Number.NaN) / error;
      expect(ratio).toBeGreaterThan(13);
      expect(ratio).toBeLessThan(19);
    }
  });
});
