/**
 * Rainflow counting against the example of ASTM E1049-85, 5.4.4 and figure 6. Series and counts are quoted from public test
 * suites that include the example (that of the Python package `rainflow` among them), not from the standard itself; counting by
 * hand gives the same.
 */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { CycleCounter } from '../../host/assess/rainflow.js';
import { PRESSURE_CYCLES, PRESSURE_TURNS } from './figures/pressure-turns.js';

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

function cyclesOf(series: readonly number[], minRange = 0): Cycle[] {
  const cycles: Cycle[] = [];
  const counter = new CycleCounter(minRange, (...cycle) => cycles.push(cycle));
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

  it('gives the same without its smaller cycles if only those of 6 or more are counted', () => {
    // Half of 6, one of 8 and half of 9, as above.
    expect(byRange(cyclesOf(EXAMPLE, 6))).toEqual([
      [6, 0.5],
      [8, 1],
      [9, 0.5],
    ]);
  });
});

describe('the chamber pressures of a simulated pass', () => {
  const halves = (counts: readonly (readonly [number, number])[]): number =>
    counts.filter(([range]) => range >= 500).reduce((sum, [, count]) => sum + count, 0);

  it.each(PRESSURE_CYCLES.map((cycles, row) => ({ row, cycles })))(
    'of row $row have $cycles cycles of 500 kPa or more',
    ({ row, cycles }) => {
      const turns = PRESSURE_TURNS[row] ?? [];
      expect(halves(byRange(cyclesOf(turns, 500)))).toBe(cycles);
      expect(halves(fourPointCounts(turns))).toBe(cycles);
    },
  );
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

describe('with a smallest range', () => {
  const MIN = 3;
  const real = fc.array(fc.double({ min: -20, max: 20, noNaN: true }), { maxLength: 200 });

  it('a smaller swing is ignored, one of its size is counted', () => {
    expect(cyclesOf([0, 10, 7.1, 12, 0], MIN)).toEqual(cyclesOf([0, 12, 0], MIN));
    expect(byRange(cyclesOf([0, 10, 7, 12, 0], MIN))).toContainEqual([3, 1]);
  });

  it('counts exactly the cycles of that range or more, neither rounded nor shifted', () => {
    fc.assert(
      fc.property(fc.oneof(real, whole), (series) => {
        const larger = cyclesOf(series).filter(([range]) => range >= MIN);
        expect(byRange(cyclesOf(series, MIN))).toEqual(byRange(larger));
      }),
    );
  });

  it('counts a range from a start that first swings back a little from its extreme value', () => {
    expect(cyclesOf([0, -2, 10], MIN)).toEqual([[12, 4, 0.5]]);
  });

  it('at most 1000 turning points are pending while swings shrink slowly, and all of them are counted', () => {
    let halves = 0;
    const counter = new CycleCounter(1, (_range, _mean, count) => {
      halves += 2 * count;
    });
    const SWINGS = 100_000;
    for (let swing = 0; swing < SWINGS; swing++) {
      counter.take((swing % 2 === 0 ? 1 : -1) * (10 - swing * 1e-5));
      expect(counter.pending).toBeLessThanOrEqual(1000);
    }
    counter.finish();
    expect(halves).toBe(SWINGS - 1);
  });
});
