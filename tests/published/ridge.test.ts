import { describe, expect, it } from 'vitest';
import { NormalEquations } from '../../host/fit/regression.js';

/** Longley 1967, J. Am. Stat. Assoc. 62:819-841: employment; then deflator, product, unemployed, forces, population, year. From memory. */
const LONGLEY = [
  [60323, 83.0, 234289, 2356, 1590, 107608, 1947],
  [61122, 88.5, 259426, 2325, 1456, 108632, 1948],
  [60171, 88.2, 258054, 3682, 1616, 109773, 1949],
  [61187, 89.5, 284599, 3351, 1650, 110929, 1950],
  [63221, 96.2, 328975, 2099, 3099, 112075, 1951],
  [63639, 98.1, 346999, 1932, 3594, 113270, 1952],
  [64989, 99.0, 365385, 1870, 3547, 115094, 1953],
  [63761, 100.0, 363112, 3578, 3350, 116219, 1954],
  [66019, 101.2, 397469, 2904, 3048, 117388, 1955],
  [67857, 104.6, 419180, 2822, 2857, 118734, 1956],
  [68169, 108.4, 442769, 2936, 2798, 120445, 1957],
  [66513, 110.8, 444546, 4681, 2637, 121950, 1958],
  [68655, 112.6, 482704, 3813, 2552, 123366, 1959],
  [69564, 114.2, 502601, 3931, 2514, 125368, 1960],
  [69331, 115.7, 518173, 4806, 2572, 127852, 1961],
  [70551, 116.9, 554894, 4007, 2827, 130081, 1962],
] as const;

describe('without penalty, regression', () => {
  it('gives the certified weights of a set made to break it', () => {
    // NIST Statistical Reference Datasets, linear regression, Longley: certified values; from memory.
    const CERTIFIED = [
      -3482258.63459582, 15.0618722713733, -0.035819179292591, -2.02022980381683, -1.03322686717359, -0.0511041056535807, 1829.15146461355,
    ];
    const equations = new NormalEquations(7);
    for (const [y, ...x] of LONGLEY) equations.add([1, ...x], y);
    // Sums of products square the condition: of 16 digits about 6 are left.
    for (const [index, weight] of equations.ridgeWeights(0).entries()) expect(weight / (CERTIFIED[index] as number)).toBeCloseTo(1, 5);
    // Certified residual standard deviation, of 16 − 7 degrees of freedom.
    expect(equations.rmsError(CERTIFIED) * Math.sqrt(16 / 9)).toBeCloseTo(304.854073561965, 0);
  });
});

describe('with penalty, regression', () => {
  it.each([0, 0.001, 1, 1000])('of one feature is least squares over 1 + k: share %d', (share) => {
    // Hoerl, Kennard 1970: with X'X = I the weights are (1 + k)⁻¹ times those of least squares, which are X'y.
    const equations = new NormalEquations(1);
    for (const [x, y] of [
      [0.6, 3],
      [-0.8, 1],
    ] as const)
      equations.add([x], y);
    expect(equations.ridgeWeights(share)[0]).toBeCloseTo((0.6 * 3 - 0.8 * 1) / (1 + share), 12);
  });

  it('is least squares on data with one more sample for each feature', () => {
    // Marquardt 1970, Technometrics 12:591-612: k·diag(X'X) is added by samples √(k·Σx²) of that feature alone, to be 0.
    const DATA = [
      [[1, 2], 3],
      [[2, -1], 1],
      [[0.5, 4], -2],
      [[-3, 1], 0.5],
    ] as const;
    const penalized = new NormalEquations(2);
    const augmented = new NormalEquations(2);
    for (const [x, y] of DATA) for (const one of [penalized, augmented]) one.add(x, y);
    const SHARE = 0.25;
    augmented.add([Math.sqrt(0.25 * (1 + 4 + 0.25 + 9)), 0], 0);
    augmented.add([0, Math.sqrt(0.25 * (4 + 1 + 16 + 1))], 0);
    const expected = augmented.ridgeWeights(0);
    for (const [index, weight] of penalized.ridgeWeights(SHARE).entries()) expect(weight).toBeCloseTo(expected[index] as number, 12);
  });
});

describe('the penalty', () => {
  it('is the residual variance over the square of the largest weight along a principal axis', () => {
    // Hoerl, Kennard 1970, section 5, by hand: x = (1, 0), (1, 1), (0, 1), y = 1, 4, 2 gives w = (4/3, 7/3), residuals (-1, 1, -1)/3,
    // s² = 1/9. Mean squares are 2/3 and 2/3, the axes (1, 1)/√2 and (1, -1)/√2: the largest weight is √(2/3)·(11/3)/√2, its square
    // 121/27, and s² over it 3/121, of 3 samples.
    const equations = new NormalEquations(2);
    for (const [x, y] of [
      [[1, 0], 1],
      [[1, 1], 4],
      [[0, 1], 2],
    ] as const)
      equations.add(x, y);
    expect(equations.ridgeShare(1)).toBeCloseTo(3 / 121 / 3, 12);
    expect(equations.ridgeShare(35)).toBeCloseTo((35 * 3) / 121 / 3, 11);
    expect(equations.plus(equations).ridgeShare(1)).toBeCloseTo(3 / 121 / 6, 12);
  });
});
