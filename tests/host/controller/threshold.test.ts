import { describe, expect, it } from 'vitest';
import { Bench, pressureCountsAt } from '../../support/bench.js';

/*
 * Threshold at 1 kHz with a deadband of 40 N and hysteresis 0.25, inner edge 30 N. The load of 1024 counts is
 * exactly 437.5 N; with a DC gain of 1 the error can be set to the last bit by the target.
 */
const LOAD = { loadCounts: 1024 } as const;
const LOAD_N = 437.5;
const VALUES = { strategy: 0, deadbandN: 40, hysteresisRatio: 0.25, restMs: 30, maxPulseMs: 400 } as const;

/** A started bank whose load and target have always been 437.5 N. */
function atRest(values: Readonly<Record<string, number>> = {}): Bench {
  return new Bench(1, { ...VALUES, ...values }).row(1, LOAD).bank({ targetLoadN: LOAD_N }).start().tick(100);
}

/** Strokes of the next `ticks` ticks with an error set by the target. */
function strokesAt(bench: Bench, errorN: number, ticks = 10): string[] {
  const from = bench.ticks;
  bench.bank({ targetLoadN: LOAD_N + errorN }).tick(ticks);
  return bench.strokesSince(from);
}

describe('threshold', () => {
  it.each([
    [0, []],
    [39.9, []],
    [40, []],
    [40.01, ['1 supply open']],
    [-39.9, []],
    [-40, []],
    [-40.01, ['1 return open']],
  ] as const)('with an error of %d N makes %j', (errorN, strokes) => {
    expect(strokesAt(atRest(), errorN)).toEqual(strokes);
  });

  it('holds the valve open until the error is at the inner edge', () => {
    const bench = atRest();
    strokesAt(bench, 50);
    expect(strokesAt(bench, 30.01)).toEqual([]);
    expect(strokesAt(bench, 30)).toEqual(['1 supply close']);
  });

  it('closes after the longest pulse, rests, and opens again', () => {
    const bench = atRest();
    const from = bench.ticks;
    strokesAt(bench, 100, 1000);
    const ticks = bench.strokes.filter(({ tick }) => tick >= from).map(({ tick, order }) => [tick - from, order]);
    // 400 open, 2 for the closing stroke, 30 of rest.
    expect(ticks.slice(0, 4)).toEqual([
      [0, 'open'],
      [400, 'close'],
      [432, 'open'],
      [832, 'close'],
    ]);
  });

  it('makes the shortest pulse if the wish is over at once', () => {
    const bench = atRest({ minPulseMs: 7 });
    const from = bench.ticks;
    strokesAt(bench, 100, 1);
    strokesAt(bench, 0, 20);
    expect(bench.strokes.filter(({ tick }) => tick >= from).map(({ tick }) => tick - from)).toEqual([0, 7]);
  });

  it('reverses only after pulse, closing stroke and rest', () => {
    const bench = atRest();
    const from = bench.ticks;
    strokesAt(bench, 100, 5);
    strokesAt(bench, -100, 100);
    const strokes = bench.strokes.filter(({ tick }) => tick >= from).map(({ tick, valve, order }) => `${tick - from} ${valve} ${order}`);
    expect(strokes).toEqual(['0 supply open', '5 supply close', '37 return open']);
  });

  it('waits for the dead time if the rest is shorter', () => {
    const bench = atRest({ restMs: 0, deadMs: 11 });
    const from = bench.ticks;
    strokesAt(bench, 100, 5);
    strokesAt(bench, -100, 100);
    expect(bench.strokes.filter(({ tick }) => tick >= from).map(({ tick }) => tick - from)).toEqual([0, 5, 18]);
  });

  it('does not lower at or below the floor: 1200 - 101.325 + 100 = 1198.675 kPa', () => {
    // 567·7.62939453125 - 3125 = 1200.87 kPa, 566 counts are 1193.24 kPa.
    expect(strokesAt(atRest().row(1, { pressureCounts: 567 }).tick(100), -100)).toEqual(['1 return open']);
    expect(strokesAt(atRest().row(1, { pressureCounts: 566 }).tick(100), -100)).toEqual([]);
  });

  it('closes the return valve when the floor is reached', () => {
    const bench = atRest().row(1, { pressureCounts: 600 }).tick(100);
    strokesAt(bench, -100);
    bench.row(1, { pressureCounts: 566 });
    expect(strokesAt(bench, -100)).toEqual(['1 return close']);
  });

  it('compares the floor with the first valid pressure after an invalid one, not with the kept value', () => {
    const bench = atRest().row(1, { pressureCounts: 1100 }).tick(100);
    // One tick of open circuit, then 689.7 kPa, below the floor. The jumps are held for 20 ticks.
    bench.row(1, { pressureCounts: 4095 }).tick().row(1, { pressureCounts: 500 }).tick(19);
    expect(bench.rowMode()).toBe('holding');
    expect(strokesAt(bench, -100, 50)).toEqual([]);
    expect(bench.rowMode()).toBe('working');
  });

  it('does not begin to raise against a rail that cannot let it remove half the deadband, but then uses all of the rail', () => {
    const bench = atRest()
      .row(1, { pressureCounts: pressureCountsAt(9000) })
      .tick(300);
    bench.bank({ railCounts: pressureCountsAt(9000) }).tick(300);
    // Half of 40 N is 90.5 kPa on 4.909 cm² with a linkage ratio of 0.45; a count is 7.63 kPa.
    bench.bank({ railCounts: pressureCountsAt(9000) + 11 });
    expect(strokesAt(bench, 100)).toEqual([]);
    bench.bank({ railCounts: pressureCountsAt(9000) + 12 });
    expect(strokesAt(bench, 100)).toEqual(['1 supply open']);
    bench.bank({ railCounts: pressureCountsAt(9000) + 1 });
    expect(strokesAt(bench, 100)).toEqual([]);
    bench.bank({ railCounts: pressureCountsAt(9000) });
    expect(strokesAt(bench, 100)).toEqual(['1 supply close']);
  });

  it.each([
    ['the row is switched off', (bench: Bench) => bench.row(1, { enabled: 0 })],
    ['the bank is switched off', (bench: Bench) => bench.bank({ enabled: 0 })],
    ['the rows are lifted', (bench: Bench) => bench.bank({ lowered: 0 })],
    ['the target is not a number', (bench: Bench) => bench.bank({ targetLoadN: Number.NaN })],
    ['the load is invalid', (bench: Bench) => bench.row(1, { loadCounts: 4095 })],
    ['the pressure is invalid', (bench: Bench) => bench.row(1, { pressureCounts: 0 })],
  ] as const)('closes the open valve in the tick in which %s, and opens none', (_, change) => {
    const bench = atRest();
    strokesAt(bench, 100, 10);
    const from = bench.ticks;
    change(bench);
    bench.tick();
    expect(bench.order('supply')).toBe('close');
    bench.tick(1000);
    expect(bench.strokesSince(from)).toEqual(['1 supply close']);
  });
});
