import { describe, expect, it } from 'vitest';
import { Bench } from '../support/bench.js';

/*
 * Ratiometric sensors give 10 % of their supply at the lower end of their range and 90 % at the upper end: 0.5 to 4.5 V at 5 V
 * (common practice, no standard). bar = (V - 0.5)·250/4, V = counts·5/4096, computed by hand.
 */
const TABLE = [
  { counts: 512, volts: 0.625, bar: 7.8125 },
  { counts: 1024, volts: 1.25, bar: 46.875 },
  { counts: 1536, volts: 1.875, bar: 85.9375 },
  { counts: 2048, volts: 2.5, bar: 125 },
  { counts: 2560, volts: 3.125, bar: 164.0625 },
  { counts: 3072, volts: 3.75, bar: 203.125 },
  { counts: 3584, volts: 4.375, bar: 242.1875 },
];

const pressureAt = (pressureCounts: number): number => new Bench(1).row(1, { pressureCounts }).tick().probe('pressureRawKpa');

describe('ratiometric conversion', () => {
  it.each(TABLE)('$volts V is $bar bar on 0.5 to 4.5 V over 250 bar', ({ counts, bar }) => {
    expect(pressureAt(counts)).toBe(100 * bar);
    expect(new Bench(1).bank({ railCounts: counts }).tick().bankProbe('railKpa')).toBe(100 * bar);
  });

  it('12 bits over 5 V are 1.2207 mV or 0.0763 bar per count', () => {
    expect((pressureAt(2049) - pressureAt(2048)) / 100).toBeCloseTo(0.0763, 4);
  });

  it.each([
    [8, 128, 125],
    [10, 512, 125],
    [12, 2048, 125],
    [16, 32768, 125],
  ])('half the counts of %i bits are half the supply', (bits, counts, bar) => {
    const bench = new Bench(1, { adcFullScaleCounts: Math.min(2 ** bits, 65535) }).row(1, { pressureCounts: counts }).tick();
    expect(bench.probe('pressureRawKpa') / 100).toBeCloseTo(bar, 1);
  });
});
