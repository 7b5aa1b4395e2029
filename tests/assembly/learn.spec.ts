import { Belief, MissedValve, Order, RowFault, Stuck, Valve, Wish } from '../../assembly/controller/generated/enums';
import {
  coefficients,
  detector,
  pairState,
  parameters,
  predictor,
  rowProbe,
  valveState,
} from '../../assembly/controller/generated/records';
import { learnAfterPulse, learnGain, prepareLearning } from '../../assembly/controller/learn';
import { rowAt } from '../../assembly/controller/row-records';
import { advancePair, forgetPosition } from '../../assembly/controller/valve-pair';
import { freshBank } from './fresh-bank';

/** A supply pulse that should have changed the pressure by `expectedKpa` at gain 1, due to be read. */
function pulsed(expectedKpa: f32): void {
  freshBank(1);
  pairState(0).learnWish = Wish.Raise;
  pairState(0).expectedKpa = expectedKpa;
  detector(0).frameSettled = 1;
  // 20 mL at 1/32 mL/kPa, 640 kPa, prove that a valve is stuck.
  parameters().proofMl = 20;
  rowProbe(0).compliance = 0.03125;
}

/** The same, of a pulse that seemed to pass no oil. */
function suspectPulse(expectedKpa: f32): void {
  pulsed(expectedKpa);
  pairState(0).suspectPulse = 1;
}

/** Reads it with a change of the residual. Returns the gain. */
function read(residualStepKpa: f32, conditions: u32): f32 {
  detector(0).residualStepKpa = residualStepKpa;
  rowProbe(0).conditions = conditions;
  learnAfterPulse(rowAt(0), parameters());
  return valveState(0, Valve.Supply).gain;
}

/** Another pulse of the same valve. */
function nextPulse(expectedKpa: f32): void {
  pairState(0).learnWish = Wish.Raise;
  pairState(0).expectedKpa = expectedKpa;
}

