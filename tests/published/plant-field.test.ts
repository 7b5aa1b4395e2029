import { describe, expect, it } from 'vitest';
import { type Numbers, PlantRig } from '../support/plant-rig.js';
import { bands, binsBetween, crossDensity, densityOf, fieldRig, heights, lineThrough, SPECTRUM_STEP_PER_M } from '../support/spectrum.js';
import { ROAD_CLASS_FIGURES } from './figures/road-classes.js';

/** 26 km. */
const LONG = 2 ** 20;

describe('ground of the ISO 8608 classes', () => {
  it.each(ROAD_CLASS_FIGURES)(
    'of class $name has the level of its class at 0.1 cycles/m within 15 % and falls with frequency squared',
    ({ cm3 }) => {
      const [series] = heights(fieldRig({ roughnessCm3: cm3 }), [1], LONG) as [Float64Array];
      const { slope, atReference } = lineThrough(bands(densityOf(series), 0.02, 2));
      expect(slope).toBeGreaterThan(-2.1);
      expect(slope).toBeLessThan(-1.9);
      expect((atReference * 1e6) / cm3).toBeGreaterThan(0.85);
      expect((atReference * 1e6) / cm3).toBeLessThan(1.15);
    },
  );

  it.each([1.7, 2.6])('of waviness %f falls with that power of frequency, with the same level at 0.1 cycles/m', (waviness) => {
    const [series] = heights(fieldRig({ roughnessCm3: 256, waviness }), [1], LONG) as [Float64Array];
    const { slope, atReference } = lineThrough(bands(densityOf(series), 0.02, 2));
    expect(slope).toBeGreaterThan(-waviness - 0.1);
    expect(slope).toBeLessThan(-waviness + 0.1);
    expect((atReference * 1e6) / 256).toBeGreaterThan(0.85);
    expect((atReference * 1e6) / 256).toBeLessThan(1.15);
  });

  // The tyre filter at 10 cycles/m, the highest allowed value, removes less than 0.1 % of the variance of this band.
  it.each(ROAD_CLASS_FIGURES)('of class $name has an RMS of $rmsMm mm from 0.05 to 10 cycles/m', ({ cm3, rmsMm }) => {
    const [series] = heights(fieldRig({ roughnessCm3: cm3 }, 1, 2), [1], LONG) as [Float64Array];
    const density = densityOf(series);
    const variance = binsBetween(0.05, 10).reduce((sum, bin) => sum + (density[bin] ?? 0) * SPECTRUM_STEP_PER_M, 0);
    // The longest waves have the largest share; over 26 km it is known to some 2 %.
    expect((1000 * Math.sqrt(variance)) / rmsMm).toBeGreaterThan(0.95);
    expect((1000 * Math.sqrt(variance)) / rmsMm).toBeLessThan(1.05);
  });

  it('has the same shape at every roughness: heights are proportional to its square root', () => {
    const [fine, coarse] = [64, 256].map((roughnessCm3) => heights(fieldRig({ roughnessCm3 }), [1], 2000)[0] as Float64Array);
    for (const [index, value] of (fine as Float64Array).entries()) expect(coarse?.[index]).toBeCloseTo(2 * value, 9);
  });
});

describe('draws', () => {
  it('of a row do not change when there are more rows', () => {
    const rough = { roughnessCm3: 256, soilNoiseRatio: 0.08 };
    const [alone] = heights(fieldRig(rough, 1), [1], 5000);
    const [among] = heights(fieldRig(rough, 12), [1], 5000);
    expect(among).toEqual(alone);
  });

  it('of another seed or another row are different', () => {
    const [first, second] = heights(fieldRig({ roughnessCm3: 256 }, 2), [1, 2], 5000) as [Float64Array, Float64Array];
    const [other] = heights(fieldRig({ roughnessCm3: 256 }, 2, 2), [1], 5000);
    expect(other).not.toEqual(first);
    expect(second).not.toEqual(first);
  });
});

describe('neighbouring rows', () => {
  it('share waves much longer than commonWaveM and do not share much shorter ones', () => {
    const [one, other] = heights(fieldRig({ roughnessCm3: 256 }, 2), [1, 2], LONG) as [Float64Array, Float64Array];
    const [first, second, both] = [densityOf(one), densityOf(other), crossDensity(one, other)];
    const coherence = (from: number, to: number): number => {
      const bins = binsBetween(from, to);
      const mean = (values: readonly number[]): number => bins.reduce((sum, bin) => sum + (values[bin] ?? 0), 0) / bins.length;
      const cross = bins.map(
        (bin) => ((both.real[bin] ?? 0) ** 2 + (both.imaginary[bin] ?? 0) ** 2) / ((first[bin] ?? 1) * (second[bin] ?? 1)),
      );
      expect(mean(first)).toBeGreaterThan(0);
      return cross.reduce((sum, value) => sum + value, 0) / cross.length;
    };
    // The common share of the power is 1/(1 + (n·10 m)²), and the coherence is the square of that. With some 170 independent
    // segments, unrelated series give 0.006.
    const found = [coherence(0.018, 0.027), coherence(0.095, 0.105), coherence(0.9, 1.1), coherence(2, 4)];
    const [long = 0, middle = 0, short = 1, shorter = 1] = found;
    expect(long).toBeGreaterThan(0.85);
    expect(long).toBeLessThan(0.96);
    expect(middle).toBeGreaterThan(0.2);
    expect(middle).toBeLessThan(0.3);
    expect(short).toBeLessThan(0.02);
    expect(shorter).toBeLessThan(0.02);
  });
});

