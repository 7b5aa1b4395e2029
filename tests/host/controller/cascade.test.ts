import { describe, expect, it } from 'vitest';
import { Bench } from '../../support/bench.js';

/*
 * Cascade at 1 kHz by default: 0.6 kPa/N, 3 kPa/(N·s) = 0.003 kPa/N per tick, at most 3 kPa per tick, floor 1198.675 kPa,
 * highest 12,000 kPa. 1024 counts of load are 437.5 N; 1024 counts of pressure are 4687.5 kPa. Area 4.909·0.45/10 = 0.220905 N/kPa.
 */
const FAR = { deadbandN: 1000, integralDeadbandN: 0 } as const;

/**
 * A bank whose load has always been 437.5 N and whose pressure 4687.5 kPa, so that its filters have settled exactly. It has
 * started disabled and works for the first time in the next tick, with an error set by the target.
 */
function fresh(errorN: number, values: Readonly<Record<string, number>> = {}): Bench {
  const bench = new Bench(1, values).row(1, { loadCounts: 1024, pressureCounts: 1024 });
  return bench
    .bank({ enabled: 0 })
    .tick(100)
    .bank({ enabled: 1, targetLoadN: 437.5 + errorN });
}

/** The same after `ticks` ticks of work. */
const working = (errorN: number, ticks: number, values: Readonly<Record<string, number>> = {}): Bench => fresh(errorN, values).tick(ticks);

const setPoint = (bench: Bench): number => bench.probe('setPointKpa');

describe('cascade: set point', () => {
  it('does not move without an error', () => {
    const bench = working(0, 1);
    const first = setPoint(bench);
    expect(setPoint(bench.tick(2000))).toBe(first);
  });

  it('integrates 0.12 kPa per tick at 40 N, in both directions', () => {
    for (const sign of [1, -1]) {
      const bench = working(0, 5, FAR);
      const first = setPoint(bench);
      bench.bank({ targetLoadN: 437.5 + sign * 40 }).tick();
      const second = setPoint(bench);
      // The error's step of 40 N is 24 kPa: the rate limit allows 3 kPa per tick, and the integral waits for 8 ticks.
      expect(second - first).toBeCloseTo(sign * 3, 2);
      expect(setPoint(bench.tick(7)) - first).toBeCloseTo(sign * 24, 2);
      expect(setPoint(bench.tick(100)) - first).toBeCloseTo(sign * 36, 1);
    }
  });

  it('moves no faster than 3 kPa per tick, in both directions', () => {
    const bench = working(0, 5, FAR);
    const first = setPoint(bench);
    bench.bank({ targetLoadN: 3000 });
    expect(setPoint(bench.tick(100)) - first).toBeCloseTo(300, 0);
    bench.bank({ targetLoadN: 0 });
    const top = setPoint(bench.tick());
    const down = top - setPoint(bench.tick(100));
    expect(down).toBeCloseTo(300, 0);
  });

  it('stops at its maximum and leaves it in the first tick of the opposite sign', () => {
    const bench = working(0, 5, { ...FAR, setPointMaxKpa: 6000 }).bank({ targetLoadN: 3000 });
    expect(setPoint(bench.tick(5000))).toBe(6000);
    bench.bank({ targetLoadN: 437.5 }).tick();
    expect(setPoint(bench)).toBeCloseTo(5997, 2);
  });

  it('does not go above the rail', () => {
    // 1459·7.62939453125 - 3125 = 8006.29 kPa
    const bench = working(0, 5, FAR).bank({ targetLoadN: 3000, railCounts: 1459 });
    expect(setPoint(bench.tick(5000))).toBeCloseTo(8006.29, 1);
  });

  it('stops at the floor and leaves it in the same way', () => {
    const bench = working(0, 5, FAR).bank({ targetLoadN: 0 });
    expect(setPoint(bench.tick(5000))).toBeCloseTo(1198.675, 2);
    bench.bank({ targetLoadN: 447.5 });
    const lifted = setPoint(bench.tick(2));
    expect(lifted).toBeGreaterThan(1200);
  });

  it('is kept while lifted, and resumes without a bump', () => {
    const bench = working(40, 500, FAR);
    const kept = setPoint(bench);
    bench.bank({ lowered: 0 }).tick(1000);
    expect(setPoint(bench)).toBe(kept);
    // The target has risen. The first tick of work, ten after the touch, only integrates: there is no previous error to differ from.
    bench.bank({ lowered: 1, targetLoadN: 497.5 }).tick(10);
    expect(setPoint(bench) - kept).toBeCloseTo(0.18, 2);
  });

  it('is frozen from the first tick of an invalid load, and resumes without a bump', () => {
    const bench = working(40, 500, FAR);
    const kept = setPoint(bench);
    bench.row(1, { loadCounts: 4095 }).tick();
    expect(bench.rowMode()).toBe('frozen');
    expect(setPoint(bench.tick(2000))).toBe(kept);
    bench.row(1, { loadCounts: 1024 }).bank({ targetLoadN: 497.5 }).tick(499);
    expect(bench.rowMode()).toBe('frozen');
    bench.tick();
    expect(bench.rowMode()).toBe('working');
    expect(setPoint(bench) - kept).toBeCloseTo(0.18, 2);
  });
});

