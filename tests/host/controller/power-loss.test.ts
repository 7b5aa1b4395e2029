import { describe, expect, it } from 'vitest';
import { Bench, loadCountsAt, pressureCountsAt, startedBench } from '../../support/bench.js';

/*
 * A reservoir of 10,000 µF holds 5 mJ/V²: 12.8 V are 499.2 mJ above the floor of 8 V (320 mJ), almost ten strokes of 50 mJ. The
 * bench's voltage does not fall with strokes, so tests set it.
 */
const THRESHOLD = { strategy: 0, loadFilterHz: 50, maxPulseMs: 5000 } as const;
const RESERVOIR = { ...THRESHOLD, reservoirUf: 10000 } as const;

const since = (bench: Bench, from: number): string[] =>
  bench.strokes.filter(({ tick }) => tick >= from).map(({ tick, row, valve, order }) => `${tick - from} ${row} ${order} ${valve}`);
const beliefs = (bench: Bench, row = 1): string[] =>
  ['supplyBelief', 'returnBelief'].map((name) => bench.records.word('rowProbe', row - 1, name));
const powerMayBeCut = (bench: Bench): number => bench.records.get('bankOutput', 0, 'powerMayBeCut');

/** A bank whose odd rows raise and whose even rows lower: each has a valve open. */
function opened(rows: number, values: Readonly<Record<string, number>>): Bench {
  const bench = startedBench(rows, values);
  for (let row = 1; row <= rows; row++) bench.row(row, { loadCounts: loadCountsAt(row % 2 === 1 ? 200 : 700) });
  bench.tickUntil(() => bench.bankProbe('openValves') === rows);
  return bench.tick(20);
}

describe('power is lost', () => {
  it('closes open valves from the reservoir, supply valves first, and then rests', () => {
    const bench = opened(4, { ...RESERVOIR, strokesAtOnce: 1 });
    const from = bench.ticks;
    bench.bank({ supplyMv: 0 }).tick(5000);
    expect(since(bench, from)).toEqual(['0 1 close supply', '2 3 close supply', '4 2 close return', '6 4 close return']);
    expect([bench.mode, ...beliefs(bench, 1), ...beliefs(bench, 2)]).toEqual(['powerLost', 'closed', 'closed', 'closed', 'closed']);
    expect(powerMayBeCut(bench)).toBe(1);
  });

  it('makes no stroke without a reservoir, or with one whose voltage is not known', () => {
    for (const values of [THRESHOLD, { ...RESERVOIR, reservoirVoltageFitted: 0 }]) {
      const bench = opened(2, values);
      const from = bench.ticks;
      bench.bank({ supplyMv: 0 }).tick(500);
      expect(since(bench, from)).toEqual([]);
      expect(beliefs(bench)).toEqual(['unknown', 'closed']);
    }
  });

  it('completes a stroke in progress', () => {
    const bench = startedBench(1, RESERVOIR).row(1, { loadCounts: loadCountsAt(200) });
    bench.tickUntil(() => bench.order('supply') === 'open');
    const from = bench.ticks;
    bench.bank({ supplyMv: 0 }).tick();
    expect(bench.order('supply')).toBe('open');
    bench.tick(50);
    // Open from the tick before; the shortest pulse is 3 ms.
    expect(since(bench, from)).toEqual(['2 1 close supply']);
  });

  it('remembers as unknown what the reservoir cannot pay for, and closes it when power is back', () => {
    const bench = opened(4, { ...RESERVOIR, strokesAtOnce: 1 });
    const from = bench.ticks;
    // 9.27 V: 109.7 mJ above the floor, two strokes.
    bench.bank({ supplyMv: 0, reservoirMv: 9270 }).tick(3);
    expect(since(bench, from)).toEqual(['0 1 close supply', '2 3 close supply']);
    bench.bank({ reservoirMv: 7999 }).tick(200);
    expect(since(bench, from)).toHaveLength(2);
    expect([beliefs(bench, 1), beliefs(bench, 2)]).toEqual([
      ['closed', 'closed'],
      ['closed', 'unknown'],
    ]);
    expect(powerMayBeCut(bench)).toBe(0);
    const back = bench.ticks;
    bench.bank({ supplyMv: 12800, reservoirMv: 12800, enabled: 0 }).tick(600);
    // Row 3's stroke was completed at less than strokeMinMv, so it is repeated.
    expect(
      since(bench, back)
        .map((stroke) => stroke.slice(2))
        .sort(),
    ).toEqual(['2 close return', '3 close supply', '4 close return']);
  });

  it('vents first if configured, for ventMs, and closes everything', () => {
    const bench = startedBench(2, { ...RESERVOIR, shutDownVent: 1, ventMs: 500, ventToKpa: 300 }).tick(100);
    const from = bench.ticks;
    bench.bank({ supplyMv: 0 }).tick(3000);
    expect(since(bench, from)).toEqual(['0 1 open return', '0 2 open return', '499 1 close return', '499 2 close return']);
    expect(powerMayBeCut(bench)).toBe(1);
  });

  it('ends a vent while there is energy for all closes, and opens no valve that it could not close', () => {
    const bench = startedBench(2, { ...RESERVOIR, shutDownVent: 1, ventMs: 5000, ventToKpa: 300 }).tick(100);
    const from = bench.ticks;
    // 152 mJ: an opening, its close and one more stroke; the second row would need four.
    bench.bank({ supplyMv: 0, reservoirMv: 9715 }).tick(100);
    expect(since(bench, from)).toEqual(['0 1 open return']);
    // 99 mJ: less than a close and one more stroke.
    bench.bank({ reservoirMv: 9154 }).tick(100);
    expect(since(bench, from).slice(1)).toEqual(['100 1 close return']);
  });

  it('does not spend energy on a stuck valve', () => {
    const bench = startedBench(1, { ...RESERVOIR, retryS: 0.05 });
    bench.records.set('valveState', 0, 'stuck', 1);
    bench.records.set('valveState', 0, 'belief', 0);
    bench.tick(200);
    expect(bench.strokes.length).toBeGreaterThan(4);
    const from = bench.ticks + 2;
    bench.bank({ supplyMv: 0 }).tick(500);
    expect(since(bench, from)).toEqual([]);
    expect(powerMayBeCut(bench)).toBe(0);
  });

  it('works at once when power is back, because all positions are known', () => {
    const bench = opened(2, RESERVOIR);
    bench.bank({ supplyMv: 0 }).tick(100).bank({ supplyMv: 12800 }).tick(499);
    expect(bench.mode).toBe('powerLost');
    bench.tick();
    expect(bench.mode).toBe('working');
  });
});

