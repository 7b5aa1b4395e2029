import { ZeroResult } from '../../assembly/controller/generated/enums';
import { coefficients, parameters, zeroState } from '../../assembly/controller/generated/records';
import { judgeWindow, updateZero } from '../../assembly/controller/zero';
import { freshBank } from './fresh-bank';

// Defaults: liftSettleMs 600, zeroWindowMs 400, zeroSpreadN 60, zeroStepN 150, zeroLimitN 400; the frame is up at once.
function freshRow(): void {
  freshBank(1);
  coefficients().liftSettleTicks = 600;
}

/** Lifted for `ticks` ticks with a load of `loadN` ± `swingN`. */
function lift(ticks: i32, loadN: f32, swingN: f32, isLoadValid: bool): void {
  for (let tick = 0; tick < ticks; tick++) {
    const half: f32 = (tick & 1) !== 0 ? swingN : -swingN;
    updateZero(zeroState(0), loadN + half, isLoadValid, true, 0, parameters(), coefficients());
  }
}

function lower(): void {
  updateZero(zeroState(0), 700, true, false, 0, parameters(), coefficients());
}

describe('judgeWindow', () => {
  beforeEach(() => freshBank(1));
  test('accepts a spread at the limit and not above it', () => {
    expect(judgeWindow(0, 60, 0, true, parameters())).toBe(ZeroResult.Accepted);
    expect(judgeWindow(0, 60.01, 0, true, parameters())).toBe(ZeroResult.Noisy);
  });
  test('accepts a step at the limit and not above it, in both directions', () => {
    expect(judgeWindow(160, 0, 10, false, parameters())).toBe(ZeroResult.Accepted);
    expect(judgeWindow(160.1, 0, 10, false, parameters())).toBe(ZeroResult.Implausible);
    expect(judgeWindow(-140, 0, 10, false, parameters())).toBe(ZeroResult.Accepted);
    expect(judgeWindow(-140.1, 0, 10, false, parameters())).toBe(ZeroResult.Implausible);
  });
  test('compares the first zero only with the limit', () => {
    expect(judgeWindow(400, 0, 0, true, parameters())).toBe(ZeroResult.Accepted);
    expect(judgeWindow(-400, 0, 0, true, parameters())).toBe(ZeroResult.Accepted);
    expect(judgeWindow(400.1, 0, 0, true, parameters())).toBe(ZeroResult.Implausible);
    expect(judgeWindow(-400.1, 0, 0, true, parameters())).toBe(ZeroResult.Implausible);
  });
  test('refuses a zero near the last one but beyond the limit', () => {
    expect(judgeWindow(410, 0, 390, false, parameters())).toBe(ZeroResult.Implausible);
  });
  test('refuses NaN', () => {
    expect(judgeWindow(0, NaN, 0, true, parameters())).toBe(ZeroResult.Noisy);
    expect(judgeWindow(NaN, 0, 0, true, parameters())).toBe(ZeroResult.Implausible);
  });
});

describe('updateZero', () => {
  beforeEach(() => freshRow());
  test('accepts the mean of the first window after settling, in its last tick', () => {
    lift(999, 42, 5, true);
    expect(zeroState(0).result).toBe(ZeroResult.None);
    lift(1, 42, -5, true);
    expect(zeroState(0).result).toBe(ZeroResult.Accepted);
    expect(zeroState(0).zeroN).toBeCloseTo(42, 3);
  });
  test('accepts one zero per lift', () => {
    lift(1000, 42, 0, true);
    lift(1000, 90, 0, true);
    expect(zeroState(0).zeroN).toBe(42);
    lower();
    lift(1000, 90, 0, true);
    expect(zeroState(0).zeroN).toBe(90);
  });
  test('tries window after window until one is quiet', () => {
    lift(1000, 42, 40, true);
    expect(zeroState(0).result).toBe(ZeroResult.Noisy);
    expect(zeroState(0).zeroN).toBe(0);
    lift(400, 42, 1, true);
    expect(zeroState(0).result).toBe(ZeroResult.Accepted);
  });
  test('restarts the window after a tick without a valid load', () => {
    lift(900, 42, 0, true);
    lift(1, 42, 0, false);
    lift(399, 42, 0, true);
    expect(zeroState(0).result).toBe(ZeroResult.None);
    lift(1, 42, 0, true);
    expect(zeroState(0).result).toBe(ZeroResult.Accepted);
  });
  test('waits until the frame is up: liftS 2.5 s', () => {
    freshBank(1);
    lift(3499, 42, 0, true);
    expect(zeroState(0).result).toBe(ZeroResult.None);
    lift(1, 42, 0, true);
    expect(zeroState(0).result).toBe(ZeroResult.Accepted);
  });
  test('reports a refused window at the end of the lift, not before', () => {
    lift(1000, 42, 40, true);
    expect(zeroState(0).result).toBe(ZeroResult.Noisy);
    expect(zeroState(0).reported).toBe(ZeroResult.None);
    lower();
    expect(zeroState(0).reported).toBe(ZeroResult.Noisy);
  });
  test('reports nothing if a later window of the lift is accepted', () => {
    lift(1000, 42, 40, true);
    lift(400, 42, 1, true);
    lower();
    expect(zeroState(0).reported).toBe(ZeroResult.Accepted);
  });
  test('reports the fifth refused window of a long lift at once', () => {
    lift(600 + 4 * 400, 42, 40, true);
    expect(zeroState(0).reported).toBe(ZeroResult.None);
    lift(400, 42, 40, true);
    expect(zeroState(0).reported).toBe(ZeroResult.Noisy);
  });
  test('counts the refusals of each lift', () => {
    lift(600 + 4 * 400, 42, 40, true);
    lower();
    lift(1000, 42, 0, true);
    lower();
    lift(600 + 4 * 400, 42, 40, true);
    expect(zeroState(0).reported).toBe(ZeroResult.Accepted);
  });
  test('accepts a larger step by an offset that is known', () => {
    lift(1000, 42, 0, true);
    lower();
    let accepted = 0;
    for (let tick = 0; tick < 1000; tick++) {
      if (updateZero(zeroState(0), 290, true, true, 200, parameters(), coefficients())) accepted += 1;
    }
    expect(zeroState(0).zeroN).toBe(290);
    expect(accepted).toBe(1);
  });
  test('keeps the last zero if the rows are lowered within a window', () => {
    lift(999, 42, 0, true);
    lower();
    expect(zeroState(0).zeroN).toBe(0);
    expect(zeroState(0).ticks).toBe(0);
  });
});
