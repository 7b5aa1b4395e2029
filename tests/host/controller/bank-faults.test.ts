import { describe, expect, it } from 'vitest';
import { type BankFields, type Bench, pressureCountsAt, startedBench } from '../../support/bench.js';

interface FaultCase {
  readonly fault: string;
  readonly bad: BankFields;
  readonly good: BankFields;
  readonly debounce: number;
  readonly recovery: number;
}

const TARGET = { fault: 'targetInvalid', good: { targetLoadN: 450 }, debounce: 20, recovery: 200 } as const;
const TEMPERATURE = { fault: 'temperatureInvalid', good: { oilTemperatureC: 40 }, debounce: 100, recovery: 500 } as const;

const CASES: readonly FaultCase[] = [
  { ...TARGET, bad: { targetLoadN: Number.NaN } },
  { ...TARGET, bad: { targetLoadN: -0.01 } },
  { ...TARGET, bad: { targetLoadN: 3000.01 } },
  { ...TARGET, bad: { targetLoadN: Number.POSITIVE_INFINITY } },
  { ...TEMPERATURE, bad: { oilTemperatureC: Number.NaN } },
  { ...TEMPERATURE, bad: { oilTemperatureC: -50.01 } },
  { ...TEMPERATURE, bad: { oilTemperatureC: 150.01 } },
  { fault: 'speedInvalid', bad: { groundSpeedMmPerS: 64256 }, good: { groundSpeedMmPerS: 64255 }, debounce: 100, recovery: 500 },
  { fault: 'supplyLow', bad: { supplyMv: 9499 }, good: { supplyMv: 9500 }, debounce: 5, recovery: 500 },
];

const NONE: readonly string[] = [];

describe('bank faults', () => {
  it.each(CASES)('sets $fault $debounce ms after $bad and clears it after $recovery ms', ({ fault, bad, good, debounce, recovery }) => {
    const bench = startedBench().bank(good);
    expect(bench.tick(300).faults()).toEqual(NONE);
    bench.bank(bad);
    expect(bench.tick(debounce - 1).faults()).toEqual(NONE);
    expect(bench.tick().faults()).toEqual([fault]);
    bench.bank(good);
    expect(bench.tick(recovery - 1).faults()).toEqual([fault]);
    expect(bench.tick().faults()).toEqual(NONE);
  });

  it('sets supplyCritical in the first tick and clears it, with supplyLow, after 500 ms', () => {
    const bench = startedBench().bank({ supplyMv: 7500 });
    bench.tick(1000);
    expect(bench.faults()).toEqual(['supplyLow']);
    expect(bench.bank({ supplyMv: 7499 }).tick().faults()).toEqual(['supplyLow', 'supplyCritical']);
    bench.bank({ supplyMv: 12800 });
    expect(bench.tick(499).faults()).toEqual(['supplyLow', 'supplyCritical']);
    expect(bench.tick().faults()).toEqual(NONE);
  });

  it("sets railLow 200 ms after the rail's value fell below its limit, one tick after the ADC counts did", () => {
    // 1457·7.62939453125 - 3125 = 7991.0 kPa, 1459 is 8006.3 kPa, the limit 8000.
    const bench = startedBench().bank({ railCounts: 1459 }).tick(300);
    bench.bank({ railCounts: 1457 });
    expect(bench.tick(200).faults()).toEqual(NONE);
    expect(bench.tick().faults()).toEqual(['railLow']);
    bench.bank({ railCounts: 1459 });
    expect(bench.tick(500).faults()).toEqual(['railLow']);
    expect(bench.tick().faults()).toEqual(NONE);
  });

  it('sets reservoirLow after 50 ms with less energy than a pulse and the needed closes', () => {
    // 10,000 µF: 5 mJ/V². Floor 8 V, 320 mJ. A pulse of two strokes, 100 mJ: 420 mJ is 9.1652 V.
    const bench = startedBench(1, { reservoirUf: 10000 }).bank({ reservoirMv: 9166 });
    expect(bench.tick(100).faults()).toEqual(NONE);
    bench.bank({ reservoirMv: 9165 });
    expect(bench.tick(49).faults()).toEqual(NONE);
    expect(bench.tick().faults()).toEqual(['reservoirLow']);
  });

  it('never sets reservoirLow without a reservoir', () => {
    expect(startedBench(1, { reservoirUf: 0 }).bank({ reservoirMv: 0 }).tick(200).faults()).toEqual(NONE);
  });
});

