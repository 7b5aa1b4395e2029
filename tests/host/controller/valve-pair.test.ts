import { describe, expect, it } from 'vitest';
import { Bench, loadCountsAt, startedBench } from '../../support/bench.js';

/** Strokes since a tick as `tick order valve`, ticks counted from there. */
const since = (bench: Bench, from: number): string[] =>
  bench.strokes.filter(({ tick }) => tick >= from).map(({ tick, valve, order }) => `${tick - from} ${order} ${valve}`);

/** A threshold bank whose supply valve has been open for `ticks` ticks, with the wish to stay open. */
function opened(ticks: number, values: Readonly<Record<string, number>> = {}): Bench {
  const bench = startedBench(1, { strategy: 0, loadFilterHz: 50, maxPulseMs: 5000, ...values }).row(1, { loadCounts: loadCountsAt(300) });
  bench.tickUntil(() => bench.order('supply') === 'open');
  return bench.tick(ticks);
}

describe('start', () => {
  it('closes both valves of every row before it works: strokes of 2 ms', () => {
    const bench = new Bench(1);
    const modes = Array.from({ length: 4 }, () => {
      bench.tick();
      return [bench.mode, bench.order('supply'), bench.order('return')].join(' ');
    });
    expect(modes).toEqual(['starting close close', 'starting close close', 'starting none none', 'working none none']);
  });

  it('reports when all valves are believed closed', () => {
    const bench = new Bench(1);
    const allClosed = Array.from({ length: 4 }, () => bench.tick().records.get('bankOutput', 0, 'allClosed'));
    expect(allClosed).toEqual([0, 0, 1, 1]);
  });

  it('also closes the valves of a bank that is switched off', () => {
    const bench = new Bench(2).bank({ enabled: 0 }).tick(10);
    expect(since(bench, 0)).toEqual(['0 close supply', '0 close return', '0 close supply', '0 close return']);
    expect(bench.mode).toBe('idle');
  });
});

describe('low supply', () => {
  it('closes open valves in the tick of the fault, and opens none', () => {
    const bench = opened(50);
    const from = bench.ticks;
    bench.bank({ supplyMv: 9499 }).tick(1000);
    expect(bench.mode).toBe('lowSupply');
    expect(since(bench, from)).toEqual(['4 close supply']);
  });

  it('still makes the shortest pulse', () => {
    const bench = opened(0, { minPulseMs: 20 });
    const from = bench.ticks;
    bench.bank({ supplyMv: 9499 }).tick(100);
    // Opened in the tick before.
    expect(since(bench, from)).toEqual(['19 close supply']);
  });

  it('continues to work if the dip was shorter than the debounce', () => {
    const bench = opened(50);
    bench.bank({ supplyMv: 8000 }).tick(4).bank({ supplyMv: 12800 }).tick(10);
    expect(bench.mode).toBe('working');
    expect(bench.records.word('rowProbe', 0, 'supplyBelief')).toBe('open');
  });
});

describe('supply critical', () => {
  const beliefs = (bench: Bench): string[] => ['supplyBelief', 'returnBelief'].map((name) => bench.records.word('rowProbe', 0, name));

  it('drives no coil from its first tick', () => {
    const bench = new Bench(1).tick();
    expect(bench.order('supply')).toBe('close');
    bench.bank({ supplyMv: 7499 }).tick();
    expect([bench.mode, bench.order('supply'), bench.order('return')]).toEqual(['powerLost', 'none', 'none']);
  });

  it('makes open valves unknown, and keeps closed valves closed', () => {
    const bench = opened(50).bank({ supplyMv: 7499 }).tick();
    expect(beliefs(bench)).toEqual(['unknown', 'closed']);
    expect(bench.records.get('bankOutput', 0, 'allClosed')).toBe(0);
  });

  it('makes moving valves unknown', () => {
    const bench = opened(50).bank({ enabled: 0 }).tick();
    expect(bench.order('supply')).toBe('close');
    expect(beliefs(bench.bank({ supplyMv: 7499 }).tick())).toEqual(['unknown', 'closed']);
  });

  it('closes unknown valves once the supply is back for 500 ms, then works', () => {
    const bench = opened(50).bank({ supplyMv: 7000 }).tick(300).bank({ supplyMv: 12800 });
    const from = bench.ticks;
    bench.tick(520);
    // Closed from tick 501, then 2 ticks of dead time.
    expect(since(bench, from).slice(0, 2)).toEqual(['499 close supply', '503 open supply']);
  });

  it('restarts the whole bank: no row works while a valve of another row is unknown', () => {
    const bench = startedBench(2, { strategy: 0, loadFilterHz: 50, maxPulseMs: 5000 }).row(1, { loadCounts: loadCountsAt(300) });
    bench.tickUntil(() => bench.order('supply') === 'open');
    bench.tick(50).bank({ supplyMv: 7000 }).tick(300).bank({ supplyMv: 12800 }).tick(500);
    expect([bench.mode, bench.rowMode(1), bench.rowMode(2)]).toEqual(['starting', 'starting', 'holding']);
    bench.tick(3);
    expect([bench.mode, bench.rowMode(1), bench.rowMode(2)]).toEqual(['working', 'working', 'working']);
  });

  it('closes unknown valves if the supply is low but no longer critical', () => {
    const bench = opened(50).bank({ supplyMv: 7000 }).tick(300).bank({ supplyMv: 8500 });
    const from = bench.ticks;
    bench.tick(2000);
    expect(since(bench, from)).toEqual(['499 close supply']);
    expect(bench.mode).toBe('lowSupply');
  });
});

