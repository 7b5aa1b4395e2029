import { describe, expect, it } from 'vitest';
import { GRAVITY_MPS2, NO_SOIL, type Numbers, PlantRig, type RigSetup } from '../support/plant-rig.js';

/** A reading as a ratio of the ADC's range, converted back by the ends of its scale at 10 and 90 %. */
const readingOf = (counts: number, full: number, atTen: number, atNinety: number): number =>
  atTen + ((counts / full - 0.1) / 0.8) * (atNinety - atTen);

const FULL = 65535;
/** Half a count of ±50 m/s², and of −500 to 4500 N. */
const HALF_COUNT_MPS2 = 100 / 0.8 / FULL / 2;
const HALF_COUNT_N = 5000 / 0.8 / FULL / 2;

const rigOf = (machine: Numbers, setup: Omit<RigSetup, 'machine'> = {}): PlantRig =>
  new PlantRig({ field: NO_SOIL, ...setup, machine: { adcFullScaleCounts: FULL, ...machine } });

const accelerationMps2 = (rig: PlantRig, row = 0): number => readingOf(rig.get('rowInput', 'accelerationCounts', row), FULL, -50, 50);
const loadN = (rig: PlantRig, full = FULL, row = 0): number => readingOf(rig.get('rowInput', 'loadCounts', row), full, -500, 4500);

/** Readings of some ticks. */
const series = (rig: PlantRig, ticks: number, read: (rig: PlantRig) => number): number[] =>
  Array.from({ length: ticks }, () => read(rig.tick()));

const meanOf = (values: readonly number[]): number => values.reduce((sum, value) => sum + value, 0) / values.length;
const deviationOf = (values: readonly number[]): number => {
  const mean = meanOf(values);
  return Math.sqrt(meanOf(values.map((value) => (value - mean) ** 2)));
};

describe('an accelerometer at rest', () => {
  /** On flat ground, long enough for the row to have settled. */
  const atRest = (machine: Numbers, setup: Omit<RigSetup, 'machine'> = {}): number => accelerationMps2(rigOf(machine, setup).run(3000));
  const expectReading = (value: number, exact: number): void => expect(Math.abs(value - exact)).toBeLessThan(1.1 * HALF_COUNT_MPS2);

  it('reads zero if gravity was removed, and the standard gravity if not', () => {
    expectReading(atRest({}), 0);
    expectReading(atRest({ accelerationGravityRatio: 1 }), 9.80665);
  });

  // The component of gravity along the axis: g·cos of the angle between axis and vertical. tan of a slope of 50 % is 0.5: 26.565°.
  it.each([
    { tiltDeg: 60, gradePercent: 0, sideSlopePercent: 0, cosine: 0.5 },
    { tiltDeg: -60, gradePercent: 0, sideSlopePercent: 0, cosine: 0.5 },
    { tiltDeg: 3, gradePercent: 0, sideSlopePercent: 0, cosine: 0.99863 },
    { tiltDeg: 0, gradePercent: 50, sideSlopePercent: 0, cosine: 2 / Math.sqrt(5) },
    { tiltDeg: 0, gradePercent: 0, sideSlopePercent: 50, cosine: 2 / Math.sqrt(5) },
    { tiltDeg: 26.565051, gradePercent: 50, sideSlopePercent: 0, cosine: 1 },
    { tiltDeg: 26.565051, gradePercent: -50, sideSlopePercent: 0, cosine: 0.6 },
  ])(
    'tilted by $tiltDeg°, on slopes of $gradePercent and $sideSlopePercent %, reads $cosine of gravity',
    ({ tiltDeg, cosine, ...drive }) => {
      expectReading(atRest({ accelerationGravityRatio: 1, accelerationTiltDeg: tiltDeg }, { drive }), cosine * GRAVITY_MPS2);
      const bent = { accelerationTiltDeg: tiltDeg };
      expectReading(atRest({ accelerationGravityRatio: 1 }, { drive, faults: bent }), cosine * GRAVITY_MPS2);
    },
  );

  it('has bias and scale', () => {
    const machine = { accelerationGravityRatio: 1, accelerationScaleRatio: 1.02, accelerationBiasMps2: 0.1 };
    expectReading(atRest(machine), 1.02 * 9.80665 + 0.1);
    const faults = { accelerationScaleRatio: -0.5, accelerationBiasMps2: 3 };
    expectReading(atRest(machine, { faults }), -0.51 * 9.80665 + 3.1);
  });

  it('has another bias in each row', () => {
    const rig = rigOf({ accelerationBiasSpreadMps2: 1 }, { rows: 48 }).run(3000);
    const biases = Array.from({ length: 48 }, (_, row) => accelerationMps2(rig, row));
    // The standard deviation of 48 samples is within 10 % (one sigma).
    expect(deviationOf(biases)).toBeGreaterThan(0.7);
    expect(deviationOf(biases)).toBeLessThan(1.3);
    expect(Math.abs(meanOf(biases))).toBeLessThan(0.45);
  });
});

