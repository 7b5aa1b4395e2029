import { describe, expect, it } from 'vitest';
import { type Numbers, PlantRig } from '../support/plant-rig.js';

/** Coils directly at a source without resistance, and no other load. */
const STIFF_SOURCE: Numbers = { sourceV: 12, harnessOhm: 0, electronicsW: 0, reservoirUf: 0 };
const COIL: Numbers = { coilOhm: 4, coilMh: 8 };
const OPEN = 1;
const CLOSE = 2;

const SUPPLY = 0;
const coilA = (rig: PlantRig): number => rig.get('valve', 'coilA', SUPPLY);
const opening = (rig: PlantRig): number => rig.get('valve', 'opening', SUPPLY);
const coilJ = (rig: PlantRig): number => rig.get('rowState', 'coilJ');

describe('a coil of 4 Ω and 8 mH on 12 V', () => {
  const driven = (tickHz: number, machine: Numbers = {}): PlantRig =>
    new PlantRig({ tickHz, machine: { ...STIFF_SOURCE, ...COIL, ...machine }, drive: { sourceV: 12 } }).order('supply', OPEN);

  it('carries 1.8964 A after 2 ms', () => {
    // i = U/R·(1 − e^(−t·R/L)) (closed form).
    expect(coilA(driven(1000).run(2))).toBeCloseTo(1.8964, 4);
  });

  it('shows that current as the true one of all coils at the end of the tick, not the mean of its last step', () => {
    // As above: two coils of 1.8964 A; the mean of the last half millisecond is 5 % lower.
    const rig = driven(1000).order('return', OPEN).run(2);
    expect(rig.get('bankTruth', 'coilsA')).toBeCloseTo(2 * 1.8964, 3);
  });

  // Then the armature moves at constant speed, in 2 ms from end to end. Within a step, of 0.5 and 0.125 ms, the current is taken
  // as linear, which is late by at most an eighth of the step squared times i''/i' = R/L: 0.0156 and 0.001 ms.
  it.each([
    { tickHz: 1000, lateMs: 0.0157 },
    { tickHz: 8000, lateMs: 0.00099 },
  ])('reaches 2 A and starts to move its valve after 2.1972 ms, at most $lateMs ms late at $tickHz ticks/s', ({ tickHz, lateMs }) => {
    const startMs = 3 - 2 * opening(driven(tickHz, { pullA: 2, moveMs: 2 }).run((3 * tickHz) / 1000));
    expect(startMs).toBeGreaterThan(2.1972);
    expect(startMs).toBeLessThan(2.1973 + lateMs);
  });

  it.each([
    { tickHz: 1000, offMj: 0.324 },
    { tickHz: 8000, offMj: 0.0203 },
  ])('draws 81.744 mJ in 4 ms, less the error of the trapezoid rule: $offMj mJ at $tickHz ticks/s', ({ tickHz, offMj }) => {
    // Trapezoid rule: U·h²/12·(i'(0) − i'(T)) = 12 V·h²/12·1297 A/s, h 0.5 and 0.125 ms.
    const mj = 1000 * coilJ(driven(tickHz).run((4 * tickHz) / 1000));
    expect(81.744 - mj).toBeGreaterThan(0.98 * offMj - 0.001);
    expect(81.744 - mj).toBeLessThan(1.02 * offMj + 0.001);
  });

  it('puts its energy into the winding and its magnetic field', () => {
    // ½·L·i² at 4 ms with i = 2.5940 A: 26.916 mJ. The rest is heat.
    const rig = driven(8000).run(32);
    const heatMj = 1000 * rig.get('rowState', 'coilLossJ');
    expect(coilA(rig)).toBeCloseTo(2.594, 3);
    expect(1000 * coilJ(rig) - heatMj).toBeGreaterThan(26.8);
    expect(1000 * coilJ(rig) - heatMj).toBeLessThan(27.0);
  });
});

