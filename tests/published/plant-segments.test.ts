import { describe, expect, it } from 'vitest';
import type { FieldLayout } from '../../host/simulate/field.js';
import type { Segment } from '../../host/simulate/segments.js';
import { type Numbers, PlantRig } from '../support/plant-rig.js';
import { bands, densityOf, fieldRig, heights, lineThrough } from '../support/spectrum.js';

const STEP_M = 0.025;
const SAME = { hardnessRatio: 1, stiffnessRatio: 1, dampingRatio: 1, roughnessCm3: 0, stoneEveryM: 0, blendM: 0 };

/** Segments one after the other, the first from 0 m. */
function segments(...parts: readonly (Partial<Segment> & { readonly toM: number })[]): Segment[] {
  return parts.map((part, index) => ({ ...SAME, name: `${index}`, fromM: parts[index - 1]?.toM ?? 0, ...part }));
}

const layoutOf = (layout: Partial<FieldLayout>): FieldLayout => ({ segments: [], stones: [], steps: [], ...layout });

describe('segments of two classes', () => {
  const [fine, rough] = [64, 4096];

  it('have the spectrum of their class each: its level at 0.1 cycles/m, falling with frequency squared', () => {
    const half = 2 ** 18;
    const layout = layoutOf({
      segments: segments({ toM: half * STEP_M, roughnessCm3: fine }, { toM: 2 * half * STEP_M, roughnessCm3: rough }),
    });
    const [all] = heights(fieldRig({ roughnessCm3: fine }, 1, 1, layout), [1], 2 * half) as [Float64Array];
    for (const [cm3, series] of [
      [fine, all.subarray(0, half)],
      [rough, all.subarray(half)],
    ] as const) {
      const { slope, atReference } = lineThrough(bands(densityOf(series), 0.02, 2));
      expect(slope).toBeGreaterThan(-2.1);
      expect(slope).toBeLessThan(-1.9);
      expect((atReference * 1e6) / cm3).toBeGreaterThan(0.85);
      expect((atReference * 1e6) / cm3).toBeLessThan(1.15);
    }
  });

  it('have that of the new class from the border on, without a step there', () => {
    // A spectrum G(n0)·(n0/n)² is that of a sum of independent steps; heights x apart differ by √(2π²·G(n0)·n0²·x) rms.
    const rmsOver = (cm3: number, alongM: number): number => Math.sqrt(2 * Math.PI ** 2 * cm3 * 1e-6 * 0.1 ** 2 * alongM);
    const border = 400;
    const layout = layoutOf({ segments: segments({ toM: border * STEP_M, roughnessCm3: fine }, { toM: 1000, roughnessCm3: rough }) });
    const sums = { before: 0, behind: 0, across: 0 };
    const fields = 300;
    for (let seed = 1; seed <= fields; seed++) {
      const [series] = heights(fieldRig({ roughnessCm3: fine }, 1, seed, layout), [1], 900) as [Float64Array];
      const squared = (from: number, to: number): number => ((series[to] ?? 0) - (series[from] ?? 0)) ** 2;
      sums.before += squared(border - 240, border - 40);
      sums.behind += squared(border + 40, border + 240);
      sums.across += squared(border - 8, border);
    }
    const rms = (sum: number): number => Math.sqrt(sum / fields);
    // The rms of 300 values is known to 1/√600 = 4 %.
    expect(rms(sums.before) / rmsOver(fine, 5)).toBeGreaterThan(0.85);
    expect(rms(sums.before) / rmsOver(fine, 5)).toBeLessThan(1.15);
    expect(rms(sums.behind) / rmsOver(rough, 5)).toBeGreaterThan(0.85);
    expect(rms(sums.behind) / rmsOver(rough, 5)).toBeLessThan(1.15);
    // Right before the border it is still the fine class, with what the tyre smooths of the rough one behind it.
    expect(rms(sums.across)).toBeLessThan(rmsOver(rough, 0.2));
  });
});

describe('hardness', () => {
  /** Soil of a field of 600 N, twice as hard from 10 m on, with a blend of 4 m; without patches. */
  const layout = layoutOf({
    segments: segments({ toM: 10 }, { toM: 1000, hardnessRatio: 2, stiffnessRatio: 4 / 3, dampingRatio: 1.1, blendM: 4 }),
  });
  const field: Numbers = { soilMinN: 600, soilMaxN: 600 };

  it('changes the force of the soil linearly over the blend', () => {
    const forces: number[] = [];
    new PlantRig({ field, layout, drive: { speedMps: 0 } }).drawPoints(130, (pointOf) => void forces.push(pointOf(1, 'soil')));
    const [first = 0] = forces;
    const middle = forces.findIndex((force) => force >= 900 - 1e-6);
    expect(first).toBe(600);
    expect(forces.at(-1)).toBe(1200);
    // From 8 to 12 m are 160 points: 3.75 N from one to the next.
    expect((forces[middle + 1] ?? 0) - (forces[middle] ?? 0)).toBeCloseTo(3.75, 9);
    expect(forces.filter((force) => force > 600 && force < 1200).length).toBe(159);
  });

  it.each([
    [0, 1, 1],
    [8, 1, 1],
    [9, 1 + 1 / 12, 1.025],
    [10, 1 + 1 / 6, 1.05],
    [12, 4 / 3, 1.1],
    [50, 4 / 3, 1.1],
  ])('at %f m makes the contact stiffer by %f and its damping larger by %f', (distanceM, stiffness, damping) => {
    const rig = new PlantRig({ field, layout, machine: { contactNPerM: 100_000, contactNsPerM: 1000 } });
    rig.set('plant', { distanceM, point: Math.floor(distanceM / STEP_M) });
    const { groundM = 0 } = rig.ratesFor();
    const heightM = groundM - 0.004;
    // 4 mm of compression, beyond which the damping has built up.
    expect(rig.ratesFor({ heightM, speedMps: 0 }).wheelN).toBeCloseTo(400 * stiffness, 6);
    expect(rig.ratesFor({ heightM, speedMps: -0.1 }).wheelN).toBeCloseTo(400 * stiffness + 100 * damping, 6);
  });
});

