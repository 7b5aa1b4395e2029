import { describe, expect, it } from 'vitest';
import type { HeightProfile } from '../../host/simulate/profile.js';
import { type Numbers, PlantRig } from '../support/plant-rig.js';

const STEP_M = 0.025;
const profileOf = (lengthM: number, heightM: (distanceM: number) => number): HeightProfile => ({
  points: [Float32Array.from({ length: Math.round(lengthM / STEP_M) }, (_, index) => heightM(index * STEP_M))],
  lengthM,
});

const BOUNCE_HZ = 1.8;
const DAMPING = 0.25;
/** Bounce with wheels that smooth the ground as little as the points of its profile allow. */
const BOUNCE: Numbers = { bounceHz: BOUNCE_HZ, bounceDampingRatio: DAMPING, frameWaveM: 0.01, envelopePerM: 100 };

const frameM = (rig: PlantRig, row = 0): number => rig.ratesFor({}, 0, row).frameM ?? Number.NaN;
const frameMps = (rig: PlantRig, row = 0): number => rig.ratesFor({}, 0, row).frameMps ?? Number.NaN;

describe('a wing of the frame', () => {
  /** Amplitudes of height and speed over those of the ground, over the last whole periods of 12 s at 3 m/s. */
  function transmitted(ratio: number): { readonly height: number; readonly speed: number } {
    const groundHz = BOUNCE_HZ * ratio;
    const waveM = 3 / groundHz;
    const profile = profileOf(37, (distanceM) => 0.02 * Math.sin((2 * Math.PI * distanceM) / waveM));
    const rig = new PlantRig({ machine: BOUNCE, profile, drive: { speedMps: 3 } }).run(6000);
    const ticks = Math.round((Math.floor(6 * groundHz) / groundHz) * 1000);
    const sums = { sine: 0, cosine: 0, speedSine: 0, speedCosine: 0 };
    for (let tick = 0; tick < ticks; tick++) {
      rig.tick();
      const angle = (2 * Math.PI * rig.get('plant', 'distanceM')) / waveM;
      sums.sine += frameM(rig) * Math.sin(angle);
      sums.cosine += frameM(rig) * Math.cos(angle);
      sums.speedSine += frameMps(rig) * Math.sin(angle);
      sums.speedCosine += frameMps(rig) * Math.cos(angle);
    }
    const amplitude = (sine: number, cosine: number): number => (2 / ticks) * Math.hypot(sine, cosine);
    return {
      height: amplitude(sums.sine, sums.cosine) / 0.02,
      speed: amplitude(sums.speedSine, sums.speedCosine) / (0.02 * 2 * Math.PI * groundHz),
    };
  }

  // Displacement transmissibility √((1 + (2ζr)²)/((1 − r²)² + (2ζr)²)): Rao, Mechanical Vibrations, eq. 3.68 (number from memory).
  it.each([
    [0.5, 1.3038],
    [1, 2.2361],
    [2, 0.4472],
  ])('moves with the transmissibility of a base-excited oscillator: at %f times its frequency %f of the ground', (ratio, expected) => {
    const { height, speed } = transmitted(ratio);
    // Periods are whole numbers of ticks within 0.2 %.
    expect(Math.abs(height / expected - 1)).toBeLessThan(0.003);
    expect(Math.abs(speed / expected - 1)).toBeLessThan(0.003);
  });

  it('comes to rest on flat ground like a free oscillator in closed form', () => {
    const rig = new PlantRig({ machine: BOUNCE }).set('support', { startM: 0.01, endM: 0.01 });
    const omega = 2 * Math.PI * BOUNCE_HZ;
    const damped = omega * Math.sqrt(1 - DAMPING * DAMPING);
    for (let tick = 1; tick <= 1000; tick++) {
      const angle = damped * tick * 0.001;
      const decay = 0.01 * Math.exp(-DAMPING * omega * tick * 0.001);
      rig.tick();
      expect(frameM(rig)).toBeCloseTo(decay * (Math.cos(angle) + ((DAMPING * omega) / damped) * Math.sin(angle)), 12);
      expect(frameMps(rig)).toBeCloseTo(-decay * ((omega * omega) / damped) * Math.sin(angle), 11);
    }
  });

  it('has the speed that white noise of the ground gives it in closed form', () => {
    // The ground's vertical speed has the density (2π·0.1)²·Gd·v, constant over frequency (ISO 8608, waviness 2). An oscillator
    // passes (π/2)·f·(1 + 4ζ²)/(2ζ) of it (noise bandwidth of a base-excited oscillator; Crandall and Mark, Random Vibration in
    // Mechanical Systems, 1963, from memory). Class D at 3 m/s: 0.3948 · 1.024e-3 · 3 · 7.069 = 8.57e-3, or 0.0926 m/s.
    const rig = new PlantRig({ tickHz: 500, machine: BOUNCE, field: { roughnessCm3: 1024 }, drive: { speedMps: 3 } });
    let sum = 0;
    const ticks = 150_000;
    for (let tick = 0; tick < ticks; tick++) sum += frameMps(rig.tick()) ** 2;
    // 300 s with a bandwidth of some 1 Hz: within 4 % in two of three cases.
    expect(Math.sqrt(sum / ticks)).toBeGreaterThan(0.0926 * 0.9);
    expect(Math.sqrt(sum / ticks)).toBeLessThan(0.0926 * 1.1);
  });
});

