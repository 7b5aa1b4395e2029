import { describe, expect, it } from 'vitest';
import { Bench } from '../support/bench.js';
import { MEDIANS_NEAREST, MEDIANS_ZERO, SERIES } from './figures/medians.js';

/** Converts a number of the series to valid ADC counts of the pressure sensor, and back from the probe. */
const countsOf = (value: number): number => 1000 + 10 * value;
const numberOf = (kpa: number): number => ((kpa + 3125) / 7.62939453125 - 1000) / 10;

describe('the median of 3', () => {
  const bench = new Bench(1, { pressureRateKpaPerMs: 20000 });
  const medians = SERIES.map((value) =>
    numberOf(
      bench
        .row(1, { pressureCounts: countsOf(value) })
        .tick()
        .probe('pressureRawKpa'),
    ),
  );

  it("equals scipy's, one tick later, because a controller cannot look ahead", () => {
    expect(medians.slice(1)).toEqual(MEDIANS_NEAREST.slice(0, -1));
  });

  it('equals the zero-padded one except at the ends', () => {
    expect(medians.slice(2)).toEqual(MEDIANS_ZERO.slice(1, -1));
  });

  it('assumes the first value for the time before it', () => {
    expect(medians[0]).toBe(3);
  });
});
