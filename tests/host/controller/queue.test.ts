import { describe, expect, it } from 'vitest';
import { Bench, loadCountsAt } from '../../support/bench.js';
import { closeBound } from '../../support/close-bound.js';

const THRESHOLD = { strategy: 0, loadFilterHz: 50, maxPulseMs: 5000 } as const;

/** Ticks of the strokes since `from`, counted from there. */
const ticksOf = (bench: Bench, order: 'open' | 'close', from = 0): number[] =>
  bench.strokes.filter((stroke) => stroke.tick >= from && stroke.order === order).map(({ tick }) => tick - from);

/** Maximum number of coils driven in one tick, over the next ticks. */
function maxDriven(bench: Bench, ticks: number): number {
  let max = 0;
  for (let tick = 0; tick < ticks; tick++) {
    bench.tick();
    let driven = 0;
    for (let row = 1; row <= bench.rows; row++) {
      if (bench.order('supply', row) !== 'none') driven += 1;
      if (bench.order('return', row) !== 'none') driven += 1;
    }
    expect(bench.bankProbe('strokesInFlight')).toBe(driven);
    max = Math.max(max, driven);
  }
  return max;
}

/** All rows call for pressure in the same tick. */
function callAll(bench: Bench): number {
  for (let row = 1; row <= bench.rows; row++) bench.row(row, { loadCounts: loadCountsAt(200) });
  const from = bench.ticks;
  bench.tickUntil(() => bench.strokes.some(({ tick, order }) => tick >= from && order === 'open'));
  return bench.ticks - 1;
}

describe('the closing strokes of a start', () => {
  it('are spread, four at a time: 96 valves of 48 rows in 24 steps of 2 ticks', () => {
    const bench = new Bench(48);
    expect(maxDriven(bench, 60)).toBe(4);
    expect(ticksOf(bench, 'close')).toEqual(Array.from({ length: 96 }, (_, index) => 2 * Math.floor(index / 4)));
  });

  it.each([
    [1, 190],
    [2, 94],
    [96, 0],
  ])('with %d at once the last one begins in tick %d', (strokesAtOnce, last) => {
    const bench = new Bench(48, { strokesAtOnce }).tick(300);
    const ticks = ticksOf(bench, 'close');
    expect(ticks).toHaveLength(96);
    expect(ticks.at(-1)).toBe(last);
    expect(last).toBeLessThanOrEqual(closeBound(96, 2, 1, strokesAtOnce));
  });
});

describe('opening strokes', () => {
  it('leave one slot free: 48 rows, three at a time', () => {
    const bench = new Bench(48, THRESHOLD).start();
    const from = callAll(bench);
    expect(maxDriven(bench, 100)).toBe(3);
    expect(ticksOf(bench, 'open', from)).toEqual(Array.from({ length: 48 }, (_, index) => 2 * Math.floor(index / 3)));
  });

  it('use the slot if there is only one', () => {
    const bench = new Bench(6, { ...THRESHOLD, strokesAtOnce: 1 }).start();
    const from = callAll(bench);
    bench.tick(100);
    expect(ticksOf(bench, 'open', from)).toEqual([0, 2, 4, 6, 8, 10]);
  });

  it('go to the row in the greatest need first', () => {
    const bench = new Bench(3, { ...THRESHOLD, strokesAtOnce: 2 }).bank({ enabled: 0 });
    for (const [row, loadN] of [300, 100, 200].entries()) bench.row(row + 1, { loadCounts: loadCountsAt(loadN) });
    bench.tick(500).bank({ enabled: 1 });
    const from = bench.ticks;
    bench.tick(10);
    expect(bench.strokesSince(from)).toEqual(['2 supply open', '3 supply open', '1 supply open']);
  });

  it('wait until no close waits', () => {
    const bench = new Bench(4, { ...THRESHOLD, strokesAtOnce: 2 }).start();
    callAll(bench);
    bench.tick(100);
    // Rows 1 to 3 are switched off in one tick, in which row 4 is switched on: two closes, then the third, then the open.
    bench.row(4, { enabled: 0 }).tick(100);
    for (const row of [1, 2, 3]) bench.row(row, { enabled: 0 });
    const from = bench.ticks;
    bench.row(4, { enabled: 1 }).tick(20);
    expect(ticksOf(bench, 'close', from)).toEqual([0, 0, 2]);
    expect(ticksOf(bench, 'open', from)).toEqual([4]);
  });
});