describe('an accelerometer in motion', () => {
  it('that lies on its front reads the acceleration of the machine', () => {
    const rig = rigOf({ accelerationTiltDeg: 90 }).run(1000);
    const values = series(rig, 100, () => accelerationMps2(rig.set('drive', { speedMps: rig.get('drive', 'speedMps') + 0.002 })));
    // 0.002 m/s each millisecond; the first reading is from before.
    expect(Math.abs((values[99] ?? 0) - 2)).toBeLessThan(2 * HALF_COUNT_MPS2);
  });

  it('reads the row, the frame, or a mix of them, by its place on the arm', () => {
    // The frame lifts by y = h·r²·(3 − 2r), r = t/T: ÿ = h/T²·(6 − 12r); 0.4 m in 2.5 s, after 20 ms.
    const frameMps2 = (0.4 / 2.5 ** 2) * (6 - (12 * 0.0195) / 2.5);
    const readAt = (accelerationMountRatio: number): { read: number; row: number } => {
      const rig = rigOf({ accelerationMountRatio }).run(1000).set('drive', { lowered: 0 }).run(20);
      return { read: accelerationMps2(rig), row: rig.get('rowState', 'accelerationMps2') };
    };
    expect(Math.abs(readAt(0).read - frameMps2)).toBeLessThan(2 * HALF_COUNT_MPS2);
    const { read, row } = readAt(0.7);
    expect(Math.abs(row - frameMps2)).toBeGreaterThan(0.05);
    expect(Math.abs(read - (0.7 * row + 0.3 * frameMps2))).toBeLessThan(2 * HALF_COUNT_MPS2);
    expect(Math.abs(readAt(1).read - readAt(1).row)).toBeLessThan(1.1 * HALF_COUNT_MPS2);
  });

  // σ = density · √(band), band = half of the tick rate: 0.01·√250 and 0.01·√1000.
  it.each([
    { tickHz: 500, sigma: 0.158114 },
    { tickHz: 2000, sigma: 0.316228 },
  ])('has noise of $sigma m/s² at $tickHz ticks/s from a density of 0.01 m/s²/√Hz', ({ tickHz, sigma }) => {
    const rig = rigOf({ accelerationNoiseMps2PerRootHz: 0.01 }, { tickHz }).run(3 * tickHz);
    const ratio = deviationOf(series(rig, 6000, accelerationMps2)) / sigma;
    // The standard deviation of 6000 samples is within 0.9 % (one sigma).
    expect(ratio).toBeGreaterThan(0.96);
    expect(ratio).toBeLessThan(1.04);
  });
});

describe('a load sensor', () => {
  const expectLoad = (value: number, exact: number): void => expect(Math.abs(value - exact)).toBeLessThan(1.1 * HALF_COUNT_N);
  const QUIET: Numbers = { loadDriftNPerC: 0 };

  it('has an offset that drifts', () => {
    const rig = rigOf({ ...QUIET, loadOffsetN: 40, loadDriftNPerMin: 6 });
    expectLoad(loadN(rig.run(10_000)) - rig.get('rowState', 'sensedN'), 41);
    rig.set('injectedFaults', { loadDriftNPerMin: 54 });
    expectLoad(loadN(rig.run(10_000)) - rig.get('rowState', 'sensedN'), 51);
    rig.set('injectedFaults', { loadDriftNPerMin: -6 });
    expectLoad(loadN(rig.run(10_000)) - rig.get('rowState', 'sensedN'), 51);
  });

  it('has a gain that drifts', () => {
    const rig = rigOf({ ...QUIET, loadGainRatio: 0.9, loadGainDriftRatioPerMin: 0.06 });
    // 0.9·(1 + 0.06/6) after 10 s.
    expectLoad(loadN(rig.run(10_000)), 0.909 * rig.get('rowState', 'sensedN'));
    rig.set('injectedFaults', { loadGainRatio: 0.5 }).tick();
    expectLoad(loadN(rig), 0.4545 * rig.get('rowState', 'sensedN'));
    expect(rig.get('rowState', 'sensedN')).toBeGreaterThan(100);
  });

  it('has another gain in each row', () => {
    const rig = rigOf({ ...QUIET, loadGainSpreadRatio: 0.1 }, { rows: 48 }).run(3000);
    const gains = Array.from({ length: 48 }, (_, row) => loadN(rig, FULL, row) / rig.get('rowState', 'sensedN', row));
    expect(Math.abs(meanOf(gains) - 1)).toBeLessThan(0.045);
    expect(Math.abs(deviationOf(gains) - 0.1)).toBeLessThan(0.03);
  });

  it.each([10, 12, 14, 16])('with an ADC of %i bits and without noise is off by half a count at most', (bits) => {
    const full = Math.min(2 ** bits, 65535);
    const rig = new PlantRig({ machine: { ...QUIET, adcFullScaleCounts: full, lugHeightMm: 2 } });
    const errors = series(rig, 500, () => Math.abs(loadN(rig, full) - rig.get('rowState', 'sensedN')));
    expect(Math.max(...errors)).toBeLessThan((0.5001 * 5000) / 0.8 / full);
    expect(Math.max(...errors)).toBeGreaterThan((0.4 * 5000) / 0.8 / full);
  });
});

