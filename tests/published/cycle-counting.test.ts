/**
 * Rainflow counting against the example of ASTM E1049-85, 5.4.4 and figure 6. Series and counts are quoted from public test
 * suites that include the example (that of the Python package `rainflow` among them), not from the standard itself; counting by
 * hand gives the same.
 */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { CycleCounter } from '../../host/assess/rainflow.js';

type Cycle = readonly [range: number, mean: number, count: number];

const EXAMPLE = [-2, 1, -3, 5, -1, 3, -4, 4, -2];
/** Range, mean and count, in the order in which the cycles close. */
const EXAMPLE_CYCLES: readonly Cycle[] = [
  [3, -0.5, 0.5],
  [4, -1, 0.5],
  [4, 1, 1],
  [8, 1, 0.5],
  [9, 0.5, 0.5],
  [8, 0, 0.5],
  [6, 1, 0.5],
];

function cyclesOf(series: readonly number[], quantum = 0): Cycle[] {
  const cycles: Cycle[] = [];
  const counter = new CycleCounter(quantum, (...cycle) => cycles.push(cycle));
  for (const value of series) counter.take(value);
  counter.finish();
  return cycles;
}

/** Counts by range, in ascending order. */
function byRange(cycles: readonly Cycle[]): [number, number][] {
  const counts = new Map<number, number>();
  for (const [range, , count] of cycles) counts.set(range, (counts.get(range) ?? 0) + count);
  return [...counts].sort(([one], [other]) => one - other);
}

/** Removes the values between the turning points of a series. */
function turningPoints(series: readonly number[]): number[] {
  const steps = series.filter((value, index) => value !== series[index - 1]);
  return steps.filter((value, index) => {
    const [before, after] = [steps[index - 1], steps[index + 1]];
    return before === undefined || after === undefined || (value - before) * (after - value) < 0;
  });
}

/**
 * Counts with another method, over the whole history at once: of four consecutive points the inner range is a cycle and is removed
 * if neither neighbour is smaller; the remaining ranges are half cycles. By range this gives the same counts as the three-point
 * method of the standard (McInnes & Meehan 2008, International Journal of Fatigue 30:547-559; from memory).
 */
function fourPointCounts(series: readonly number[]): [number, number][] {
  const points = turningPoints(series);
  const cycles: Cycle[] = [];
  const range = (at: number): number => Math.abs((points[at + 1] ?? 0) - (points[at] ?? 0));
  for (let at = 1; at + 2 < points.length; ) {
    if (range(at) <= range(at - 1) && range(at) <= range(at + 1)) {
      cycles.push([range(at), 0, 1]);
      points.splice(at, 2);
      at = 1;
    } else at++;
  }
  for (let at = 0; at + 1 < points.length; at++) cycles.push([range(at), 0, 0.5]);
  return byRange(cycles);
}

const whole = fc.array(fc.integer({ min: -20, max: 20 }), { maxLength: 200 });

describe('the example of the standard', () => {
  it('gives the cycles of the standard', () => {
    expect(cyclesOf(EXAMPLE)).toEqual(EXAMPLE_CYCLES);
  });

  it('gives half a cycle of 3, one and a half of 4, half of 6, one of 8 and half of 9', () => {
    const counts = [
      [3, 0.5],
      [4, 1.5],
      [6, 0.5],
      [8, 1],
      [9, 0.5],
    ];
    expect(byRange(cyclesOf(EXAMPLE))).toEqual(counts);
    expect(fourPointCounts(EXAMPLE)).toEqual(counts);
  });

  it('gives the same with values between its turning points, or repeated values', () => {
    const filled = EXAMPLE.flatMap((value, index) => {
      const next = EXAMPLE[index + 1] ?? value;
      return [value, value, value + (next - value) / 4, value + (next - value) / 2];
    });
    expect(cyclesOf(filled)).toEqual(EXAMPLE_CYCLES);
  });

  it('gives the same in hundreds with a quantum of a hundred', () => {
    const hundreds = EXAMPLE_CYCLES.map(([range, mean, count]) => [100 * range, 100 * mean, count]);
    expect(
      cyclesOf(
        EXAMPLE.map((value) => 100 * value),
        100,
      ),
    ).toEqual(hundreds);
  });
});

describe('counting on the fly', () => {
  it('gives the same counts by range as the four-point method over the whole series', () => {
    fc.assert(
      fc.property(whole, (series) => {
        expect(byRange(cyclesOf(series))).toEqual(fourPointCounts(series));
      }),
    );
  });

  it('counts each range between turning points as half a cycle', () => {
    fc.assert(
      fc.property(whole, (series) => {
        const halves = cyclesOf(series).reduce((sum, [, , count]) => sum + 2 * count, 0);
        expect(halves).toBe(Math.max(0, turningPoints(series).length - 1));
      }),
    );
  });

  it('gives the same for a series turned upside down', () => {
    fc.assert(
      fc.property(whole, (series) => {
        const turned = cyclesOf(series.map((value) => 0 - value)).map(([range, mean, count]) => [range, 0 - mean, count]);
        expect(turned).toEqual(cyclesOf(series));
      }),
    );
  });

  it('has the span of the series as its largest range', () => {
    fc.assert(
      fc.property(whole, (series) => {
        const span = series.length === 0 ? 0 : Math.max(...series) - Math.min(...series);
        expect(Math.max(0, ...cyclesOf(series).map(([range]) => range))).toBe(span);
      }),
    );
  });

  it('finds nothing in an empty, constant or single-value series, and ignores NaN', () => {
    for (const series of [[], [3], [3, 3, 3], [Number.NaN]]) expect(cyclesOf(series)).toEqual([]);
    expect(cyclesOf([Number.NaN, ...EXAMPLE.flatMap((value) => [value, Number.NaN])])).toEqual(EXAMPLE_CYCLES);
  });
});

describe('with a quantum', () => {
  const QUANTUM = 3;
  const real = fc.array(fc.double({ min: -20, max: 20, noNaN: true }), { maxLength: 200 });

  it('a smaller swing is ignored, one of its size is counted', () => {
    expect(cyclesOf([0, 10, 7.1, 12, 0], QUANTUM)).toEqual(cyclesOf([0, 12, 0], QUANTUM));
    expect(byRange(cyclesOf([0, 10, 6.9, 12, 0], QUANTUM))).toContainEqual([3, 1]);
  });

  it('ranges are multiples of it, and the largest differs from the span by less than two quanta', () => {
    fc.assert(
      fc.property(real, (series) => {
        const ranges = cyclesOf(series, QUANTUM).map(([range]) => range);
        for (const range of ranges) expect([range % QUANTUM, range > 0]).toEqual([0, true]);
        const span = series.length === 0 ? 0 : Math.max(...series) - Math.min(...series);
        expect(Math.abs(Math.max(0, ...ranges) - span)).toBeLessThan(2 * QUANTUM);
      }),
    );
  });

  it('at most span / quantum + 2 points are pending for any series', () => {
    fc.assert(
      fc.property(real, (series) => {
        const counter = new CycleCounter(QUANTUM, () => {});
        for (const value of series) {
          counter.take(value);
          expect(counter.pending).toBeLessThanOrEqual(40 / QUANTUM + 2);
        }
      }),
    );
  });

  // Without rounding, swings that shrink by less than the quantum would be pending forever.
  it('slowly shrinking swings do not accumulate', () => {
    const counter = new CycleCounter(1, () => {});
    for (let swing = 0; swing < 100_000; swing++) counter.take((swing % 2 === 0 ? 1 : -1) * (10 - swing * 1e-5));
    expect(counter.pending).toBeLessThanOrEqual(22);
  });
});