describe('closing strokes at the end of pulses', () => {
  it.each([1, 2, 4, 7])('of 48 rows at once wait no longer than the proven bound with %d at once', (strokesAtOnce) => {
    const bench = new Bench(48, { ...THRESHOLD, strokesAtOnce }).start();
    callAll(bench);
    bench.tick(500);
    const from = bench.ticks;
    bench.bank({ enabled: 0 }).tick(500);
    const ticks = ticksOf(bench, 'close', from);
    expect(ticks).toHaveLength(48);
    expect(ticks.at(-1)).toBe(2 * Math.floor(47 / strokesAtOnce));
    expect(ticks.at(-1)).toBeLessThanOrEqual(closeBound(48, 2, 1, strokesAtOnce));
  });
});

describe('banks that take turns', () => {
  it.each([0, 1, 2])('begin strokes only in the first tick of their slot: phase %d of 3', (slotPhase) => {
    const bench = new Bench(8, { ...THRESHOLD, slotCount: 3, slotPhase }).start();
    callAll(bench);
    bench.tick(200);
    expect(new Set(bench.strokes.map(({ tick }) => tick % 6))).toEqual(new Set([2 * slotPhase]));
    expect(ticksOf(bench, 'close').slice(0, 5)).toEqual([0, 0, 0, 0, 6].map((tick) => tick + 2 * slotPhase));
  });

  it('keep their slot through a supply failure', () => {
    const bench = new Bench(2, { ...THRESHOLD, slotCount: 2, slotPhase: 1 }).start();
    callAll(bench);
    bench.bank({ supplyMv: 0 }).tick(78).bank({ supplyMv: 12800 }).tick(700);
    expect(bench.strokes.length).toBeGreaterThan(6);
    expect(new Set(bench.strokes.map(({ tick }) => tick % 4))).toEqual(new Set([2]));
  });
});

describe('a reservoir that feeds the coils', () => {
  // 1000 µF: 0.5 mJ/V². 20 V hold 200 mJ, 32 mJ of which are below the minimum voltage of 8 V: 168 mJ for strokes of 50 mJ.
  const METERED = { ...THRESHOLD, reservoirUf: 1000 } as const;

  it('supplies as many closing strokes as it has energy for, then waits', () => {
    const bench = new Bench(4, METERED).bank({ reservoirMv: 20000 }).tick(20);
    // Three at a time. A present stroke is subtracted from the reservoir until the tick after it.
    expect(ticksOf(bench, 'close')).toEqual([0, 0, 0, 3, 3, 3, 6, 6]);
  });

  it('opens only valves that it can close again: two of four rows', () => {
    const bench = new Bench(4, METERED).bank({ reservoirMv: 20000 }).start();
    const from = callAll(bench);
    bench.tick(300);
    expect(bench.strokesSince(from)).toEqual(['1 supply open', '2 supply open']);
    // 23.18 V: 268.7 mJ minus 32 are 236.7 mJ, enough for 50·(2 + 2) but not for 50·(2 + 3).
    bench.bank({ reservoirMv: 23180 }).tick(300);
    expect(bench.strokesSince(from)).toEqual(['1 supply open', '2 supply open', '3 supply open']);
  });

  it('makes no stroke while empty, and closes first when charged', () => {
    const bench = new Bench(2, METERED).bank({ reservoirMv: 8000 }).tick(100);
    expect(bench.strokes).toEqual([]);
    expect(bench.mode).toBe('starting');
    bench.bank({ reservoirMv: 20000 }).tick(10);
    expect(ticksOf(bench, 'close')).toEqual([100, 100, 100, 103]);
  });
});