describe('a reservoir that feeds other loads too', () => {
  it('is kept for the closes at their turn: the energy grows with slots and other load', () => {
    // 10 W for the 4 ms of a cycle are 40 mJ; a close then takes 50 + 40/4 = 60 mJ. A pulse: 50 + 60 + 40 = 150 mJ.
    const values = { ...RESERVOIR, slotCount: 2, reservoirLoadW: 10 };
    const bench = startedBench(1, values).row(1, { loadCounts: loadCountsAt(200) });
    bench.bank({ reservoirMv: 9690 }).tick(100);
    const from = bench.ticks;
    // 9.69 V: 149.5 mJ. 9.70 V: 150.5 mJ.
    bench.row(1, { loadCounts: loadCountsAt(450) }).tick(100);
    bench.row(1, { loadCounts: loadCountsAt(200) }).tick(100);
    expect(bench.strokesSince(from)).toEqual([]);
    bench.bank({ reservoirMv: 9700 }).tick(100);
    expect(bench.strokesSince(from)[0]).toBe('1 supply open');
  });
});

describe('powerMayBeCut', () => {
  it('is 0 until every valve is closed and has been checked for a missed close for missedWindowMs', () => {
    const bench = new Bench(1, { missedStrokeDetection: 1, missedWindowMs: 400, accelerationFitted: 1 });
    const at: number[] = [];
    bench.tickWith(500, () => at.push(powerMayBeCut(bench)));
    // The closing strokes begin in tick 0; `at` is read before each tick.
    expect(at.indexOf(1)).toBe(401);
    expect(bench.records.get('bankOutput', 0, 'allClosed')).toBe(1);
  });

  it('is 0 while a valve is open, unknown, suspected or waits for a stroke', () => {
    const bench = startedBench(1, THRESHOLD).tick(10);
    expect(powerMayBeCut(bench)).toBe(1);
    bench.records.set('valveState', 1, 'suspected', 1);
    expect(powerMayBeCut(bench.tick())).toBe(0);
    bench.tick(10);
    expect(powerMayBeCut(bench)).toBe(1);
    bench.row(1, { loadCounts: loadCountsAt(200) });
    bench.tickUntil(() => bench.order('supply') === 'open');
    expect(powerMayBeCut(bench)).toBe(0);
    expect(powerMayBeCut(bench.tick(100))).toBe(0);
  });

  it('is 0 between the pulses of a vent, when allClosed is 1', () => {
    const bench = startedBench(1, { ...THRESHOLD, shutDownVent: 1, ventMs: 3000, maxPulseMs: 100 }).tick(100);
    bench.bank({ shutDown: 1 });
    let between = 0;
    bench.tickWith(2900, () => {
      if (bench.records.get('bankOutput', 0, 'allClosed') === 1 && bench.records.word('rowOutput', 0, 'mode') === 'venting') {
        between += 1;
        expect(powerMayBeCut(bench)).toBe(0);
      }
    });
    expect(between).toBeGreaterThan(100);
    expect(powerMayBeCut(bench.tick(500))).toBe(1);
  });
});

