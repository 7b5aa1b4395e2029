import { Order, RowFault, Wish } from '../../assembly/controller/generated/enums';
import { detector, pairState, parameters, rowProbe, valveState } from '../../assembly/controller/generated/records';
import { learnAfterPulse, learnGain, prepareLearning } from '../../assembly/controller/learn';
import { rowAt } from '../../assembly/controller/row-records';
import { freshBank } from './fresh-bank';

/** A supply pulse that should have given so much at gain 1, to be read now. */
function pulsed(expectedKpa: f32): void {
  freshBank(1);
  pairState(0).learnWish = Wish.Raise;
  pairState(0).expectedKpa = expectedKpa;
}

/** Reads it when the pressure without own pulses and motion has changed by `residualStepKpa`; returns the gain. */
function read(residualStepKpa: f32, conditions: u32): f32 {
  detector(0).residualStepKpa = residualStepKpa;
  rowProbe(0).conditions = conditions;
  learnAfterPulse(rowAt(0), parameters());
  return valveState(0, 0).gain;
}

describe('learnGain', () => {
  beforeEach(() => freshBank(1));
  // One step of recursive least squares by hand: P 0.0004, x 100, lambda 0.98: P·x = 0.04, K = 0.04/(0.98 + 4) =
  // 0.00803213; gain 1 + K·(50 - 100) = 0.598394; P = (0.0004 - K·0.04)/0.98 = 8.0321e-5.
  test('goes towards what was measured by the least-squares weight', () => {
    const valve = valveState(0, 0);
    learnGain(valve, 50, 100, parameters());
    expect(valve.gain).toBeCloseTo(0.598394, 5);
    expect(valve.covariance).toBeCloseTo(0.000080321, 8);
  });
  test('stays where it is when the pulse did as expected', () => {
    learnGain(valveState(0, 0), 100, 100, parameters());
    expect(valveState(0, 0).gain).toBe(1);
  });
  test('stays within gainMin and gainMax', () => {
    learnGain(valveState(0, 0), -1e6, 100, parameters());
    expect(valveState(0, 0).gain).toBeCloseTo(0.2, 6);
    freshBank(1);
    learnGain(valveState(0, 0), 1e6, 100, parameters());
    expect(valveState(0, 0).gain).toBe(4);
  });
  test('settles on the true gain after a dozen pulses', () => {
    for (let pulse = 0; pulse < 12; pulse++) learnGain(valveState(0, 0), 62, 100, parameters());
    expect(valveState(0, 0).gain).toBeCloseTo(0.62, 2);
  });
});

describe('learnAfterPulse', () => {
  test('reads 50 kPa where 100 kPa were expected: the rest has fallen by the other 50', () => {
    pulsed(100);
    expect(read(-50, 0)).toBeCloseTo(0.598394, 5);
    expect(pairState(0).learnWish).toBe(Wish.Hold);
  });
  test('learns nothing new when the rest stays where it was', () => {
    pulsed(100);
    expect(read(0, 0)).toBe(1);
  });
  test('reads the return valve with the other sign: too little let out leaves the rest higher', () => {
    pulsed(100);
    pairState(0).learnWish = Wish.Lower;
    read(50, 0);
    expect(valveState(0, 1).gain).toBeCloseTo(0.598394, 5);
    expect(valveState(0, 0).gain).toBe(1);
  });
  test('waits until the pressure has settled', () => {
    pulsed(100);
    pairState(0).settleTicks = 2;
    expect(read(-50, 0)).toBe(1);
    expect(read(-50, 0)).toBe(1);
    expect(read(-50, 0) < 0.9).toBe(true, 'two ticks later');
  });
  test('learns from a step on the least limit and not below: 50 kPa', () => {
    pulsed(50);
    expect(read(-25, 0) < 0.9).toBe(true, '50 kPa');
    pulsed(49);
    expect(read(-25, 0)).toBe(1);
  });
  test('learns from a step on the most and not above: 20 times 50 kPa', () => {
    pulsed(1000);
    expect(read(-500, 0) < 0.9).toBe(true, '1000 kPa');
    pulsed(1001);
    expect(read(-500, 0)).toBe(1);
  });
  test('learns nothing from a pulse that another one follows', () => {
    pulsed(100);
    pairState(0).settleTicks = 2;
    pairState(0).openWish = Wish.Lower;
    expect(read(-50, 0)).toBe(1);
    expect(pairState(0).learnWish).toBe(Wish.Hold);
  });
  test('learns nothing while the pressure is in doubt, and does not care for the load', () => {
    pulsed(100);
    expect(read(-50, RowFault.PressureRate)).toBe(1);
    pulsed(100);
    expect(read(-50, RowFault.LoadOpen) < 0.9).toBe(true);
  });
  test('learns nothing when learning is off', () => {
    pulsed(100);
    parameters().gainLearning = 0;
    expect(read(-50, 0)).toBe(1);
  });
  test('adds up what a flowing valve should give at gain 1: steps of 8 kPa at gain 0.8', () => {
    freshBank(1);
    valveState(0, 0).gain = 0.8;
    rowProbe(0).supplyStepKpa = 8;
    pairState(0).flowWish = Wish.Raise;
    read(0, 0);
    read(0, 0);
    expect(pairState(0).expectedKpa).toBeCloseTo(20, 4);
  });
});

describe('prepareLearning', () => {
  beforeEach(() => freshBank(1));
  test('counts what the rest changes by from 0 while a valve waits to open', () => {
    valveState(0, 1).request = Order.Open;
    detector(0).residualStepKpa = 2500;
    pairState(0).expectedKpa = 7;
    prepareLearning(rowAt(0));
    expect(detector(0).residualStepKpa).toBe(0);
    expect(pairState(0).expectedKpa).toBe(0);
  });
  test('counts on when no valve waits to open', () => {
    valveState(0, 0).request = Order.Close;
    detector(0).residualStepKpa = 2500;
    prepareLearning(rowAt(0));
    expect(detector(0).residualStepKpa).toBe(2500);
  });
});
