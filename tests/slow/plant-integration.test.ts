import { describe, it } from 'vitest';
import { BOTTOMED, CHECKS } from '../support/plant-odex.js';

/** The seeds that tests/published/plant-integration.test.ts leaves out. */
describe('the integration of the plant', () => {
  it.each([3, 4, 5, 6])('is within 0.05 N rms of ODEX at the wheel over 5 s of rough ground with pulses (seed %i)', CHECKS.onRoughGround);

  it.each([4, 5, 6])('is within 0.5 N rms of ODEX with a stone every 15 m (seed %i)', CHECKS.withStones);

  it.each([2, 3, 4])('is within 0.01 N rms of ODEX without an accumulator (seed %i)', CHECKS.withoutAccumulator);

  const cases = BOTTOMED.flatMap((one) => [2, 3, 4].map((seed) => ({ ...one, seed })));
  it.each(cases)('is within 1 N rms of ODEX with an accumulator $title that bottoms now and then (seed $seed)', ({ seed, ...one }) =>
    CHECKS.bottomed(one, seed),
  );
});
