import {
  BUTTERWORTH_K,
  firstCoefficient,
  median3,
  nextLowPass,
  nextMedian,
  nextNotch,
  seedMedian,
  seedSecondOrder,
  tangent,
} from '../../assembly/controller/filter';
import { loadLowPass, loadMedian } from '../../assembly/controller/generated/records';
import { freshBank } from './fresh-bank';

describe('median3', () => {
  test('is the middle value in any order', () => {
    expect(median3(1, 2, 3)).toBe(2);
    expect(median3(1, 3, 2)).toBe(2);
    expect(median3(2, 1, 3)).toBe(2);
    expect(median3(2, 3, 1)).toBe(2);
    expect(median3(3, 1, 2)).toBe(2);
    expect(median3(3, 2, 1)).toBe(2);
  });
  test('is the repeated value if two are equal', () => {
    expect(median3(1, 1, 9)).toBe(1);
    expect(median3(9, 1, 1)).toBe(1);
    expect(median3(1, 9, 1)).toBe(1);
    expect(median3(-5, -5, -9)).toBe(-5);
  });
});

describe('nextMedian', () => {
  beforeEach(() => freshBank(1));
  test('removes a single spike and passes a step one tick late', () => {
    const state = loadMedian(0);
    seedMedian(state, 5);
    expect(nextMedian(state, 100)).toBe(5, 'spike');
    expect(nextMedian(state, 5)).toBe(5, 'after the spike');
    expect(nextMedian(state, 7)).toBe(7, 'of 100, 5 and 7: the spike is still among the three');
    expect(nextMedian(state, 5)).toBe(5);
    expect(nextMedian(state, 40)).toBe(7, 'of 7, 5 and 40');
    expect(nextMedian(state, 40)).toBe(40, 'a step, one tick late');
  });
});

describe('tangent', () => {
  // Abramowitz and Stegun, table 4.9, and tan(pi/4) = 1.
  test('agrees with the table to six digits', () => {
    expect(tangent(0)).toBe(0);
    expect(tangent(0.1)).toBeCloseTo(0.100334672, 6);
    expect(tangent(0.5)).toBeCloseTo(0.54630249, 6);
    expect(tangent(0.78539816)).toBeCloseTo(1, 6);
    expect(tangent(0.8)).toBeCloseTo(1.02963856, 6);
  });
});

describe('firstCoefficient', () => {
  test('is 1/(1 + g(g + k))', () => {
    expect(firstCoefficient(0, 3)).toBe(1);
    expect(firstCoefficient(1, 0)).toBe(0.5);
    expect(firstCoefficient(1, 2)).toBe(0.25);
  });
});

/** Impulse response of the low-pass of 10 Hz at 1 kHz, sample `at`. g = tan(0.01 pi). */
function lowPassImpulse(at: i32): f32 {
  const state = loadLowPass(0);
  seedSecondOrder(state, 0);
  const g: f32 = 0.031426266;
  const a1 = firstCoefficient(g, BUTTERWORTH_K);
  let value = nextLowPass(state, 1, a1, g * a1, g * g * a1);
  for (let tick = 0; tick < at; tick++) value = nextLowPass(state, 0, a1, g * a1, g * g * a1);
  return value;
}

describe('nextLowPass', () => {
  beforeEach(() => freshBank(1));
  // scipy 1.17.1: lfilter(*butter(2, 10, fs=1000), [1, 0, 0, …])
  test('has the impulse response of the second-order Butterworth section', () => {
    expect(lowPassImpulse(0)).toBeCloseTo(0.0009446918, 8);
    expect(lowPassImpulse(1)).toBeCloseTo(0.003694876, 8);
    expect(lowPassImpulse(2)).toBeCloseTo(0.0071419578, 8);
    expect(lowPassImpulse(3)).toBeCloseTo(0.0102689665, 8);
    expect(lowPassImpulse(7)).toBeCloseTo(0.0198815964, 8);
  });
  test('has a DC gain of exactly 1, whatever the value is', () => {
    const state = loadLowPass(0);
    // 4 Hz at 1 kHz: g = tan(0.004 pi) = 0.0125670
    const g: f32 = 0.012567;
    const a1 = firstCoefficient(g, BUTTERWORTH_K);
    const rests: StaticArray<f32> = [450, -3.7, 0.1, 12345.678];
    for (let index = 0; index < rests.length; index++) {
      seedSecondOrder(state, rests[index]);
      for (let tick = 0; tick < 50; tick++) expect(nextLowPass(state, rests[index], a1, g * a1, g * g * a1)).toBe(rests[index]);
    }
  });
});

/** Impulse response of the notch of 12 Hz, Q 3, at 1 kHz, sample `at`. g = tan(0.012 pi), k = 1/3. */
function notchImpulse(at: i32): f32 {
  const state = loadLowPass(0);
  seedSecondOrder(state, 0);
  let value = nextNotch(state, 1, 0.037716982, 0.33333334);
  for (let tick = 0; tick < at; tick++) value = nextNotch(state, 0, 0.037716982, 0.33333334);
  return value;
}

describe('nextNotch', () => {
  beforeEach(() => freshBank(1));
  // W3C Note "Audio EQ Cookbook" (2021), notch: b 0.98760119, -1.96959064, 0.98760119; a 1, -1.96959064, 0.97520239.
  // Its impulse response by hand: y0 = b0, y1 = b1 - a1·y0, y2 = b2 - a1·y1 - a2·y0.
  test("has the impulse response of the cookbook's notch", () => {
    expect(notchImpulse(0)).toBeCloseTo(0.987601193, 6);
    expect(notchImpulse(1)).toBeCloseTo(-0.024420575, 6);
    expect(notchImpulse(2)).toBeCloseTo(-0.023608381, 6);
    expect(notchImpulse(7)).toBeCloseTo(-0.018027221, 6);
  });
  test('has a DC gain of exactly 1', () => {
    const state = loadLowPass(0);
    seedSecondOrder(state, 450.3);
    for (let tick = 0; tick < 50; tick++) expect(nextNotch(state, 450.3, 0.037716982, 0.33333334)).toBe(450.3);
  });
});