describe('re-latch', () => {
  it('closes a resting valve again relatchS after its last stroke began', () => {
    const bench = new Bench(1, { relatchS: 1 }).bank({ enabled: 0 }).tick(2500);
    expect(since(bench, 0)).toEqual([0, 1000, 2000].flatMap((tick) => [`${tick} close supply`, `${tick} close return`]));
  });

  it('precedes an opening stroke of the other valve, which waits for the dead time', () => {
    // Both valves were closed at tick 0 and are due at 1000; in that tick the load starts to call for pressure.
    const bench = new Bench(1, { strategy: 0, relatchS: 1, loadFilterHz: 50 }).tick(999);
    bench.row(1, { loadCounts: loadCountsAt(300) });
    const from = bench.ticks;
    bench.tick(60);
    const strokes = since(bench, from).map((stroke) => stroke.split(' '));
    const closes = strokes.filter(([, order]) => order === 'close');
    const opens = strokes.filter(([, order]) => order === 'open');
    expect(closes.map(([tick]) => tick)).toEqual(['1', '1']);
    expect(Number(opens[0]?.[0])).toBeGreaterThanOrEqual(1 + 2 + 2);
  });

  it('keeps the other valve closed during the stroke', () => {
    const values = { strategy: 0, relatchS: 1, loadFilterHz: 50, strokeMs: 20, minPulseMs: 20 };
    const bench = new Bench(1, values).tick(1001);
    expect(bench.order('supply')).toBe('close');
    const from = bench.ticks;
    // Small steps, because a jump makes the load invalid for 20 ticks.
    bench.tickWith(19, (count) => bench.row(1, { loadCounts: loadCountsAt(450 - 20 * Math.min(count, 10)) }));
    expect(bench.records.word('rowProbe', 0, 'wish')).toBe('raise');
    bench.tick(10);
    // The stroke ends with tick 1019; dead time 2 ticks.
    expect(since(bench, from)).toEqual([`${1022 - from} open supply`]);
  });

  it('is not made for a valve that moves often enough', () => {
    const bench = opened(0, { relatchS: 1, maxPulseMs: 300 });
    const from = bench.ticks;
    bench.tick(3000);
    const supply = since(bench, from).filter((stroke) => stroke.endsWith('supply'));
    expect(supply.map((stroke) => stroke.split(' ')[1]).slice(0, 4)).toEqual(['close', 'open', 'close', 'open']);
    expect(since(bench, from).filter((stroke) => stroke.endsWith('return')).length).toBeGreaterThanOrEqual(2);
  });
});

describe('pulse times', () => {
  it.each([
    [2, 2],
    [5, 5],
    [20, 20],
  ])('a stroke of %d ms drives the coil for %d ticks', (strokeMs, ticks) => {
    const bench = opened(0, { strokeMs, minPulseMs: 20 });
    expect(bench.tickUntil(() => bench.order('supply') === 'none')).toBe(ticks);
  });

  it('a stroke is never shorter than strokeMs', () => {
    const cases = [
      [1.6, 2],
      [2.4, 3],
      [3, 3],
    ] as const;
    for (const [strokeMs, ticks] of cases) {
      const bench = opened(0, { strokeMs });
      expect(bench.tickUntil(() => bench.order('supply') === 'none')).toBe(ticks);
    }
  });
});
