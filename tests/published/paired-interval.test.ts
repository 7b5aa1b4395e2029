import { describe, expect, it } from 'vitest';
import { differenceInterval, studentInterval } from '../../host/assess/interval.js';

describe("the quantile of Student's t behind a 95 % interval", () => {
  // Standard table of t(0.975; ν), as in NIST/SEMATECH e-Handbook of Statistical Methods §1.3.6.7.2; from memory.
  it.each([
    [1, 12.706],
    [2, 4.303],
    [4, 2.776],
    [9, 2.262],
    [30, 2.042],
    [100, 1.984],
  ])('with %d degrees of freedom is %d', (degrees, quantile) => {
    // Half of the values are 1 and half are -1, and one is 0 if their number is odd: mean 0, known sum of squares.
    const count = degrees + 1;
    const values = Array.from({ length: count }, (_, index) => (count % 2 === 1 && index === 0 ? 0 : index % 2 === 0 ? 1 : -1));
    const squares = count - (count % 2);
    const { mean, ciHigh: to } = studentInterval(values);
    expect(mean).toBe(0);
    expect(to / Math.sqrt(squares / degrees / count)).toBeCloseTo(quantile, 3);
  });
});

describe('the interval of a mean difference between pairs', () => {
  it('agrees with R for the extra sleep of ten patients with two drugs (Student 1908, Biometrika 6:1-25)', () => {
    // R, data set `sleep`, t.test(…, paired = TRUE): -1.58, -2.4598858 to -0.7001142; data and result from memory.
    const first = [0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0, 2];
    const second = [1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4];
    const { mean, ciLow: from, ciHigh: to } = differenceInterval(first, second);
    expect(mean).toBeCloseTo(-1.58, 12);
    expect(from).toBeCloseTo(-2.4598858, 6);
    expect(to).toBeCloseTo(-0.7001142, 6);
  });

  it('agrees with a published exercise on the scores of eight students in two tests', () => {
    // sileaderwt.github.io/UMSL-MTH1320, “Paired t-test with confidence interval”, exercise 10.5.161: -43.51131 to 41.01131.
    const { mean, ciLow: from, ciHigh: to } = studentInterval([-30, 30, -40, -40, 80, 60, -50, -20]);
    expect(mean).toBe(-1.25);
    expect(from).toBeCloseTo(-43.51131, 5);
    expect(to).toBeCloseTo(41.01131, 5);
  });
});
