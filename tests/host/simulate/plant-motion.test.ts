import { describe, expect, it } from 'vitest';
import { type Numbers, PlantRig } from '../../support/plant-rig.js';

/** A rate or force of a row in its present state, or with another height. */
const rateOf = (rig: PlantRig, name: string, row = 0, heightM = rig.state(row).heightM): number =>
  rig.ratesFor({ heightM }, 0, row)[name] ?? Number.NaN;

describe('a row that comes down', () => {
  const rig = new PlantRig({
    machine: { closingN: 200, closingReachMm: 80, closingSoftMm: 50, seedDepthMm: 60 },
    field: { soilMinN: 600, soilMaxN: 600 },
  });

  // The load of the closing wheels grows from 80 mm above the ground on, over 50 mm.
  it.each([
    [81, 0],
    [80, 0],
    [55, 100],
    [30, 200],
    [0, 200],
  ])('has at %i mm above the ground %i N on its closing wheels', (mm, expected) => {
    expect(rateOf(rig, 'closingN', 0, mm / 1000)).toBeCloseTo(expected, 9);
  });

  // The opener is at its set depth of 60 mm where the gauge wheels are compressed by 3 mm, so it touches the ground at 57 mm.
  it.each([
    [58, 0],
    [57, 0],
    [27, 300],
    [-3, 600],
  ])('has at %i mm above the ground %i N on its opener', (mm, expected) => {
    expect(rateOf(rig, 'openerN', 0, mm / 1000)).toBeCloseTo(expected, 9);
  });
});

describe('the frame', () => {
  const machine = { liftMm: 400, liftS: 2, lowerS: 4 };

  it('lifts in liftS and lowers in lowerS', () => {
    const rig = new PlantRig({ machine, drive: { lowered: 0 } });
    expect(rateOf(rig, 'frameM')).toBeCloseTo(0.4, 12);
    rig.set('drive', { lowered: 1 });
    // The speed is 0 at both ends: three quarters of the time leave a quarter, 400·(3 − 2/4)/16 = 62.5 mm.
    expect(rateOf(rig.run(2000), 'frameM')).toBeCloseTo(0.2, 9);
    expect(rateOf(rig.run(1000), 'frameM')).toBeCloseTo(0.0625, 9);
    expect(rateOf(rig.run(1000), 'frameM')).toBeCloseTo(0, 12);
    rig.set('drive', { lowered: 0 });
    expect(rateOf(rig.run(1000), 'frameM')).toBeCloseTo(0.2, 9);
    expect(rateOf(rig.run(1000), 'frameM')).toBeCloseTo(0.4, 12);
  });

  it('carries rows that hang at different heights when lifted, and at the same height when lowered', () => {
    const rig = new PlantRig({ rows: 48, machine: { ...machine, liftSpreadMm: 20 }, drive: { lowered: 0 } });
    const heightsMm = (): number[] => Array.from({ length: 48 }, (_, row) => 1000 * rateOf(rig, 'frameM', row));
    const mean = heightsMm().reduce((sum, mm) => sum + mm, 0) / 48;
    const spread = Math.sqrt(heightsMm().reduce((sum, mm) => sum + (mm - mean) ** 2, 0) / 47);
    // Standard errors of 48 draws: 20/√48 = 2.9 mm of the mean and 20/√94 = 2.1 mm of the deviation; three of each.
    expect(Math.abs(mean - 400)).toBeLessThan(8.7);
    expect(Math.abs(spread - 20)).toBeLessThan(6.3);
    rig.set('drive', { lowered: 1 }).run(4000);
    for (const mm of heightsMm()) expect(mm).toBeCloseTo(0, 9);
  });
});