describe('a dead sensor with noise only', () => {
  it('reads zero on average, whatever there is to measure', () => {
    const NOISE_ONLY = 6;
    const faults = { accelerationSensor: NOISE_ONLY, loadSensor: NOISE_ONLY, accelerationBiasMps2: 5 };
    const rig = rigOf({ accelerationNoiseMps2PerRootHz: 0.01, loadNoiseN: 5, loadOffsetN: 50 }, { faults });
    const loads: number[] = [];
    const accelerations = series(rig, 4000, () => {
      loads.push(loadN(rig));
      return accelerationMps2(rig);
    });
    // σ is 0.01·√500 = 0.2236 m/s² and 5 N; the mean of 4000 samples is within σ/63.
    expect(Math.abs(meanOf(accelerations))).toBeLessThan(0.015);
    expect(deviationOf(accelerations) / 0.2236).toBeCloseTo(1, 1);
    expect(Math.abs(meanOf(loads))).toBeLessThan(0.35);
    expect(deviationOf(loads) / 5).toBeCloseTo(1, 1);
    expect(rig.get('rowState', 'sensedN')).toBeGreaterThan(100);
  });
});

describe('the input of an accelerometer that is not fitted', () => {
  it.each([
    { fault: 'none', sensor: 0, counts: [FULL / 2] },
    { fault: 'open', sensor: 1, counts: [FULL - 1] },
    { fault: 'short', sensor: 2, counts: [0] },
  ])('with fault $fault reads $counts counts', ({ sensor, counts }) => {
    const rig = rigOf({ accelerationFitted: 0, accelerationBiasMps2: 3 }, { faults: { accelerationSensor: sensor } });
    for (const read of series(rig, 10, () => rig.get('rowInput', 'accelerationCounts')))
      expect(Math.abs(read - (counts[0] ?? 0))).toBeLessThan(1);
  });

  it('with garbage takes any value', () => {
    const rig = rigOf({ accelerationFitted: 0 }, { faults: { accelerationSensor: 5 } });
    const read = series(rig, 200, () => rig.get('rowInput', 'accelerationCounts'));
    expect(Math.min(...read)).toBeLessThan(0.05 * FULL);
    expect(Math.max(...read)).toBeGreaterThan(0.95 * FULL);
  });
});

describe('a lift switch that bounces', () => {
  it('keeps each random position for its time, while the frame stays down', () => {
    const rig = rigOf({}).set('drive', { liftSwitchBounceMs: 5 });
    const read = series(rig, 1000, () => rig.get('bankInput', 'lowered'));
    const changes = read.flatMap((value, index) => (index > 0 && value !== read[index - 1] ? [index] : []));
    // 200 positions at random: about 100 changes, 7 at one sigma.
    expect(changes.length).toBeGreaterThan(70);
    expect(changes.length).toBeLessThan(130);
    expect(new Set(changes.map((tick) => (tick - (changes[0] ?? 0)) % 5))).toEqual(new Set([0]));
    expect(rig.get('plant', 'liftRatio')).toBe(0);
    rig.set('drive', { liftSwitchBounceMs: 0 }).tick();
    expect(rig.get('bankInput', 'lowered')).toBe(1);
  });
});
