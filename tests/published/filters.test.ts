import fili from 'fili';
import { describe, expect, it } from 'vitest';
import { gainDb, stepResponse } from '../support/step-response.js';
import { BUTTERWORTH, NOTCH_12_HZ, NOTCH_50_HZ, type Section } from './figures/second-order-sections.js';

/** A section in double precision, direct form II transposed. */
function sectionOf([b0, b1, b2, a1, a2]: Section): (value: number) => number {
  let first = 0;
  let second = 0;
  return (value) => {
    const output = b0 * value + first;
    first = b1 * value - a1 * output + second;
    second = b2 * value - a2 * output;
    return output;
  };
}

/**
 * The last bit of 3562.5 N is 0.0002 N, 8e-8 of the step. Near the end of the step, a filter with a low corner moves by less than
 * that per tick, so it stops up to about 40 last bits short: 0.01 N.
 */
const SINGLE = 5e-6;

const ones = (count: number): number[] => new Array<number>(count).fill(1);
const largestDifference = (one: readonly number[], other: readonly number[]): number =>
  one.reduce((largest, value, index) => Math.max(largest, Math.abs(value - (other[index] ?? Number.NaN))), 0);

describe('the low-pass of the load', () => {
  it.each(BUTTERWORTH)(
    "$cornerHz Hz at $rateHz Hz has the step response of scipy's Butterworth section",
    ({ rateHz, cornerHz, section }) => {
      const step = stepResponse('load', 1000, { tickHz: rateHz, loadFilterHz: cornerHz });
      const expected = ones(1000).map(sectionOf(section));
      expect(largestDifference(step, expected)).toBeLessThan(SINGLE);
    },
  );

  it.each(BUTTERWORTH)('$cornerHz Hz at $rateHz Hz agrees with npm fili', ({ rateHz, cornerHz }) => {
    const step = stepResponse('load', 1000, { tickHz: rateHz, loadFilterHz: cornerHz });
    // fili's order 1 is one second-order section.
    const sections = new fili.CalcCascades().lowpass({ order: 1, characteristic: 'butterworth', Fs: rateHz, Fc: cornerHz });
    const other = new fili.IirFilter(sections);
    expect(
      largestDifference(
        step,
        ones(1000).map((value) => other.singleStep(value)),
      ),
    ).toBeLessThan(SINGLE);
  });

  it.each(BUTTERWORTH)('$cornerHz Hz at $rateHz Hz passes half the power, -3.0103 dB, at its corner', ({ rateHz, cornerHz }) => {
    const step = stepResponse('load', 4000, { tickHz: rateHz, loadFilterHz: cornerHz });
    expect(gainDb(step, cornerHz, rateHz)).toBeCloseTo(-3.0103, 3);
    expect(gainDb(step, 0, rateHz)).toBeCloseTo(0, 4);
  });

  // Second-order Butterworth: 40 dB per decade far above the corner (the bilinear transform adds a little).
  it('falls by 40 dB in the decade above its corner', () => {
    const step = stepResponse('load', 4000, { loadFilterHz: 5 });
    expect(gainDb(step, 50, 1000) - gainDb(step, 5, 1000)).toBeCloseTo(-37.2, 0);
  });
});

describe('the low-pass of the pressure', () => {
  it.each(BUTTERWORTH)(
    "$cornerHz Hz at $rateHz Hz has the step response of scipy's Butterworth section",
    ({ rateHz, cornerHz, section }) => {
      const step = stepResponse('pressure', 1000, { tickHz: rateHz, pressureFilterHz: cornerHz });
      expect(largestDifference(step, ones(1000).map(sectionOf(section)))).toBeLessThan(SINGLE);
    },
  );
});

describe('the lug notch', () => {
  const lowPass = BUTTERWORTH[2];
  const NOTCHES = [
    { title: '12 Hz and Q 3', section: NOTCH_12_HZ, hertz: 12, q: 3, speedMmPerS: 1800 },
    { title: '50 Hz and Q 10', section: NOTCH_50_HZ, hertz: 50, q: 10, speedMmPerS: 7500 },
  ];

  it.each(NOTCHES)(
    'of $title with the low-pass after it equals the notch of the W3C cookbook with the section of scipy',
    ({ section, q, speedMmPerS }) => {
      const step = stepResponse('load', 1500, { lugNotch: 1, lugPitchM: 0.15, lugNotchQ: q, loadFilterHz: 20 }, speedMmPerS);
      const notch = sectionOf(section);
      const lowPassed = sectionOf(lowPass?.section ?? NOTCH_12_HZ);
      expect(
        largestDifference(
          step,
          ones(1500).map((value) => lowPassed(notch(value))),
        ),
      ).toBeLessThan(SINGLE);
    },
  );

  it.each(NOTCHES)('of $title removes its frequency and keeps the rest of the band', ({ hertz, q, speedMmPerS }) => {
    const values = { lugNotchQ: q, lugPitchM: 0.15, loadFilterHz: 50 };
    const open = stepResponse('load', 6000, { ...values, lugNotch: 0 }, speedMmPerS);
    const step = stepResponse('load', 6000, { ...values, lugNotch: 1 }, speedMmPerS);
    const change = (at: number): number => gainDb(step, at, 1000) - gainDb(open, at, 1000);
    expect(change(hertz)).toBeLessThan(-60);
    expect(change(0)).toBeCloseTo(0, 5);
    // At the edges of the band, where f/f0 - f0/f = ±1/Q, a notch passes half the power.
    const edge = hertz * (1 / (2 * q) + Math.sqrt(1 + 1 / (4 * q * q)));
    expect(change(edge)).toBeCloseTo(-3.01, 0);
    expect(change(hertz / 8)).toBeGreaterThan(-0.1);
  });
});
