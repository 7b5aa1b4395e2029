import { fc, test } from '@fast-check/vitest';
import { describe, expect, it } from 'vitest';
import { formatF32 } from '../../../host/common/format-f32.js';

describe('formatF32', () => {
  it.each([
    [0, '0'],
    [-0, '-0'],
    [Number.NaN, 'NaN'],
    [Number.POSITIVE_INFINITY, 'Infinity'],
    [Number.NEGATIVE_INFINITY, '-Infinity'],
    [450, '450'],
    [-2.5, '-2.5'],
    [Math.fround(0.1), '0.1'],
    [Math.fround(1e-7), '1e-7'],
    [Math.fround(-1234.567), '-1234.567'],
    // From 2^24 on, 32 bits hold only even numbers; eight digits distinguish neighbours.
    [Math.fround(16777217), '16777216'],
    [16777218, '16777218'],
    // Neighbours are 2^-25 = 3e-8 apart: 0.3333333 is another number.
    [Math.fround(1 / 3), '0.33333334'],
    // IEEE 754 binary32: the smallest normal, the smallest and the largest number.
    [2 ** -126, '1.1754944e-38'],
    [2 ** -149, '1e-45'],
    [(2 - 2 ** -23) * 2 ** 127, '3.4028235e+38'],
  ])('of %d is %s', (value, text) => {
    expect(formatF32(value)).toBe(text);
    expect(Object.is(Math.fround(Number(text)), value)).toBe(true);
  });

  test.prop([fc.float({ noNaN: true })])('reads back as the same 32-bit number', (value) => {
    expect(Math.fround(Number(formatF32(value)))).toBe(value);
  });

  test.prop([fc.float({ noNaN: true, noDefaultInfinity: true })])('has no unnecessary digit', (value) => {
    const digits = formatF32(value)
      .replace(/e.*/, '')
      .replace(/^-?0?\.?0*|\D/g, '')
      .replace(/0+$/, '').length;
    for (let fewer = 1; fewer < digits; fewer++) expect(Math.fround(Number(value.toPrecision(fewer)))).not.toBe(value);
  });
});
