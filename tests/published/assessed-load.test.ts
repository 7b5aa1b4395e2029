/** The low-pass on the assessed load. */
import fili from 'fili';
import { describe, expect, it } from 'vitest';
import { LowPass } from '../../host/assess/low-pass.js';
import { gainDb } from '../support/step-response.js';

const RATES = [500, 1000, 2000];

/** Response to a step from 0 to 1, until it is constant. */
function stepOf(rateHz: number): number[] {
  const filter = new LowPass(1, rateHz);
  filter.take(0);
  return Array.from({ length: 8 * rateHz }, () => filter.take(1));
}

describe('the low-pass on the assessed load', () => {
  it.each(RATES)('at %d Hz agrees with npm fili', (rateHz) => {
    // fili's order 1 is one section, a second-order filter.
    const sections = new fili.CalcCascades().lowpass({ order: 1, characteristic: 'butterworth', Fs: rateHz, Fc: 1 });
    const other = new fili.IirFilter(sections);
    const farthest = stepOf(rateHz).reduce((most, value) => Math.max(most, Math.abs(value - other.singleStep(1))), 0);
    expect(farthest).toBeLessThan(1e-8);
  });

  // Butterworth of second order: the square of the gain is 1 / (1 + (f / 1 Hz)⁴). The bilinear transform changes it by
  // less than 0.001 dB so far below the sample rate.
  it.each(RATES)('at %d Hz passes 16/17, 1/2 and 1/17 of the power at 0.5, 1 and 2 Hz', (rateHz) => {
    const step = stepOf(rateHz);
    expect(gainDb(step, 0, rateHz)).toBeCloseTo(0, 6);
    expect(Math.abs(gainDb(step, 0.5, rateHz) + 0.2633)).toBeLessThan(0.001);
    expect(Math.abs(gainDb(step, 1, rateHz) + 3.0103)).toBeLessThan(0.001);
    expect(Math.abs(gainDb(step, 2, rateHz) + 12.3045)).toBeLessThan(0.001);
  });

  // Closed form of the analog step: 1 - exp(-a)·(cos a + sin a) with a = √2·π·t·1 Hz; after 2 s at most √2·exp(-8.886) is left.
  it('has 0.02 % of a step left after 2 s', () => {
    const left = stepOf(1000)
      .slice(2000)
      .map((value) => Math.abs(value - 1));
    expect(Math.max(...left)).toBeLessThan(0.0002);
  });

  it('starts in steady state at its first value', () => {
    const filter = new LowPass(1, 1000);
    for (let tick = 0; tick < 5000; tick++) expect(filter.take(450)).toBeCloseTo(450, 6);
  });
});