describe('stones', () => {
  /** Lengths and heights of all stones over 20 km of flat ground, in profile points and m. */
  function stones(field: Numbers, seed: number): { readonly points: number; readonly heightM: number }[] {
    const found: { points: number; heightM: number }[] = [];
    let before = 0;
    const rig = new PlantRig({ seed, machine: { equaliserRatio: 0.5 }, field, drive: { speedMps: 0 } });
    rig.drawPoints(160_000, (pointOf) => {
      const height = pointOf(1, 'height');
      if (height > 0.001 && before <= 0.001) found.push({ points: 0, heightM: 0 });
      const stone = found.at(-1);
      if (height > 0.001 && stone !== undefined) {
        stone.points += 1;
        stone.heightM = Math.max(stone.heightM, height);
      }
      before = height;
    });
    return found;
  }

  it.each([1, 2, 3])('come all along a row, as many as a Poisson process with gaps of that mean has (seed %i)', (seed) => {
    const found = stones({ stoneEveryM: 19.6, stoneLengthMm: 400, stoneHeightMm: 40 }, seed);
    // 20 km at one stone for every 19.6 + 0.4 m. The spread of the number is at most the root of its mean; four times that is allowed.
    expect(found.length).toBeGreaterThan(1000 - 4 * Math.sqrt(1000));
    expect(found.length).toBeLessThan(1000 + 4 * Math.sqrt(1000));
  });

  it('are half sines of their length, and as high as the equaliser lets them be', () => {
    const found = stones({ stoneEveryM: 100, stoneLengthMm: 400, stoneHeightMm: 40 }, 1);
    expect(found.length).toBeGreaterThan(100);
    for (const { points, heightM } of found) {
      // 1 mm of 20 mm is sin⁻¹(1/20)/π = 1.6 % of the length from either end: 387 mm are higher, which is 15 or 16 points.
      expect(points).toBeGreaterThanOrEqual(15);
      expect(points).toBeLessThanOrEqual(16);
      // The highest point is at most half a point from the middle: 20 mm · cos(π · 12.5/400) = 19.9 mm.
      expect(heightM).toBeGreaterThan(0.01989);
      expect(heightM).toBeLessThanOrEqual(0.02);
    }
  });

  it('are absent from a field without them', () => {
    expect(stones({ stoneEveryM: 0 }, 1)).toEqual([]);
  });
});

describe('soil', () => {
  const known = new Map<number, number[][]>();
  /** Opener force of every patch by row, N: 12 rows over 5 km, without the first and the last patch. */
  function patches(rowCorrelation: number): number[][] {
    const forces = known.get(rowCorrelation) ?? drawPatches(rowCorrelation);
    known.set(rowCorrelation, forces);
    return forces;
  }

  function drawPatches(rowCorrelation: number): number[][] {
    const rows = 12;
    const rig = new PlantRig({ rows, field: { rowCorrelation }, drive: { speedMps: 0 } });
    const forces = Array.from({ length: rows }, () => new Map<number, number>());
    rig.drawPoints(40_000, () => {
      for (const [row, force] of forces.entries()) force.set(rig.get('track', 'patch', row + 1), rig.get('track', 'patchN', row + 1));
    });
    const complete = Math.min(...forces.map((force) => force.size)) - 1;
    return forces.map((force) => [...force.values()].slice(1, complete));
  }

  function correlation(xs: readonly number[], ys: readonly number[]): number {
    const mean = (values: readonly number[]): number => values.reduce((sum, value) => sum + value, 0) / values.length;
    const [mx, my] = [mean(xs), mean(ys)];
    const product = (as: readonly number[], am: number, bs: readonly number[], bm: number): number =>
      mean(as.map((value, index) => (value - am) * ((bs[index] ?? 0) - bm)));
    return product(xs, mx, ys, my) / Math.sqrt(product(xs, mx, xs, mx) * product(ys, my, ys, my));
  }

  it('is uniformly distributed between its minimum and maximum', () => {
    const [first = []] = patches(0.7);
    const sorted = [...first].sort((one, other) => one - other).map((force) => (force - 300) / 900);
    expect(sorted.length).toBeGreaterThan(350);
    expect(sorted.length).toBeLessThan(450);
    expect(sorted[0]).toBeGreaterThanOrEqual(0);
    expect(sorted.at(-1)).toBeLessThanOrEqual(1);
    // Kolmogorov–Smirnov distance: above 1.63/√n in one of a hundred cases.
    const distance = Math.max(...sorted.map((share, index) => Math.abs(share - (index + 0.5) / sorted.length) + 0.5 / sorted.length));
    expect(distance * Math.sqrt(sorted.length)).toBeLessThan(1.63);
  });

  it.each([0, 0.4, 0.7, 0.9])('has a correlation of %f between neighbours, and its powers further away', (rowCorrelation) => {
    const forces = patches(rowCorrelation);
    for (const distance of [1, 2]) {
      const found = forces.slice(distance).map((force, row) => correlation(forces[row] ?? [], force));
      const mean = found.reduce((sum, value) => sum + value, 0) / found.length;
      expect(mean).toBeGreaterThan(rowCorrelation ** distance - 0.05);
      expect(mean).toBeLessThan(rowCorrelation ** distance + 0.05);
    }
  });
});