/** A pulse that passes nothing, and was suspect. */
function miss(expectedKpa: f32, isFirst: bool, hasNoVelocity: bool = false): void {
  if (isFirst) pulsed(expectedKpa);
  else nextPulse(expectedKpa);
  detector(0).noVelocityTicks = hasNoVelocity ? 1 : 0;
  pairState(0).suspectPulse = 1;
  read(-expectedKpa, 0);
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
  test('learns nothing from a step below 0.3 or above three times the expected one: that was the field', () => {
    pulsed(100);
    expect(read(-71, 0)).toBe(1);
    pulsed(100);
    expect(read(-69, 0) < 1).toBe(true, '0.31 of it');
    pulsed(100);
    expect(read(201, 0)).toBe(1);
    pulsed(100);
    expect(read(199, 0) > 1).toBe(true, '2.99 times');
  });
  test('learns nothing while a valve is suspect', () => {
    pulsed(100);
    detector(0).doubt = MissedValve.Return;
    expect(read(-50, 0)).toBe(1);
    expect(pairState(0).learnWish).toBe(Wish.Hold);
  });
  test('with an accelerometer, learns nothing while the velocity is not valid', () => {
    pulsed(100);
    parameters().accelerationFitted = 1;
    detector(0).noVelocityTicks = 1;
    expect(read(-50, 0)).toBe(1);
    pulsed(100);
    parameters().accelerationFitted = 0;
    detector(0).noVelocityTicks = 1;
    expect(read(-50, 0) < 0.9).toBe(true, 'without one');
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

describe('a pulse that seemed to pass no oil', () => {
  test('has missed its stroke if the settled pressure shows less than 0.35 of its effect', () => {
    suspectPulse(100);
    expect(read(-66, 0)).toBe(1, 'nothing is learned');
    expect(detector(0).missedValve).toBe(MissedValve.Supply);
    expect(valveState(0, Valve.Supply).missedOpens).toBe(1);
    expect(valveState(0, Valve.Supply).missedMl).toBe(3.125);
    expect(pairState(0).suspectPulse).toBe(0);
  });
  test('its oil no longer counts as metered: all but what the pressure shows', () => {
    suspectPulse(100);
    predictor(0).meteredKpa = 100;
    detector(0).residualKpa = 2900;
    read(-80, 0);
    expect(predictor(0).meteredKpa).toBe(20);
    expect(detector(0).residualKpa).toBe(2980);
  });
  test('the return valve: oil that has not left', () => {
    suspectPulse(100);
    pairState(0).learnWish = Wish.Lower;
    predictor(0).meteredKpa = -100;
    read(100, 0);
    expect(predictor(0).meteredKpa).toBe(0);
    expect(detector(0).missedValve).toBe(MissedValve.Return);
    expect(valveState(0, Valve.Return).missedOpens).toBe(1);
    expect(valveState(0, Valve.Supply).missedOpens).toBe(0);
  });
  test('has passed it if the settled pressure shows 0.35 or more: the gain is learned', () => {
    suspectPulse(100);
    expect(read(-64, 0) < 1).toBe(true);
    expect(detector(0).missedValve).toBe(MissedValve.None);
    expect(valveState(0, Valve.Supply).missedOpens).toBe(0);
    expect(pairState(0).suspectPulse).toBe(0);
  });
  test('is not judged before the pressure has settled', () => {
    suspectPulse(100);
    pairState(0).settleTicks = 25;
    for (let tick = 0; tick < 25; tick++) read(-100, 0);
    expect(detector(0).missedValve).toBe(MissedValve.None);
    expect(pairState(0).suspectPulse).toBe(1);
    read(-100, 0);
    expect(detector(0).missedValve).toBe(MissedValve.Supply);
  });
  test('is not judged by an invalid pressure, and pulses may begin again', () => {
    suspectPulse(100);
    read(-100, RowFault.PressureRate);
    expect(detector(0).missedValve).toBe(MissedValve.None);
    expect(pairState(0).suspectPulse).toBe(0);
  });
  test('is forgotten if a loss of power has cut it off: the pair may open again once its valves are closed', () => {
    freshBank(1);
    const valve = valveState(0, Valve.Supply);
    pairState(0).suspectPulse = 1;
    pairState(0).openWish = Wish.Raise;
    valve.belief = Belief.Open;
    valve.coil = Order.Close;
    read(0, 0);
    expect(pairState(0).suspectPulse).toBe(1, 'while it lasts');
    forgetPosition(valve, false);
    advancePair(rowAt(0), coefficients());
    read(0, 0);
    expect(valve.belief).toBe(Belief.Unknown);
    expect(pairState(0).suspectPulse).toBe(0);
  });
});

describe('a valve whose pulses pass no oil', () => {
  test('is stuck closed after strokeTries pulses whose oil would have moved the pressure by the proof', () => {
    // Four of 160 kPa are 640 kPa.
    for (let count = 1; count <= 4; count++) {
      expect(valveState(0, Valve.Supply).stuck).toBe(Stuck.None);
      miss(160, count === 1);
    }
    expect(valveState(0, Valve.Supply).stuck).toBe(Stuck.Closed);
  });
  test('needs more pulses if they are short, until they add up to the proof', () => {
    // 127 kPa: 635 kPa after five
    for (let count = 1; count <= 5; count++) miss(127, count === 1);
    expect(valveState(0, Valve.Supply).missedOpens).toBe(5);
    expect(valveState(0, Valve.Supply).stuck).toBe(Stuck.None);
    miss(127, false);
    expect(valveState(0, Valve.Supply).stuck).toBe(Stuck.Closed);
  });
  test('needs strokeTries pulses even if each is a proof', () => {
    for (let count = 1; count <= 3; count++) miss(700, count === 1);
    expect(valveState(0, Valve.Supply).stuck).toBe(Stuck.None);
    miss(700, false);
    expect(valveState(0, Valve.Supply).stuck).toBe(Stuck.Closed);
  });
  test('without a velocity needs one and a half times proofMl: 960 kPa', () => {
    for (let count = 1; count <= 4; count++) {
      miss(239, count === 1, true);
    }
    expect(valveState(0, Valve.Supply).stuck).toBe(Stuck.None);
    miss(239, false, true);
    expect(valveState(0, Valve.Supply).stuck).toBe(Stuck.Closed);
  });
  test('starts again from 0 after a pulse with more than half of its effect', () => {
    miss(160, true);
    miss(160, false);
    nextPulse(100);
    read(-51, 0);
    expect(valveState(0, Valve.Supply).missedOpens).toBe(2);
    valveState(0, Valve.Supply).gain = 1;
    nextPulse(100);
    read(-49, 0);
    expect(valveState(0, Valve.Supply).missedOpens).toBe(0);
    expect(valveState(0, Valve.Supply).missedMl).toBe(0);
  });
  test('is no longer stuck after a trial pulse that has passed oil, but not after one that is too short to tell', () => {
    for (let count = 1; count <= 4; count++) miss(160, count === 1);
    valveState(0, Valve.Supply).gain = 1;
    nextPulse(49);
    read(0, 0);
    expect(valveState(0, Valve.Supply).stuck).toBe(Stuck.Closed);
    nextPulse(50);
    read(0, 0);
    expect(valveState(0, Valve.Supply).stuck).toBe(Stuck.None);
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