describe('a frame in wings', () => {
  const machine: Numbers = { bounceHz: 1.8, wingRows: 8, frameWaveM: 1 };
  const rough: Numbers = { roughnessCm3: 1024 };
  const framesM = (rig: PlantRig): number[] => Array.from({ length: rig.get('setup', 'rows') }, (_, row) => rateOf(rig, 'frameM', row));

  it('has the rows of a wing on a straight line, and each wing on its own', () => {
    const rig = new PlantRig({ rows: 20, machine, field: rough }).run(3000);
    const frames = framesM(rig);
    // Two wings of 8 rows, and the remaining 4.
    for (const [first, last] of [
      [0, 7],
      [8, 15],
      [16, 19],
    ] as const) {
      const [from = Number.NaN, to = Number.NaN] = [frames[first], frames[last]];
      expect(Math.abs(to - from)).toBeGreaterThan(0.001);
      for (let row = first; row <= last; row++) {
        expect(frames[row]).toBeCloseTo(from + ((to - from) * (row - first)) / (last - first), 12);
      }
    }
    const slope = (row: number): number => (frames[row + 1] ?? Number.NaN) - (frames[row] ?? Number.NaN);
    expect(Math.abs(slope(7) - slope(6))).toBeGreaterThan(0.001);
    expect(Math.abs(slope(15) - slope(14))).toBeGreaterThan(0.001);
  });

  it('follows each end of a wing alone where a wing has a single row', () => {
    const rig = new PlantRig({ rows: 3, machine: { ...machine, wingRows: 2 }, field: rough }).run(2000);
    expect(new Set(framesM(rig)).size).toBe(3);
    for (const heightM of framesM(rig)) expect(Math.abs(heightM)).toBeLessThan(0.5);
  });

  it('bounces on the ground also while it is lifted', () => {
    const rig = new PlantRig({ rows: 2, machine, field: rough, drive: { lowered: 0 } });
    const lifted = Array.from({ length: 2000 }, () => rateOf(rig.tick(), 'frameM'));
    expect(Math.max(...lifted) - Math.min(...lifted)).toBeGreaterThan(0.01);
    expect(Math.min(...lifted)).toBeGreaterThan(0.2);
  });

  it('is rigid without bounce: all rows have the same frame', () => {
    const rig = new PlantRig({ rows: 20, machine: { ...machine, bounceHz: 0 }, field: rough }).run(3000);
    expect(new Set(framesM(rig)).size).toBe(1);
  });
});

describe('the hopper', () => {
  /** Mass after a distance, kg. The distance is set, not driven. */
  const massKg = (machine: Numbers, lowered: number, distanceM: number): number => {
    const rig = new PlantRig({ machine: { massKg: 85, seedKg: 20, ...machine }, drive: { lowered } });
    rig.drawPoints(distanceM / 0.125, () => {});
    return rig.get('rowProperties', 'massKg');
  };

  it('loses the seed that the row plants', () => {
    // 80,000 seeds/ha of 300 g per 1000 are 24 kg/ha; a row 0.762 m wide plants 0.0762 ha/km.
    const kgPerKm = 80 * 0.3 * 0.0762;
    expect(massKg({ seedUseKgPerKm: kgPerKm }, 1, 1000)).toBeCloseTo(105 - 1.8288, 9);
    expect(massKg({ seedUseKgPerKm: 0 }, 1, 1000)).toBe(105);
  });

  it('is not lighter than empty, and loses nothing while lifted', () => {
    expect(massKg({ seedUseKgPerKm: 100 }, 1, 1000)).toBe(85);
    expect(massKg({ seedUseKgPerKm: 100 }, 0, 1000)).toBe(105);
  });
});

describe('the edge of a soil patch', () => {
  it.each([0.1, 0.2, 0.3])('takes %f m for most of the change of the force', (soilEdgeM) => {
    const rig = new PlantRig({ field: { soilEdgeM, patchMinM: 10, patchMaxM: 10 } });
    const forces: number[] = [];
    rig.drawPoints(200, (pointOf) => forces.push(pointOf(1, 'soil')));
    const edge = forces.findIndex((force, index) => index > 0 && Math.abs(force - (forces[index - 1] ?? 0)) > 1);
    const [before = 0, after = 0] = [forces[edge - 1], forces[edge + 200]];
    expect(edge).toBeGreaterThan(200);
    // The first point behind the edge has come one point closer, and 1 − e⁻¹ is reached after soilEdgeM.
    const share = ((forces[edge - 1 + Math.round(soilEdgeM / 0.025)] ?? 0) - before) / (after - before);
    expect(share).toBeCloseTo(1 - Math.exp(-1), 6);
  });
});
