import { coefficients, parameters } from '../../assembly/controller/generated/records';
import { clamp, nextSetPoint } from '../../assembly/controller/load-loop';
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
function next(setPointKpa: f32, errorN: f32, lastErrorN: f32): f32 {
  return nextSetPoint(setPointKpa, errorN, lastErrorN, 12000, parameters(), coefficients());
}

describe('nextSetPoint', () => {
  beforeEach(() => freshBank(1));
  test('stays where it is without an error', () => {
    expect(next(2000, 0, 0)).toBe(2000);
  });
  test('integrates a standing error, both ways', () => {
    expect(next(2000, 100, 100)).toBeCloseTo(2000.3, 3);
    expect(next(2000, -100, -100)).toBeCloseTo(1999.7, 3);
  });
  test('follows the error’s change by the proportional gain', () => {
    expect(next(2000, 2, 0)).toBeCloseTo(2001.206, 3);
    expect(next(2000, 0, 2)).toBeCloseTo(1998.8, 3);
  });
  test('moves no faster than the rate limit, both ways', () => {
    expect(next(2000, 1000, 0)).toBe(2003);
    expect(next(2000, -1000, 0)).toBe(1997);
    expect(next(2000, Infinity, 0)).toBe(2003);
  });
  test('stays between the floor and the highest pressure', () => {
    expect(next(11999, 1000, 0)).toBe(12000);
    expect(next(1200, -1000, 0)).toBeCloseTo(1198.675, 3);
  });
  test('does not wind up behind a limit: it comes off with the first tick of the other sign', () => {
    let setPointKpa: f32 = 12000;
    for (let tick = 0; tick < 1000; tick++) setPointKpa = next(setPointKpa, 500, 500);
    expect(setPointKpa).toBe(12000);
    expect(next(setPointKpa, -100, -100)).toBeCloseTo(11999.7, 2);
  });
});