describe('stones', () => {
  it('at random places come at the rate of each segment, none where there are none', () => {
    const lengthM = 2000;
    const field = { stoneEveryM: 60, stoneLengthMm: 200, stoneHeightMm: 50 };
    const layout = layoutOf({
      segments: segments({ toM: lengthM, stoneEveryM: 9.8 }, { toM: 2 * lengthM }, { toM: 3 * lengthM, stoneEveryM: 39.8 }),
    });
    const counts = [0, 0, 0];
    let before = 0;
    let at = 0;
    new PlantRig({ field, layout, drive: { speedMps: 0 } }).drawPoints((3 * lengthM) / STEP_M / 5, (pointOf) => {
      const height = pointOf(1, 'height');
      const part = Math.floor((at++ * STEP_M) / lengthM);
      if (height > 0.001 && before <= 0.001) counts[part] = (counts[part] ?? 0) + 1;
      before = height;
    });
    // One for every 9.8 + 0.2 m, and every 39.8 + 0.2 m; four times the root of the number is allowed.
    expect(counts[0]).toBeGreaterThan(200 - 57);
    expect(counts[0]).toBeLessThan(200 + 57);
    expect(counts[1]).toBe(0);
    expect(counts[2]).toBeGreaterThan(50 - 29);
    expect(counts[2]).toBeLessThan(50 + 29);
  });

  it('at places are half sines in their rows alone, and are counted as they are reached', () => {
    const layout = layoutOf({ stones: [{ atM: 1, heightMm: 80, lengthMm: 400, rows: [2, 4], rowShareRatio: 1 }] });
    const setup = { rows: 4, layout, machine: { wheelRadiusMm: 0, equaliserRatio: 0.5 }, drive: { speedMps: 1 } };
    const peaks = [0, 0, 0, 0];
    new PlantRig(setup).drawPoints(20, (pointOf) => {
      for (const row of [0, 1, 2, 3]) peaks[row] = Math.max(peaks[row] ?? 0, pointOf(row + 1, 'height'));
    });
    // 40 mm in the middle, at most half a point beside it: cos(π·12.5/400) = 0.995.
    for (const row of [1, 3]) {
      expect(peaks[row]).toBeGreaterThan(0.0398);
      expect(peaks[row]).toBeLessThanOrEqual(0.04 + 1e-12);
    }
    expect([peaks[0], peaks[2]]).toEqual([0, 0]);
    const rig = new PlantRig(setup).run(990);
    const met = (): number[] => [0, 1, 2, 3].map((row) => rig.get('rowTruth', 'stonesMet', row));
    expect(met()).toEqual([0, 0, 0, 0]);
    rig.run(20);
    expect(met()).toEqual([0, 1, 0, 1]);
  });

  it('at places are in a share of the rows, others with another seed', () => {
    const stones = Array.from({ length: 50 }, (_, index) => ({
      atM: 0.01 * index,
      heightMm: 50,
      lengthMm: 200,
      rows: Array.from({ length: 20 }, (_, row) => row + 1),
      rowShareRatio: 0.3,
    }));
    const met = (seed: number): number[] => {
      const rig = new PlantRig({ rows: 20, seed, layout: layoutOf({ stones }), drive: { speedMps: 2 } }).run(300);
      return Array.from({ length: 20 }, (_, row) => rig.get('rowTruth', 'stonesMet', row));
    };
    const first = met(1);
    const sum = first.reduce((total, one) => total + one, 0);
    // 1000 draws of 0.3: 300, standard deviation √(1000·0.3·0.7) = 14.5; four of them are allowed.
    expect(sum).toBeGreaterThan(300 - 58);
    expect(sum).toBeLessThan(300 + 58);
    expect(met(1)).toEqual(first);
    expect(met(2)).not.toEqual(first);
  });
});

describe('steps of the ground', () => {
  it('lower the ground of all rows and of the frame, over their length', () => {
    const layout = layoutOf({ steps: [{ atM: 2, heightMm: -100, overM: 1 }] });
    const rig = new PlantRig({ rows: 2, layout, machine: { wheelRadiusMm: 0, envelopePerM: 10 }, drive: { speedMps: 0 } });
    const series: number[][] = [[], [], []];
    rig.drawPoints(60, (pointOf) => {
      for (const track of [0, 1, 2]) (series[track] as number[]).push(pointOf(track, 'height'));
    });
    const [, one = []] = series;
    expect(one[0]).toBe(0);
    expect(series[2]).toEqual(one);
    expect(one.at(-1)).toBeCloseTo(-0.1, 4);
    // In the middle of the slope, 100 mm/m: 2.5 mm from point to point.
    const middle = one.findIndex((height) => height < -0.05);
    expect((one[middle] ?? 0) - (one[middle - 1] ?? 0)).toBeCloseTo(-0.0025, 4);
    // The frame wheels smooth it.
    expect(series[0]?.at(-1)).toBeCloseTo(-0.1, 3);
  });
});
