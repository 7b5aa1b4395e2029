import { deadbandOf, followBudget, nextActing, updateNoise } from '../../assembly/controller/deadband';
import { Wish } from '../../assembly/controller/generated/enums';
import { bankState, coefficients, loopState, parameters } from '../../assembly/controller/generated/records';
import { freshBank } from './fresh-bank';

describe('nextActing', () => {
  // Deadband 40 N, inner edge at 30 N.
  test('starts outside the deadband and holds if the error equals it', () => {
    expect(nextActing(Wish.Hold, 40, 40, 30)).toBe(Wish.Hold);
    expect(nextActing(Wish.Hold, 40.01, 40, 30)).toBe(Wish.Raise);
    expect(nextActing(Wish.Hold, -40, 40, 30)).toBe(Wish.Hold);
    expect(nextActing(Wish.Hold, -40.01, 40, 30)).toBe(Wish.Lower);
    expect(nextActing(Wish.Hold, 0, 40, 30)).toBe(Wish.Hold);
  });
  test('continues until the error reaches the inner edge', () => {
    expect(nextActing(Wish.Raise, 30.01, 40, 30)).toBe(Wish.Raise);
    expect(nextActing(Wish.Raise, 30, 40, 30)).toBe(Wish.Hold);
    expect(nextActing(Wish.Lower, -30.01, 40, 30)).toBe(Wish.Lower);
    expect(nextActing(Wish.Lower, -30, 40, 30)).toBe(Wish.Hold);
  });
  test('uses the outer edge in the other direction', () => {
    expect(nextActing(Wish.Raise, -39, 40, 30)).toBe(Wish.Hold);
    expect(nextActing(Wish.Raise, -40.01, 40, 30)).toBe(Wish.Lower);
    expect(nextActing(Wish.Lower, 39, 40, 30)).toBe(Wish.Hold);
    expect(nextActing(Wish.Lower, 40.01, 40, 30)).toBe(Wish.Raise);
  });
  test('has one edge without hysteresis', () => {
    expect(nextActing(Wish.Raise, 40, 40, 40)).toBe(Wish.Hold);
    expect(nextActing(Wish.Raise, 40.01, 40, 40)).toBe(Wish.Raise);
  });
  test('holds if error, deadband or inner edge is NaN', () => {
    expect(nextActing(Wish.Raise, NaN, 40, 30)).toBe(Wish.Hold);
    expect(nextActing(Wish.Lower, NaN, 40, 30)).toBe(Wish.Hold);
    expect(nextActing(Wish.Hold, 1000, NaN, NaN)).toBe(Wish.Hold);
    expect(nextActing(Wish.Hold, -1000, NaN, NaN)).toBe(Wish.Hold);
    expect(nextActing(Wish.Raise, 35, 40, NaN)).toBe(Wish.Hold);
  });
});

describe('deadbandOf', () => {
  beforeEach(() => freshBank(1));
  test('is the fixed width, whatever the noise is', () => {
    parameters().deadbandMode = 0;
    parameters().deadbandN = 40;
    expect(deadbandOf(0, parameters())).toBe(40);
    expect(deadbandOf(500, parameters())).toBe(40);
  });
  test('is 2.2 sigma between 18 and 130 N in mode noise', () => {
    parameters().deadbandMode = 1;
    expect(deadbandOf(0, parameters())).toBe(18);
    expect(deadbandOf(8, parameters())).toBe(18, '17.6 N is below the minimum');
    expect(deadbandOf(20, parameters())).toBeCloseTo(44, 3);
    expect(deadbandOf(60, parameters())).toBe(130, '132 N is above the maximum');
  });
});

describe('updateNoise', () => {
  beforeEach(() => freshBank(1));
  // At 1 kHz: slow weight w = 2π·0.3·0.001/(1 + 2π·0.3·0.001) = 0.00188141, noise weight v = 0.001/5.001 = 0.00019996.
  // From rest with 100 N: mean 0.188141 N, distance 99.811859 N, variance v·9962.407 = 1.992083 N².
  test('starts at the noise for the largest deadband: deadbandMaxN over deadbandSigmas', () => {
    // 130 N / 2.2
    expect(sqrt<f32>(loopState(0).varianceN2)).toBeCloseTo(59.0909, 3);
  });
  test('computes mean and variance of the first tick', () => {
    const loop = loopState(0);
    loop.varianceN2 = 0;
    updateNoise(loop, 100, coefficients());
    expect(loop.slowErrorN).toBeCloseTo(0.188141, 5);
    expect(loop.varianceN2).toBeCloseTo(1.992083, 4);
  });
  test('measures ±10 N about a constant error of 200 N as a noise of 10 N', () => {
    const loop = loopState(0);
    for (let tick = 0; tick < 60000; tick++) updateNoise(loop, (tick & 1) !== 0 ? 210 : 190, coefficients());
    expect(sqrt<f32>(loop.varianceN2)).toBeCloseTo(10, 1);
    expect(loop.slowErrorN).toBeCloseTo(200, 0);
  });
});

describe('followBudget', () => {
  beforeEach(() => {
    freshBank(2);
    parameters().pulsesPerMinBudget = 100;
  });
  // Compared every 10 ms, so 20 s and 10 s have weights of 0.0005 and 0.001. One pulse in 10 ms of two rows are 3000 per minute and row.
  test('takes the slow mean of the pulse rate of a row', () => {
    bankState().pulses = 1;
    followBudget(bankState(), parameters(), coefficients());
    expect(bankState().pulsesPerMin).toBeCloseTo(1.5, 4);
    expect(bankState().pulses).toBe(0);
    followBudget(bankState(), parameters(), coefficients());
    // 1.5·(1 − 0.0005)
    expect(bankState().pulsesPerMin).toBeCloseTo(1.49925, 5);
  });
  test('leaves the deadbands alone within the budget', () => {
    bankState().pulsesPerMin = 99;
    followBudget(bankState(), parameters(), coefficients());
    expect(bankState().deadbandScale).toBe(1);
  });
  test('widens them with the excess, and narrows them again', () => {
    bankState().pulsesPerMin = 200;
    followBudget(bankState(), parameters(), coefficients());
    // 199.9 per minute are an excess of 0.999: 1 + 0.001·0.999
    expect(bankState().deadbandScale).toBeCloseTo(1.000999, 6);
    bankState().pulsesPerMin = 0;
    followBudget(bankState(), parameters(), coefficients());
    expect(bankState().deadbandScale).toBe(1);
  });
  test('widens them fourfold at most', () => {
    bankState().deadbandScale = 3.9999;
    bankState().pulsesPerMin = 5000;
    followBudget(bankState(), parameters(), coefficients());
    expect(bankState().deadbandScale).toBe(4);
  });
});