const modeAfter = (bench: Bench, fields: BankFields): string => bench.bank(fields).tick().mode;

describe('a bank with an invalid input', () => {
  it.each([Number.NaN, -1, 3001, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY])(
    'stops work in the first tick of target %d and keeps the last valid target',
    (targetLoadN) => {
      const bench = startedBench();
      expect(modeAfter(bench, { targetLoadN })).toBe('idle');
      expect(bench.bankProbe('targetLoadN')).toBe(450);
      expect(modeAfter(bench, { targetLoadN: 500 })).toBe('working');
      expect(bench.bankProbe('targetLoadN')).toBe(500);
    },
  );

  it.each([0, 3000])('works with a target of %d, at its limit', (targetLoadN) => {
    const bench = startedBench();
    expect(modeAfter(bench, { targetLoadN })).toBe('working');
    expect(bench.bankProbe('targetLoadN')).toBe(targetLoadN);
  });

  it.each([
    [-50, 0.75],
    [-15, 0.75],
    [12.5, 0.875],
    [40, 1],
    [150, 1],
    [Number.NaN, 1],
    [-51, 1],
    [151, 1],
  ])('at %d °C, expects %d of the warm flow', (oilTemperatureC, share) => {
    const bench = startedBench().bank({ oilTemperatureC }).tick();
    expect(bench.bankProbe('flowRatio')).toBeCloseTo(share, 6);
  });

  it('tunes the lug notch to speed over pitch, and turns it off for an invalid speed', () => {
    const bench = startedBench(1, { lugNotch: 1, lugPitchM: 0.15 });
    expect(bench.bank({ groundSpeedMmPerS: 3000 }).tick().bankProbe('notchHz')).toBeCloseTo(20, 4);
    expect(bench.bank({ groundSpeedMmPerS: 151 }).tick().bankProbe('notchHz')).toBeCloseTo(1.00667, 4);
    expect(bench.bank({ groundSpeedMmPerS: 149 }).tick().bankProbe('notchHz')).toBe(0);
    // A quarter of the tick rate is 250 Hz, 37.5 m/s; the angle 0.785 is reached just below.
    expect(bench.bank({ groundSpeedMmPerS: 37400 }).tick().bankProbe('notchHz')).toBeCloseTo(249.333, 2);
    expect(bench.bank({ groundSpeedMmPerS: 37500 }).tick().bankProbe('notchHz')).toBe(0);
    expect(bench.bank({ groundSpeedMmPerS: 65535 }).tick().bankProbe('notchHz')).toBe(0);
  });

  it('keeps the notch off if it is not enabled', () => {
    expect(startedBench(1, { lugNotch: 0 }).tick().bankProbe('notchHz')).toBe(0);
  });

  it('only reports a low rail', () => {
    expect(modeAfter(startedBench(), { railCounts: pressureCountsAt(1000) })).toBe('working');
  });

  it('works from the tick of lowering to the tick of lifting', () => {
    const bench = startedBench();
    expect(modeAfter(bench, { lowered: 0 })).toBe('lifted');
    expect(modeAfter(bench, { lowered: 1 })).toBe('working');
  });

  it('treats any number except 0 as on', () => {
    const bench = startedBench();
    expect(modeAfter(bench, { enabled: 255, lowered: 2 })).toBe('working');
    expect(modeAfter(bench, { enabled: 0 })).toBe('idle');
    expect(modeAfter(bench, { enabled: 1, shutDown: 128 })).toBe('shutDown');
  });
});
