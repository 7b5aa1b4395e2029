import { describe, expect, it } from 'vitest';
import { minimise, type Point, reflected, type SearchSettings } from '../../../host/tune/search.js';

const SETTINGS: SearchSettings = { start: [0.5, 0.5, 0.5], startValue: Number.POSITIVE_INFINITY, evaluations: 400, seed: 1 };
const eachPoint =
  (of: (point: Point) => number) =>
  async (points: readonly Point[]): Promise<number[]> =>
    points.map(of);

/** A narrow bowl, ten times steeper in each next coordinate; its minimum is 0. */
const bowl =
  (...at: number[]) =>
  (point: Point): number =>
    at.reduce((sum, x, index) => sum + 10 ** index * ((point[index] ?? 0) - x) ** 2, 0);

describe('the search', () => {
  it.each([
    ['inside', [0.2, 0.7, 0.4]],
    ['in a corner', [0, 1, 1]],
  ])('finds an optimum %s', async (_, at) => {
    const { point, value, evaluations } = await minimise(eachPoint(bowl(...at)), SETTINGS);
    expect(evaluations).toBe(400);
    expect(value).toBeLessThan(0.002);
    at.forEach((x, index) => {
      expect(point[index]).toBeCloseTo(x, 1);
    });
  });

  it('stays in its range and within its evaluations', async () => {
    const tried: Point[] = [];
    await minimise(async (points) => points.map((point) => tried.push(point)), { ...SETTINGS, startValue: 0, evaluations: 60 });
    expect(tried).toHaveLength(60);
    expect(tried.flat().every((x) => x >= 0 && x <= 1)).toBe(true);
    // Without a success the steps get shorter: the last ten points are nearer to the start than the first ten.
    const distance = (points: readonly Point[]): number =>
      points.reduce((sum, point) => sum + Math.hypot(...point.map((x) => x - 0.5)), 0) / points.length;
    expect(distance(tried.slice(-10))).toBeLessThan(0.7 * distance(tried.slice(0, 10)));
  });

  it('keeps its start if nothing is better or allowed', async () => {
    const nothing = await minimise(
      eachPoint(() => Number.POSITIVE_INFINITY),
      { ...SETTINGS, startValue: 1, evaluations: 20 },
    );
    expect(nothing).toEqual({ evaluations: 20, point: SETTINGS.start, value: 1 });
  });

  it('repeats with the same seed, and differs with another', async () => {
    const searched = (seed: number) => minimise(eachPoint(bowl(0.2, 0.7, 0.4)), { ...SETTINGS, evaluations: 40, seed });
    expect(await searched(1)).toEqual(await searched(1));
    expect((await searched(2)).point).not.toEqual((await searched(1)).point);
  });
});

it.each([
  [0.3, 0.3],
  [-0.2, 0.2],
  [1.3, 0.7],
  [2.1, 0.1],
  [-1.4, 0.6],
])('%d is reflected to %d', (x, expected) => expect(reflected(x)).toBeCloseTo(expected, 12));