describe('the lift switch', () => {
  it('counts once it has been steady for liftDebounceMs, in both directions, and at once after the start', () => {
    const bench = startedBench(1, { liftDebounceMs: 50 });
    expect(bench.ticks).toBeLessThan(10);
    bench.bank({ lowered: 0 }).tick(49);
    expect(bench.mode).toBe('working');
    expect(bench.tick().mode).toBe('lifted');
    bench.bank({ lowered: 1 }).tick(49);
    expect(bench.mode).toBe('lifted');
    expect(bench.tick().mode).toBe('working');
  });

  it('does not count while it chatters', () => {
    const bench = startedBench(1, { liftDebounceMs: 50 });
    for (let time = 0; time < 20; time++) {
      bench.bank({ lowered: 0 }).tick(40);
      expect(bench.mode).toBe('working');
      bench.bank({ lowered: 1 }).tick();
    }
  });
});

describe('pulses on a shared harness', () => {
  // Four banks with strokes of 2 ms: a cycle of 8 ms.
  const SHARED = { slotCount: 4, slotPhase: 1, minPulseMs: 3, maxPulseMs: 30 } as const;

  it('are planned as multiples of the cycle: the shortest longer than minPulseMs, the longest not longer than maxPulseMs', () => {
    const bench = startedBench(1, { ...THRESHOLD, ...SHARED });
    const coefficient = (name: string): number => bench.records.get('coefficients', 0, name);
    expect(['pulseStepTicks', 'minPulseTicks', 'maxPulseTicks'].map(coefficient)).toEqual([8, 8, 24]);
    bench.row(1, { loadCounts: loadCountsAt(200) }).tick(500);
    const lengths = bench.strokes.flatMap(({ tick, order }, index, all) => (order === 'open' ? [(all[index + 1]?.tick ?? 0) - tick] : []));
    expect(lengths.length).toBeGreaterThan(5);
    expect(new Set(lengths.slice(0, -1))).toEqual(new Set([24]));
  });

  it('of strategy cascade have the nearest such length', () => {
    // The set point is 3500 kPa; at 3400 kPa a raise of 100 kPa takes about 10 ms, at 3340 kPa about 15 ms.
    const lengthAt = (kpa: number): number => {
      const bench = startedBench(1, { ...SHARED, maxPulseMs: 400, deadbandN: 10, loadProportionalKpaPerN: 0, loadIntegralKpaPerNS: 0 });
      bench.tick(500).row(1, { pressureCounts: pressureCountsAt(kpa) });
      bench.tickUntil(() => bench.order('supply') === 'open');
      return bench.probe('pulseMs');
    };
    expect(lengthAt(3400) % 8).toBe(0);
    expect(lengthAt(3250)).toBeGreaterThan(lengthAt(3400));
    expect(lengthAt(3250) % 8).toBe(0);
  });
});
