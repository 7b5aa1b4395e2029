import { describe, expect, it } from 'vitest';
import { type Bench, loadCountsAt, pressureCountsAt, startedBench } from '../../support/bench.js';

// Target 450 N: contact above 90 N for 10 ms. Default liftS 2.5 s; the wheels are on the ground 5 s after lowering in any case.
const ABOVE = loadCountsAt(92);
const BELOW = loadCountsAt(88);

/** Lifted for a second, with the load of hanging wheels, then lowered. */
function lowered(values = {}, fields = {}): Bench {
  const bench = startedBench(1, values);
  bench.bank({ lowered: 0 }).row(1, { loadCounts: loadCountsAt(0), ...fields });
  bench.tick(1000);
  return bench.bank({ lowered: 1 });
}

describe('a row after lowering', () => {
  it('works once its load is above a fifth of the target for 10 ms', () => {
    const bench = lowered();
    expect([bench.tick(1000).mode, bench.rowMode()]).toEqual(['working', 'lowering']);
    bench.row(1, { loadCounts: ABOVE });
    expect(bench.tick(9).rowMode()).toBe('lowering');
    expect(bench.tick().rowMode()).toBe('working');
  });

  it('does not take a shorter contact or a smaller load for the ground', () => {
    const bench = lowered().tick(500);
    bench.row(1, { loadCounts: ABOVE }).tick(9).row(1, { loadCounts: BELOW }).tick();
    expect(bench.row(1, { loadCounts: ABOVE }).tick(9).rowMode()).toBe('lowering');
    expect(bench.row(1, { loadCounts: BELOW }).tick(1000).rowMode()).toBe('lowering');
  });

  it('works after 5 s in any case', () => {
    const bench = lowered();
    expect(bench.tick(4999).rowMode()).toBe('lowering');
    expect(bench.tick().rowMode()).toBe('working');
  });

  it('uses the acceleration without a valid load: above 2 m/s² either way', () => {
    const bench = lowered({ accelerationFitted: 1 }, { loadCounts: 4095 });
    // 0.03052 m/s² per count around 2048 counts. The slow part of the acceleration, here the mean, takes a fiftieth of it in 10 ms.
    bench.row(1, { accelerationCounts: 2048 });
    expect(bench.tick(500).rowMode()).toBe('lowering');
    bench.row(1, { accelerationCounts: 2048 - 64 });
    expect(bench.tick(20).rowMode()).toBe('lowering');
    bench.row(1, { accelerationCounts: 2048 - 72 });
    expect(bench.tick(9).rowMode()).toBe('lowering');
    expect(bench.tick().rowMode()).toBe('frozen');
  });

  it('ignores the acceleration while the load is valid', () => {
    const bench = lowered({ accelerationFitted: 1 });
    expect(bench.row(1, { accelerationCounts: 2500 }).tick(500).rowMode()).toBe('lowering');
  });

  it('adds no pressure until the frame is down, whatever the load is', () => {
    const bench = lowered();
    bench.tick(500).row(1, { loadCounts: loadCountsAt(150) });
    const from = bench.ticks;
    // The tick of lowering is the first of 2,500.
    expect(bench.tick(1999).strokesSince(from)).toEqual([]);
    expect(bench.rowMode()).toBe('working');
    expect(bench.tick(10).strokesSince(from)).toEqual(['1 supply open']);
  });

  it('takes pressure away as soon as it has touched the ground', () => {
    const bench = lowered();
    bench
      .tick(500)
      .row(1, { loadCounts: loadCountsAt(800) })
      .tick(30);
    bench.row(1, { loadCounts: loadCountsAt(1000) });
    expect(bench.tick(100).strokesSince(1000)).toContain('1 return open');
  });

  it('takes pressure above its set point away in the air, and adds none', () => {
    const high = lowered({}, { pressureCounts: pressureCountsAt(6000) });
    expect(high.tick(100).strokesSince(1000)).toContain('1 return open');
    const low = lowered({}, { pressureCounts: pressureCountsAt(2000) });
    expect(low.tick(4000).strokesSince(1000)).toEqual([]);
  });

  it('is on the ground at a start with the lift switch at lowered', () => {
    expect(startedBench().tick().rowMode()).toBe('working');
  });
});
