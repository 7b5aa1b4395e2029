import { coefficients, loopState, parameters } from '../../assembly/controller/generated/records';
import { clamp, limitMax, limitMin, resumeLoadLoop, stepLoadLoop } from '../../assembly/controller/load-loop';
import { freshBank } from './fresh-bank';

describe('clamp', () => {
  test('keeps a value between its limits', () => {
    expect(clamp(4.9, 5, 7)).toBe(5);
    expect(clamp(5, 5, 7)).toBe(5);
    expect(clamp(6, 5, 7)).toBe(6);
    expect(clamp(7, 5, 7)).toBe(7);
    expect(clamp(7.1, 5, 7)).toBe(7);
    expect(clamp(Infinity, -5, 7)).toBe(7);
    expect(clamp(-Infinity, -5, 7)).toBe(-5);
  });
});

// Defaults at 1 kHz: 0.6 kPa/N, 3 kPa/(N·s) = 0.003 kPa/N per tick, 3000 kPa/s = 3 kPa per tick,
// floor 1200 - 101.325 + 100 = 1198.675 kPa.
function begin(setPointKpa: f32, errorN: f32): void {
  freshBank(1);
  parameters().integralDeadbandN = 0;
  loopState(0).setPointKpa = setPointKpa;
  resumeLoadLoop(loopState(0), errorN, parameters());
}

function step(errorN: f32, ticks: i32 = 1): f32 {
  for (let tick = 0; tick < ticks; tick++) stepLoadLoop(loopState(0), errorN, 12000, parameters(), coefficients());
  return loopState(0).setPointKpa;
}

describe('the load loop', () => {
  test('does not move without an error', () => {
    begin(2000, 0);
    expect(step(0, 1000)).toBe(2000);
  });
  test('resumes from the present set point, whatever the error is, and integrates', () => {
    begin(2000, 100);
    expect(step(100)).toBeCloseTo(2000.3, 3);
    begin(2000, -100);
    expect(step(-100)).toBeCloseTo(1999.7, 3);
  });
  test('integrates only errors beyond integralDeadbandN', () => {
    begin(2000, 20);
    parameters().integralDeadbandN = 20;
    expect(step(20, 100)).toBe(2000);
    begin(2000, 60);
    parameters().integralDeadbandN = 20;
    // 40 N · 0.003 kPa/N
    expect(step(60)).toBeCloseTo(2000.12, 3);
    begin(2000, -60);
    parameters().integralDeadbandN = 20;
    expect(step(-60)).toBeCloseTo(1999.88, 3);
  });
  test('follows a change of the error by the proportional gain', () => {
    begin(2000, 0);
    expect(step(2)).toBeCloseTo(2001.206, 3);
    begin(2000, 2);
    expect(step(0)).toBeCloseTo(1998.8, 3);
  });
  test('moves no faster than the rate limit, in both directions', () => {
    begin(2000, 0);
    expect(step(1000)).toBe(2003);
    expect(step(-1000)).toBe(2000);
    begin(2000, 0);
    expect(step(Infinity)).toBe(2003);
  });
  test('reaches the whole proportional part of a step despite the rate limit, and returns', () => {
    begin(2000, 0);
    // 100 N are 60 kPa: 20 ticks at 3 kPa, without integration.
    expect(step(100, 20)).toBeCloseTo(2060, 2);
    expect(step(100, 1)).toBeCloseTo(2060.3, 2);
    expect(step(0, 20)).toBeCloseTo(2000.3, 2);
    expect(step(0, 100)).toBeCloseTo(2000.3, 2);
  });
  test('stays between the floor and the highest pressure', () => {
    begin(11999, 0);
    expect(step(1000)).toBe(12000);
    begin(1200, 0);
    expect(step(-1000)).toBeCloseTo(1198.675, 3);
  });
  test('does not wind up at a limit: it leaves the limit in the first tick of the opposite sign', () => {
    begin(12000, 500);
    expect(step(500, 1000)).toBe(12000);
    expect(step(-100)).toBe(11997);
  });
});

describe('limitMin and limitMax', () => {
  test('return what max and min return for numbers', () => {
    // Every pair of these values, and the smallest differences: by the definition of min and max in WebAssembly.
    const values: StaticArray<f32> = [
      -f32.MAX_VALUE,
      -1.5,
      -f32.MIN_VALUE,
      0,
      f32.MIN_VALUE,
      1,
      1 + f32.EPSILON,
      f32.MAX_VALUE,
      <f32>Infinity,
    ];
    for (let one = 0; one < values.length; one++) {
      for (let other = 0; other < values.length; other++) {
        expect(limitMin(values[one], values[other])).toBe(max<f32>(values[one], values[other]));
        expect(limitMax(values[one], values[other])).toBe(min<f32>(values[one], values[other]));
      }
    }
    expect(reinterpret<u32>(limitMin(-0.0, 0))).toBe(0x80000000, 'a value of -0 is not below a limit of 0');
    expect(reinterpret<u32>(limitMin(-1, 0))).toBe(0);
  });
  test('keep NaN, so that it can end in a wish to hold', () => {
    expect(limitMin(NaN, 0)).toBeNaN();
    expect(limitMax(NaN, 0)).toBeNaN();
  });
});
