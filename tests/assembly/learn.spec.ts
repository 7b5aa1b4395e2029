import { Order, RowFault, Valve, Wish } from '../../assembly/controller/generated/enums';
import { detector, pairState, parameters, rowProbe, valveState } from '../../assembly/controller/generated/records';
import { learnAfterPulse, learnGain, prepareLearning } from '../../assembly/controller/learn';
import { rowAt } from '../../assembly/controller/row-records';
import { freshBank } from './fresh-bank';

/** A supply pulse that should have changed the pressure by `expectedKpa` at gain 1, due to be read. */
function pulsed(expectedKpa: f32): void {
  freshBank(1);
  pairState(0).learnWish = Wish.Raise;
  pairState(0).expectedKpa = expectedKpa;
}

/** Reads it with a change of the residual. Returns the gain. */
function read(residualStepKpa: f32, conditions: u32): f32 {
  detector(0).residualStepKpa = residualStepKpa;
  rowProbe(0).conditions = conditions;
  learnAfterPulse(rowAt(0), parameters());
  return valveState(0, Valve.Supply).gain;
}

describe('learnGain', () => {
  beforeEach(() => freshBank(1));
  // One step of recursive least squares by hand: P 0.0004, x 100, lambda 0.98: P·x = 0.04, K = 0.04/(0.98 + 4) =
  // 0.00803213; gain 1 + K·(50 - 100) = 0.598394; P = (0.0004 - K·0.04)/0.98 = 8.0321e-5.
  test('moves towards the measured value by the least-squares weight', () => {
    const valve = valveState(0, Valve.Supply);
    learnGain(valve, 50, 100, parameters());
    expect(valve.gain).toBeCloseTo(0.598394, 5);
    expect(valve.covariance).toBeCloseTo(0.000080321, 8);
  });
  test('does not change if the pulse had the predicted effect', () => {
    learnGain(valveState(0, Valve.Supply), 100, 100, parameters());
    expect(valveState(0, Valve.Supply).gain).toBe(1);
  });
  test('stays within gainMin and gainMax', () => {
    learnGain(valveState(0, Valve.Supply), -1e6, 100, parameters());
    expect(valveState(0, Valve.Supply).gain).toBeCloseTo(0.2, 6);
    freshBank(1);
    learnGain(valveState(0, Valve.Supply), 1e6, 100, parameters());
    expect(valveState(0, Valve.Supply).gain).toBe(4);
  });
  test('converges to the true gain within a dozen pulses', () => {
    for (let pulse = 0; pulse < 12; pulse++) learnGain(valveState(0, Valve.Supply), 62, 100, parameters());
    expect(valveState(0, Valve.Supply).gain).toBeCloseTo(0.62, 2);
  });
});

describe('learnAfterPulse', () => {
  test('measures 50 kPa of expected 100 kPa if the residual falls by 50 kPa', () => {
    pulsed(100);
    expect(read(-50, 0)).toBeCloseTo(0.598394, 5);
    expect(pairState(0).learnWish).toBe(Wish.Hold);
  });
  test('does not change the gain if the residual is unchanged', () => {
    pulsed(100);
    expect(read(0, 0)).toBe(1);
  });
  test('measures the return valve with the opposite sign: the residual rises if it passes too little', () => {
    pulsed(100);
    pairState(0).learnWish = Wish.Lower;
    read(50, 0);
    expect(valveState(0, Valve.Return).gain).toBeCloseTo(0.598394, 5);
    expect(valveState(0, Valve.Supply).gain).toBe(1);
  });
  test('waits until the pressure has settled', () => {
    pulsed(100);
    pairState(0).settleTicks = 2;
    expect(read(-50, 0)).toBe(1);
    expect(read(-50, 0)).toBe(1);
    expect(read(-50, 0) < 0.9).toBe(true, 'two ticks later');
  });
  test('learns from a step of learnMinKpa and not below: 50 kPa', () => {
    pulsed(50);
    expect(read(-25, 0) < 0.9).toBe(true, '50 kPa');
    pulsed(49);
    expect(read(-25, 0)).toBe(1);
  });
  test('learns from a step of 20 times learnMinKpa and not above', () => {
    pulsed(1000);
    expect(read(-500, 0) < 0.9).toBe(true, '1000 kPa');
    pulsed(1001);
    expect(read(-500, 0)).toBe(1);
  });
  test('learns nothing from a pulse that is followed by another one', () => {
    pulsed(100);
    pairState(0).settleTicks = 2;
    pairState(0).openWish = Wish.Lower;
    expect(read(-50, 0)).toBe(1);
    expect(pairState(0).learnWish).toBe(Wish.Hold);
  });
  test('learns nothing while the pressure is invalid; the load may be invalid', () => {
    pulsed(100);
    expect(read(-50, RowFault.PressureRate)).toBe(1);
    pulsed(100);
    expect(read(-50, RowFault.LoadOpen) < 0.9).toBe(true);
  });
  test('learns nothing if gainLearning is off', () => {
    pulsed(100);
    parameters().gainLearning = 0;
    expect(read(-50, 0)).toBe(1);
  });
  test('adds up the expected effect of an open valve at gain 1: steps of 8 kPa at gain 0.8', () => {
    freshBank(1);
    valveState(0, Valve.Supply).gain = 0.8;
    rowProbe(0).supplyStepKpa = 8;
    pairState(0).flowWish = Wish.Raise;
    read(0, 0);
    read(0, 0);
    expect(pairState(0).expectedKpa).toBeCloseTo(20, 4);
  });
});

describe('prepareLearning', () => {
  beforeEach(() => freshBank(1));
  test('restarts the measurement while a valve waits to open', () => {
    valveState(0, Valve.Return).request = Order.Open;
    detector(0).residualStepKpa = 2500;
    pairState(0).expectedKpa = 7;
    prepareLearning(rowAt(0));
    expect(detector(0).residualStepKpa).toBe(0);
    expect(pairState(0).expectedKpa).toBe(0);
  });
  test('continues the measurement if no valve waits to open', () => {
    valveState(0, Valve.Supply).request = Order.Close;
    detector(0).residualStepKpa = 2500;
    prepareLearning(rowAt(0));
    expect(detector(0).residualStepKpa).toBe(2500);
  });
});
