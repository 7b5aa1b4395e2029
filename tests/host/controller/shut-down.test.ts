import { describe, expect, it } from 'vitest';
import { type Bench, loadCountsAt, pressureCountsAt, startedBench } from '../../support/bench.js';

const since = (bench: Bench, from: number): string[] =>
  bench.strokes.filter(({ tick }) => tick >= from).map(({ tick, row, valve, order }) => `${tick - from} ${row} ${order} ${valve}`);

const THRESHOLD = { strategy: 0, loadFilterHz: 50, maxPulseMs: 5000 } as const;
const VENT = { ...THRESHOLD, shutDownVent: 1, ventToKpa: 300, ventMs: 500 } as const;

/** A bank of one row with its supply valve open. */
function opened(values: Readonly<Record<string, number>>): Bench {
  const bench = startedBench(1, values).row(1, { loadCounts: loadCountsAt(300) });
  bench.tickUntil(() => bench.order('supply') === 'open');
  return bench.tick(50);
}

describe('shut-down that holds the pressure', () => {
  it('closes open valves at once and opens none', () => {
    const bench = opened(THRESHOLD);
    const from = bench.ticks;
    bench.bank({ shutDown: 1 }).tick(3000);
    expect(bench.mode).toBe('shutDown');
    expect(bench.rowMode()).toBe('holding');
    expect(since(bench, from)).toEqual(['0 1 close supply']);
    expect(bench.records.get('bankOutput', 0, 'allClosed')).toBe(1);
  });

  it('works again when it is cancelled', () => {
    const bench = opened(THRESHOLD).bank({ shutDown: 1 }).tick(100).bank({ shutDown: 0 }).tick();
    expect(bench.mode).toBe('working');
  });
});

describe('shut-down that vents', () => {
  it('closes the supply valve, rests, opens the return valve, and closes it at ventToKpa', () => {
    const bench = opened(VENT);
    const from = bench.ticks;
    bench.bank({ shutDown: 1 }).tick(100);
    expect(bench.rowMode()).toBe('venting');
    expect(since(bench, from)).toEqual(['0 1 close supply', '32 1 open return']);
    // 449·7.62939453125 - 3125 = 300.6 kPa, 448 counts are 293.0 kPa.
    bench.row(1, { pressureCounts: 449 }).tick(60);
    expect(since(bench, from)).toHaveLength(2);
    bench.row(1, { pressureCounts: 448 }).tick(3);
    expect(since(bench, from)[2]).toMatch(/close return$/);
    bench.tick(1000);
    expect(since(bench, from)).toHaveLength(3);
    expect(bench.records.get('bankOutput', 0, 'allClosed')).toBe(1);
  });

  it('ends after ventMs whatever the pressure is: in the 500th tick of the shut-down', () => {
    const bench = startedBench(1, VENT).tick(100);
    const from = bench.ticks;
    bench.bank({ shutDown: 1 }).tick(1000);
    expect(since(bench, from)).toEqual(['0 1 open return', '499 1 close return']);
    expect(bench.rowMode()).toBe('holding');
  });

  it('vents a row that is switched off, and one with a failed pressure sensor for ventMs', () => {
    const bench = startedBench(2, VENT).tick(100);
    bench.row(1, { enabled: 0 }).row(2, { pressureCounts: 4095 }).tick(100);
    const from = bench.ticks;
    bench.bank({ shutDown: 1 }).tick(1000);
    expect(since(bench, from)).toEqual(['0 1 open return', '0 2 open return', '499 1 close return', '499 2 close return']);
  });

  it('does not vent a row without pressure', () => {
    const bench = startedBench(1, VENT)
      .row(1, { pressureCounts: pressureCountsAt(0) })
      .tick(100);
    const from = bench.ticks;
    bench.bank({ shutDown: 1 }).tick(1000);
    expect(since(bench, from)).toEqual([]);
  });

  it('stops venting and closes if the supply fails', () => {
    const bench = startedBench(1, VENT).tick(100);
    bench.bank({ shutDown: 1 }).tick(50);
    const from = bench.ticks;
    bench.bank({ supplyMv: 9000 }).tick(1000);
    expect(since(bench, from)).toEqual(['4 1 close return']);
  });
});
