import { describe, expect, it } from 'vitest';
import { type Bench, startedBench } from '../../support/bench.js';

// Default span: 737 counts are 737·1.52587890625 - 1125 = -0.42725 N, one count more is 1.52588 N more.
// The frame is up at once. Defaults: liftSettleMs 600, zeroWindowMs 400, zeroSpreadN 60, zeroStepN 150, zeroLimitN 400.
const countsAt = (above: number): number => 737 + above;
const NEAR_ZERO_N = -0.42724609375;
const N_PER_COUNT = 1.52587890625;

const lifted = (bench: Bench, counts: number): Bench => bench.bank({ lowered: 0 }).row(1, { loadCounts: countsAt(counts) });
const result = (bench: Bench): string => bench.records.word('rowProbe', 0, 'zeroResult');

/** A bank whose load was zero before the lift, so that it does not jump. */
const standing = (): Bench =>
  startedBench(1, { liftS: 0 })
    .row(1, { loadCounts: countsAt(0) })
    .tick(100);

describe('re-zero', () => {
  it('accepts the mean of a quiet window in the tick in which it is full: 600 + 400', () => {
    const bench = lifted(standing(), 40);
    expect(result(bench.tick(999))).toBe('none');
    expect(bench.probe('zeroN')).toBe(0);
    expect(result(bench.tick())).toBe('accepted');
    expect(bench.probe('zeroN')).toBeCloseTo(NEAR_ZERO_N + 40 * N_PER_COUNT, 3);
    expect(bench.faults(1)).toEqual([]);
  });

  it('accepts the mean, not the first or last load', () => {
    const bench = lifted(standing(), 0).tick(600);
    bench.tickWith(400, (count) => bench.row(1, { loadCounts: countsAt(count % 4 === 0 ? 20 : 0) }));
    expect(bench.probe('zeroN')).toBeCloseTo(NEAR_ZERO_N + 5 * N_PER_COUNT, 3);
  });

  it('is subtracted from the load from the same tick', () => {
    const bench = lifted(standing(), 40).tick(3000);
    expect(bench.probe('loadN')).toBeCloseTo(0, 2);
    expect(bench.probe('loadRawN')).toBeCloseTo(NEAR_ZERO_N + 40 * N_PER_COUNT, 3);
  });

  it('refuses windows with a spread above 60 N, keeps the last zero, and reports it after the fifth', () => {
    // 39 counts are 59.5 N, 40 are 61.0 N.
    const bench = lifted(standing(), 0).tick(600);
    bench.tickWith(2000, (count) => bench.row(1, { loadCounts: countsAt(count % 2 === 0 ? 40 : 0) }));
    expect(result(bench)).toBe('noisy');
    expect(bench.faults(1)).toEqual([]);
    expect(bench.probe('zeroN')).toBe(0);
    expect(bench.tick().faults(1)).toEqual(['zeroNoisy']);
    bench.tickWith(399, (count) => bench.row(1, { loadCounts: countsAt(count % 2 === 0 ? 39 : 0) }));
    expect(result(bench)).toBe('accepted');
    expect(bench.tick(2).faults(1)).toEqual([]);
  });

  it('refuses a first zero beyond 400 N and accepts one just inside', () => {
    // 262 counts: 399.35 N. 263 counts: 400.88 N.
    expect(result(lifted(standing(), 263).tick(1000))).toBe('implausible');
    expect(result(lifted(standing(), 262).tick(1000))).toBe('accepted');
    expect(result(lifted(standing(), -262).tick(1000))).toBe('implausible');
    expect(result(lifted(standing(), -261).tick(1000))).toBe('accepted');
  });

  it('refuses a later zero more than 150 N from the last one', () => {
    // 98 counts are 149.5 N, 99 are 151.1 N.
    const again = (counts: number): Bench => {
      const bench = lifted(standing(), 0).tick(1000);
      bench.bank({ lowered: 1 }).tick(10);
      return lifted(bench, counts).tick(1000);
    };
    expect(result(again(98))).toBe('accepted');
    expect(result(again(99))).toBe('implausible');
    expect(again(99).probe('zeroN')).toBeCloseTo(NEAR_ZERO_N, 3);
    expect(again(99).bank({ lowered: 1 }).tick(2).faults(1)).toEqual(['zeroImplausible']);
  });

  it('accepts one zero per lift', () => {
    const bench = lifted(standing(), 10).tick(1000);
    lifted(bench, 30).tick(3000);
    expect(bench.probe('zeroN')).toBeCloseTo(NEAR_ZERO_N + 10 * N_PER_COUNT, 3);
    bench.bank({ lowered: 1 }).tick(1);
    lifted(bench, 30).tick(1000);
    expect(bench.probe('zeroN')).toBeCloseTo(NEAR_ZERO_N + 30 * N_PER_COUNT, 3);
  });

  it('restarts the window after an invalid load', () => {
    const bench = lifted(standing(), 40).tick(800);
    bench.row(1, { loadCounts: 4095 }).tick(1);
    bench.row(1, { loadCounts: countsAt(40) });
    // The load is suspect for 20 ticks after the open circuit, including its first valid one; then the window restarts.
    expect(result(bench.tick(19 + 400))).toBe('none');
    expect(result(bench.tick())).toBe('accepted');
  });

  it('does nothing while the rows are lowered', () => {
    expect(result(standing().tick(5000))).toBe('none');
  });

  it("never changes a row's mode: a refused zero is only reported", () => {
    const bench = lifted(standing(), 263).tick(1001);
    bench.bank({ lowered: 1 }).tick(100);
    expect(bench.faults(1)).toEqual(['zeroImplausible']);
    expect(bench.rowMode()).toBe('working');
  });
});
