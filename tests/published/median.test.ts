import { describe, expect, it } from 'vitest';
import { Bench } from '../support/bench.js';
import { MEDIANS_NEAREST, MEDIANS_ZERO, SERIES } from './figures/medians.js';

/** A number of the series as a code of the pressure sensor that is good, and back from the probe. */
const codeOf = (value: number): number => 1000 + 10 * value;
const numberOf = (kpa: number): number => ((kpa + 3125) / 7.62939453125 - 1000) / 10;

describe('the median of 3', () => {
  const bench = new Bench(1, { pressureRateKpaPerMs: 20000 });
  const medians = SERIES.map((value) =>
    numberOf(
      bench
        .row(1, { pressureCounts: codeOf(value) })
        .tick()
        .probe('pressureRawKpa'),
    ),
  );

  it('is scipy’s, one tick late, since a controller can’t look ahead', () => {
    expect(medians.slice(1)).toEqual(MEDIANS_NEAREST.slice(0, -1));
  });

  it('agrees with the zero-padded one everywhere but at the ends', () => {
    expect(medians.slice(2)).toEqual(MEDIANS_ZERO.slice(1, -1));
  });

  it('takes what was there before the first value for the same as that value', () => {
    expect(medians[0]).toBe(3);
  });
});
