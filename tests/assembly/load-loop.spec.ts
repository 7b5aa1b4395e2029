import { coefficients, loopState, parameters } from '../../assembly/controller/generated/records';
import { clamp, resumeLoadLoop, stepLoadLoop } from '../../assembly/controller/load-loop';
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

// Defaults at 1 kHz: 0.6 kPa/N, 3 kPa/(N·s) = 0.003 kPa/N a tick, 3000 kPa/s = 3 kPa a tick,
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
  test('stays where it is without an error', () => {
    begin(2000, 0);
    expect(step(0, 1000)).toBe(2000);
  });
  test('goes on from the set point that stands, whatever the error, and integrates', () => {
    begin(2000, 100);
    expect(step(100)).toBeCloseTo(2000.3, 3);
    begin(2000, -100);
    expect(step(-100)).toBeCloseTo(1999.7, 3);
  });
  test('integrates only what is beyond integralDeadbandN', () => {
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
  test('follows the error’s change by the proportional gain', () => {
    begin(2000, 0);
    expect(step(2)).toBeCloseTo(2001.206, 3);
    begin(2000, 2);
    expect(step(0)).toBeCloseTo(1998.8, 3);
  });
  test('moves no faster than the rate limit, both ways', () => {
    begin(2000, 0);
    expect(step(1000)).toBe(2003);
    expect(step(-1000)).toBe(2000);
    begin(2000, 0);
    expect(step(Infinity)).toBe(2003);
  });
  test('gives the whole proportional part of a step that the rate limit held up, and takes it back', () => {
    begin(2000, 0);
    // 100 N ask for 60 kPa: 20 ticks at 3 kPa, the integral at rest meanwhile.
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
  test('does not wind up behind a limit: it comes off with the first tick of the other sign', () => {
    begin(12000, 500);
    expect(step(500, 1000)).toBe(12000);
    expect(step(-100)).toBe(11997);
  });
});