/** Strokes of the next ticks. */
function strokesOf(bench: Bench, ticks: number): string[] {
  const from = bench.ticks;
  bench.tick(ticks);
  return bench.strokes.filter(({ tick }) => tick >= from).map(({ tick, valve, order }) => `${tick - from} ${valve} ${order}`);
}

describe('cascade: pressure loop', () => {
  it('continues with the frozen set point while the load is invalid', () => {
    const bench = working(0, 500);
    const from = bench.ticks;
    bench.row(1, { loadCounts: 4095 }).tick(100);
    expect(bench.strokesSince(from)).toEqual([]);
    // The pressure falls by 100 counts, 763 kPa or 168 N: more than the deadband of 40 N. The low-pass needs some ticks.
    bench.row(1, { pressureCounts: 924 });
    const strokes = strokesOf(bench, 200);
    expect(strokes[0]).toMatch(/supply open$/);
    expect(strokes[1]).toMatch(/supply close$/);
    expect(strokes.every((stroke) => stroke.includes('supply'))).toBe(true);
  });

  it('makes no stroke while the pressure is invalid', () => {
    const bench = working(0, 500);
    bench.row(1, { pressureCounts: 4095 }).tick();
    expect(bench.rowMode()).toBe('holding');
    expect(strokesOf(bench, 1000)).toEqual([]);
  });

  it('plans one pulse and keeps to it: 763 kPa at 9.83 kPa per tick are 78 ticks', () => {
    const bench = working(0, 500, { gainLearning: 0, pressureFilterHz: 100 });
    // From 4687.5 to 3924.6 kPa; evaluated when the low-pass has settled, because the row is off until then.
    bench.row(1, { pressureCounts: 924, enabled: 0 }).tick(200);
    bench.row(1, { enabled: 1 });
    const from = bench.ticks;
    bench.tick(60);
    // 15,000 kPa of rail are 2376 counts: 15,002.4 kPa. Flow 8/60·sqrt(11077.9/10000) = 0.140338 mL/ms. Compliance up
    // to 4687.5 kPa 5e-5 + 274285.7/(4025.9·4788.8) = 0.014277 mL/kPa. Step 9.8297 kPa per tick; 762.94/9.8297 = 77.6 ticks.
    bench.row(1, { pressureCounts: 1024 }).tick(100);
    const strokes = bench.strokes.filter(({ tick }) => tick >= from).map(({ tick, order }) => `${tick - from} ${order}`);
    expect(strokes.slice(0, 2)).toEqual(['0 open', '78 close']);
  });

  it('plans a pulse that ends at the floor, however far its filter lags', () => {
    // An empty reservoir keeps the valves shut while the set point falls to the floor; then the pressure falls to
    // 1269.53 kPa (576 counts) with its low-pass still far above. 70.857 kPa above the floor. Flow
    // 8/60·sqrt(1069.53/10000) = 0.043605 mL/ms, compliance 5e-5 + 274285.7/(1370.86·1300) = 0.153960 mL/kPa: 0.28322 kPa per tick.
    const bench = new Bench(1, { reservoirUf: 1000, pressureFilterHz: 0.5, maxPulseMs: 5000, gainLearning: 0, deadbandN: 5 });
    bench.row(1, { loadCounts: 1024, pressureCounts: 1024 }).bank({ reservoirMv: 20000 }).start();
    bench.bank({ reservoirMv: 0, targetLoadN: 0 }).tick(5000);
    expect(setPoint(bench)).toBeCloseTo(1198.675, 2);
    bench.row(1, { pressureCounts: 576 }).tick(25);
    expect(bench.probe('pressureKpa')).toBeGreaterThan(4000);
    expect(bench.probe('pulseMs')).toBe(250);
  });
});