describe('a gauge wheel that rolls', () => {
  /** Height of the wheel's path at a distance, m; the wheel is on that profile point. */
  const pathM = (rig: PlantRig, distanceM: number): number => {
    while (rig.get('plant', 'distanceM') < distanceM - 1e-9) rig.tick();
    return rig.ratesFor().groundM ?? Number.NaN;
  };

  // A circle of radius R over an edge of height h at a distance d before it: √(R² − d²) − R + h, from d = √(2Rh − h²) on.
  it.each([
    { radiusMm: 200, heightMm: 50 },
    { radiusMm: 250, heightMm: 30 },
    { radiusMm: 500, heightMm: 20 },
  ])('with a radius of $radiusMm mm rises over a step of $heightMm mm as a circle does', ({ radiusMm, heightMm }) => {
    const [radiusM, heightM] = [radiusMm / 1000, heightMm / 1000];
    const profile = profileOf(4, (distanceM) => (distanceM > 1.99 ? heightM : 0));
    const rig = new PlantRig({ tickHz: 500, machine: { wheelRadiusMm: radiusMm }, profile, drive: { speedMps: 0.5 } });
    // No low-pass: the ground is flat so far, so its states are 0.
    rig.set('envelope', { b0: 1, a1: 2, a2: 1 });
    const startM = 2 - Math.sqrt(2 * radiusM * heightM - heightM * heightM);
    let isRising = false;
    for (let point = 50; point <= 100; point++) {
      const distanceM = point * STEP_M;
      const ahead = 2 - distanceM;
      const expected = ahead <= 0 ? heightM : Math.max(0, heightM - radiusM + Math.sqrt(Math.max(0, radiusM ** 2 - ahead ** 2)));
      expect(pathM(rig, distanceM), `at ${distanceM} m`).toBeCloseTo(expected, 6);
      if (!isRising && expected > 0) expect(distanceM - startM).toBeLessThan(STEP_M);
      isRising ||= expected > 0;
    }
    expect(isRising).toBe(true);
  });

  /** Length of the path over a stone of 200 mm, and its greatest height, m. */
  function overStone(wheelRadiusMm: number): { readonly lengthM: number; readonly heightM: number } {
    const machine = { wheelRadiusMm, equaliserRatio: 0.5 };
    const rig = new PlantRig({ machine, field: { stoneEveryM: 1000, stoneHeightMm: 50, stoneLengthMm: 200 }, drive: { speedMps: 0 } });
    let points = 0;
    let stones = 0;
    let heightM = 0;
    let before = 0;
    rig.drawPoints(100_000, (pointOf) => {
      const here = pointOf(1, 'height');
      if (here > 0) points += 1;
      if (here > 0 && before === 0) stones += 1;
      heightM = Math.max(heightM, here);
      before = here;
    });
    return { lengthM: (points / stones) * STEP_M, heightM };
  }

  it('is on a stone for longer than its length, and no higher', () => {
    // A point lies on a stone of 200 mm for 200 mm, on average over many stones.
    const point = overStone(0);
    expect(point.lengthM).toBeGreaterThan(0.19);
    expect(point.lengthM).toBeLessThan(0.21);
    expect(point.heightM).toBeCloseTo(0.025, 4);
    // The circle of 200 mm touches the half sine 50·sin(π·x/200) from 64 mm before its start to 64 mm behind its end: the sine is
    // as high as the circle there, 50·sin(π·t/200) = 200 − √(200² − (64 + t)²), at t = 42 mm (worked out by trial).
    const rolling = overStone(200);
    expect(rolling.lengthM).toBeGreaterThan(0.315);
    expect(rolling.lengthM).toBeLessThan(0.335);
    expect(rolling.heightM).toBeCloseTo(0.025, 4);
  });
});
