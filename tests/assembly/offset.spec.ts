import { coefficients, offsetState, parameters } from '../../assembly/controller/generated/records';
import { restartOffset, updateOffset } from '../../assembly/controller/offset';
import { freshBank } from './fresh-bank';

/** 5 Hz at 1 kHz: 0.0314159/1.0314159. */
const LAG_WEIGHT = 0.030459;

/** Wheels that bounce every 400 ms: 160 ms off the ground, then up to 1200 N. */
function bouncingN(ms: i32): f64 {
  const phase = ms % 400;
  return phase < 160 ? 0 : 1200 * Math.sin((Math.PI * (phase - 160)) / 240);
}

let sensedN: f64 = 0;

/** One tick with this true load. */
function read(trueN: f64, offsetN: f64): void {
  sensedN += LAG_WEIGHT * (trueN - sensedN);
  updateOffset(offsetState(0), <f32>(sensedN + offsetN), true, parameters(), coefficients());
}

function bounce(ms: i32, offsetN: f64): f32 {
  for (let at = 0; at < ms; at++) read(bouncingN(at), offsetN);
  return offsetState(0).offsetN;
}

/** A load that swings around 1.2 times its amplitude for a minute: it never reaches 0. */
function swing(hertz: f64, amplitudeN: f64): f32 {
  for (let at = 0; at < 60000; at++) read(amplitudeN * (1.2 - Math.cos(2 * Math.PI * hertz * <f64>at * 0.001)), 200);
  return offsetState(0).offsetN;
}

describe('updateOffset', () => {
  beforeEach(() => {
    freshBank(1);
    sensedN = 0;
  });
  test('finds an offset of either sign within a few lift-offs', () => {
    const high = bounce(4000, 250);
    expect(high).toBeGreaterThan(235);
    expect(high).toBeLessThan(285);
    freshBank(1);
    const low = bounce(4000, -250);
    expect(low).toBeGreaterThan(-265);
    expect(low).toBeLessThan(-215);
  });
  test('takes no offset for one that a good zero may leave', () => {
    expect(bounce(20000, 60)).toBe(0);
    expect(bounce(20000, -50)).toBe(0);
  });
  test('takes no swinging load for lift-offs, however fast and large', () => {
    for (let hertz: f64 = 2.5; hertz < 9; hertz += 0.5)
      for (let amplitudeN: f64 = 100; amplitudeN <= 1600; amplitudeN *= 2) {
        freshBank(1);
        sensedN = 0;
        expect(swing(hertz, amplitudeN)).toBe(0);
      }
  });
  test('takes no steps of a quiet load for lift-offs', () => {
    for (let at = 0; at < 60000; at++) read(at % 4000 < 2000 ? 450 : 900, 0);
    expect(offsetState(0).offsetN).toBe(0);
  });
  test('finds a reading below zero after 15 ms, not before', () => {
    for (let at = 0; at < 14; at++) updateOffset(offsetState(0), -61, true, parameters(), coefficients());
    expect(offsetState(0).offsetN).toBe(0);
    updateOffset(offsetState(0), -61, true, parameters(), coefficients());
    expect(offsetState(0).offsetN).toBe(-61);
  });
  test('forgets an offset once lift-offs show none', () => {
    bounce(4000, 250);
    expect(bounce(12000, 0)).toBe(0);
  });
  test('looks at no invalid load', () => {
    for (let at = 0; at < 1000; at++) updateOffset(offsetState(0), -400, false, parameters(), coefficients());
    expect(offsetState(0).offsetN).toBe(0);
  });
  test('starts again with a good zero', () => {
    bounce(4000, 250);
    restartOffset(offsetState(0));
    expect(offsetState(0).offsetN).toBe(0);
    expect(offsetState(0).liftOffs).toBe(0);
  });
});