describe('a reservoir of 4700 µF at 12 V', () => {
  /** Its voltage after coils have drawn an energy, V, with next to no charging. */
  function voltsAfter(mj: number, tickHz: number): number {
    const machine = { ...STIFF_SOURCE, ...COIL, reservoirUf: 4700, chargeOhm: 1e12 };
    const rig = new PlantRig({ tickHz, machine, drive: { sourceV: 12 } }).order('supply', OPEN).order('return', OPEN);
    let before = { mj: 0, volts: 12 };
    for (;;) {
      rig.tick();
      const now = { mj: 1000 * coilJ(rig), volts: rig.get('plant', 'coilV') };
      if (now.mj >= mj) return before.volts + ((now.volts - before.volts) * (mj - before.mj)) / (now.mj - before.mj);
      before = now;
    }
  }

  it('is 2.9048 V lower after 144 mJ', () => {
    // ½·C·(12² − U²) = 144 mJ (closed form). Current and voltage are taken as constant over a step, so the error of the droop is
    // proportional to the step; extrapolated from steps of 0.25 and 0.125 ms to zero, the droop is exact.
    const [coarse, fine] = [12 - voltsAfter(144, 4000), 12 - voltsAfter(144, 8000)];
    expect(fine).toBeGreaterThan(2.87);
    expect(fine).toBeLessThan(2.94);
    expect(2 * fine - coarse).toBeGreaterThan(2.9048 - 0.003);
    expect(2 * fine - coarse).toBeLessThan(2.9048 + 0.003);
  });

  it('is 2.9048 V lower, within 0.1 V, at the default step of half a millisecond', () => {
    expect(Math.abs(12 - voltsAfter(144, 1000) - 2.9048)).toBeLessThan(0.1);
  });

  it('keeps its voltage without a load', () => {
    const machine = { ...STIFF_SOURCE, reservoirUf: 4700, chargeOhm: 2 };
    expect(new PlantRig({ machine, drive: { sourceV: 12 } }).run(100).get('plant', 'coilV')).toBeCloseTo(12, 12);
  });

  it('is recharged through its resistor with the time constant R·C', () => {
    const rig = new PlantRig({ machine: { ...STIFF_SOURCE, reservoirUf: 4700, chargeOhm: 20 }, drive: { sourceV: 12 } });
    rig.set('plant', { coilV: 6 });
    // 94 ms: the difference falls to 1/e.
    expect(12 - rig.run(94).get('plant', 'coilV')).toBeCloseTo(6 / Math.E, 1);
  });
});

describe('a latching valve', () => {
  const MACHINE: Numbers = { ...STIFF_SOURCE, coilOhm: 2.2, coilMh: 4, pullA: 1.31, moveMs: 2, throwRatio: 0.35 };
  const newRig = (machine: Numbers = {}): PlantRig => new PlantRig({ machine: { ...MACHINE, ...machine }, drive: { sourceV: 13.2 } });
  const stroke = (rig: PlantRig, order: number, ticks: number): PlantRig =>
    rig.order('supply', order).run(ticks).order('supply', 0).run(10);

  // It pulls from L/R·ln(1/(1 − 1.31·R/U)) = 0.448 ms: 1 ms of current moves it by 0.28 of its travel, 2 ms by 0.78.
  it.each([
    { ticks: 1, from: 'closed', order: OPEN, ends: 0 },
    { ticks: 2, from: 'closed', order: OPEN, ends: 1 },
    { ticks: 1, from: 'open', order: CLOSE, ends: 1 },
    { ticks: 2, from: 'open', order: CLOSE, ends: 0 },
  ])('that is $from ends at $ends after $ticks ms of current (order $order)', ({ ticks, from, order, ends }) => {
    const rig = newRig().openings(from === 'open' ? 1 : 0, 0);
    rig.order('supply', order).run(ticks);
    const travel = Math.abs(opening(rig) - (from === 'open' ? 1 : 0));
    expect(travel).toBeCloseTo((ticks - 0.448) / 2, 1);
    stroke(rig, 0, 0);
    expect(opening(rig)).toBe(ends);
    expect(rig.get('valve', 'latched', SUPPLY)).toBe(ends);
  });

  it('falls back just below its throw point and latches just above it', () => {
    // 1 ms of current: 0.276 of its travel.
    expect(opening(stroke(newRig({ throwRatio: 0.29 }), OPEN, 1))).toBe(0);
    expect(opening(stroke(newRig({ throwRatio: 0.26 }), OPEN, 1))).toBe(1);
  });

  it('does not move while the current is below pullA', () => {
    // The current reaches at most 6 A; 6.1 A would be needed.
    const rig = newRig({ pullA: 6.1 }).order('supply', OPEN).run(30);
    expect(coilA(rig)).toBeCloseTo(6, 3);
    expect(opening(rig)).toBe(0);
  });

  it('stays where it is without current', () => {
    for (const place of [0, 1]) expect(opening(newRig().openings(place, 0).run(1000))).toBe(place);
  });
});
