import { followDrift, isLeaking, modeOf, updateDetector } from '../../assembly/controller/detector';
import { Belief, DetectorMode, MissedValve, Order, PulseFault, Valve, Wish } from '../../assembly/controller/generated/enums';
import {
  coefficients,
  detector,
  pairState,
  parameters,
  predictor,
  rowProbe,
  valveState,
} from '../../assembly/controller/generated/records';
import { rowAt } from '../../assembly/controller/row-records';
import { advancePair, forgetPosition } from '../../assembly/controller/valve-pair';
import { freshBank } from './fresh-bank';

// Defaults at 1 kHz, ticks: stroke 2, settle 25, window 400, relatch 60,000, shortest pulse 3, no velocity 1500; 4 tries.
// In these specs the low-pass passes everything, a supply step is 40 kPa, a return step 20 kPa, the threshold 100 kPa (without a
// velocity 1000 kPa, suspicion from 200 kPa), the compliance 1/32 mL/kPa; the pressure is 3000 kPa, both valves closed for 10 ticks.
//   closed    a rise grows by drift − 16 kPa, a fall by −drift − 8 kPa
//   raising   a fall grows by −drift − 30 kPa
//   lowering  a rise grows by drift − 15 kPa

const SUPPLY_STEP_KPA: f32 = 40;
const RETURN_STEP_KPA: f32 = 20;

/** One tick of the detector. */
function see(isPressureValid: bool, isAccelerationValid: bool, isSignificant: bool, isFrameSettled: bool = true): void {
  updateDetector(rowAt(0), isPressureValid, isAccelerationValid, isSignificant, isFrameSettled, parameters(), coefficients());
}

function settled(): void {
  freshBank(1);
  coefficients().detectorWeight = 1;
  parameters().missedKpa = 100;
  const probe = rowProbe(0);
  probe.pressureRawKpa = 3000;
  probe.supplyStepKpa = SUPPLY_STEP_KPA;
  probe.returnStepKpa = RETURN_STEP_KPA;
  probe.compliance = 0.03125;
  for (let index = 0; index < 2; index++) {
    valveState(index >> 1, index & 1).belief = Belief.Closed;
    valveState(index >> 1, index & 1).quietTicks = 10;
  }
  see(true, true, true);
}

/** The pressure drifts by `kpa` per tick. Returns the tick, from 1, in which a missed stroke is found, or 0. */
function drift(kpa: f32, ticks: i32, isAcceleration: bool): i32 {
  for (let tick = 1; tick <= ticks; tick++) {
    rowProbe(0).pressureRawKpa += kpa;
    see(true, isAcceleration, true);
    if (detector(0).missedValve !== MissedValve.None) return tick;
  }
  return 0;
}

/** A valve is believed open and meters oil, while the pressure changes by `kpa` per tick. Returns as drift() does. */
function pulse(wish: u8, kpa: f32, ticks: i32): i32 {
  pairState(0).openWish = wish;
  pairState(0).flowWish = wish;
  valveState(0, wish === Wish.Raise ? Valve.Supply : Valve.Return).belief = Belief.Open;
  for (let tick = 1; tick <= ticks; tick++) {
    predictor(0).meteredKpa += wish === Wish.Raise ? SUPPLY_STEP_KPA : -RETURN_STEP_KPA;
    rowProbe(0).meteredKpa = predictor(0).meteredKpa;
    rowProbe(0).pressureRawKpa += kpa;
    see(true, true, true);
    if (detector(0).missedValve !== MissedValve.None) return tick;
  }
  return 0;
}

function mode(): u8 {
  return modeOf(rowAt(0), coefficients());
}

describe('modeOf', () => {
  beforeEach(settled);
  test('is the direction of flow, whatever the coils do', () => {
    pairState(0).openWish = Wish.Raise;
    pairState(0).flowWish = Wish.Raise;
    expect(mode()).toBe(DetectorMode.Raising);
    valveState(0, Valve.Supply).coil = Order.Close;
    valveState(0, Valve.Supply).quietTicks = 0;
    expect(mode()).toBe(DetectorMode.Raising);
    pairState(0).openWish = Wish.Lower;
    pairState(0).flowWish = Wish.Lower;
    expect(mode()).toBe(DetectorMode.Lowering);
  });
  test('is off during an opening stroke', () => {
    pairState(0).openWish = Wish.Raise;
    expect(mode()).toBe(DetectorMode.Off);
  });
  test('is off while a coil is driven', () => {
    valveState(0, Valve.Supply).coil = Order.Close;
    expect(mode()).toBe(DetectorMode.Off);
    valveState(0, Valve.Supply).coil = Order.None;
    valveState(0, Valve.Return).coil = Order.Close;
    expect(mode()).toBe(DetectorMode.Off);
  });
  test('is off until a tick after a stroke of either valve', () => {
    valveState(0, Valve.Supply).quietTicks = 2;
    expect(mode()).toBe(DetectorMode.Off);
    valveState(0, Valve.Supply).quietTicks = 3;
    expect(mode()).toBe(DetectorMode.Closed);
    valveState(0, Valve.Return).quietTicks = 2;
    expect(mode()).toBe(DetectorMode.Off);
  });
  test('is closed otherwise', () => {
    expect(mode()).toBe(DetectorMode.Closed);
  });
});

describe('with both valves believed closed', () => {
  beforeEach(settled);
  test('nothing is found without drift', () => {
    expect(drift(0, 1000, true)).toBe(0);
    expect(rowProbe(0).cusumUpKpa).toBe(0);
    expect(rowProbe(0).cusumDownKpa).toBe(0);
    expect(detector(0).residualStepKpa).toBe(0);
  });
  test('tolerated drift is never a missed stroke', () => {
    // 0.4·40 up, 0.4·20 down
    expect(drift(16, 300, true)).toBe(0);
    expect(rowProbe(0).cusumUpKpa).toBe(0);
    expect(drift(-8, 300, true)).toBe(0);
    expect(rowProbe(0).cusumDownKpa).toBe(0);
  });
  test('a rise by the supply step reveals the supply valve once it exceeds the threshold', () => {
    // 24 kPa per tick: 96 after four, 120 after five
    expect(drift(40, 4, true)).toBe(0);
    expect(rowProbe(0).cusumUpKpa).toBe(96);
    expect(drift(40, 1, true)).toBe(1);
    expect(detector(0).missedValve).toBe(MissedValve.Supply);
  });
  test('the valve is believed open, and for long enough to be closed at once', () => {
    drift(40, 5, true);
    expect(valveState(0, Valve.Supply).belief).toBe(Belief.Open);
    expect(valveState(0, Valve.Supply).openTicks).toBe(3);
    expect(valveState(0, Valve.Supply).missedCloses).toBe(1);
    expect(valveState(0, Valve.Supply).stuck).toBe(0);
    expect(pairState(0).pulseFault).toBe(1);
    expect(valveState(0, Valve.Return).belief).toBe(Belief.Closed);
    expect(valveState(0, Valve.Return).missedCloses).toBe(0);
  });
  test('the oil that has flowed becomes metered oil, with that of the tick which the median does not show yet', () => {
    drift(40, 5, true);
    expect(predictor(0).meteredKpa).toBe(240);
    expect(detector(0).residualKpa).toBe(3000);
  });
  test('a later rise is measured from where it began', () => {
    drift(10, 10, true);
    expect(drift(40, 5, true)).toBe(5);
    expect(detector(0).residualKpa).toBe(3100);
    expect(predictor(0).meteredKpa).toBe(240);
  });
  test('a fall by the return step reveals the return valve', () => {
    // 12 kPa per tick: 96 after eight, 108 after nine; metered −9·20 − 20
    expect(drift(-20, 100, true)).toBe(9);
    expect(detector(0).missedValve).toBe(MissedValve.Return);
    expect(valveState(0, Valve.Return).belief).toBe(Belief.Open);
    expect(valveState(0, Valve.Return).missedCloses).toBe(1);
    expect(valveState(0, Valve.Supply).belief).toBe(Belief.Closed);
    expect(pairState(0).pulseFault).toBe(1);
    expect(predictor(0).meteredKpa).toBe(-200);
    expect(detector(0).residualKpa).toBe(3000);
  });
  test('a finding is reported for one tick only', () => {
    drift(40, 5, true);
    pairState(0).openWish = Wish.Raise;
    see(true, true, true);
    expect(detector(0).missedValve).toBe(MissedValve.None);
  });
});

describe('a valve believed closed', () => {
  beforeEach(settled);
  test('is checked for missedWindowTicks after its last stroke', () => {
    valveState(0, Valve.Supply).quietTicks = 400;
    expect(drift(40, 20, true)).toBe(0);
    valveState(0, Valve.Supply).quietTicks = 399;
    expect(drift(40, 1, true)).toBe(1);
  });
  test("is checked on its own: the other valve's last stroke does not count", () => {
    valveState(0, Valve.Return).quietTicks = 400;
    expect(drift(-20, 40, true)).toBe(0);
    expect(drift(40, 100, true)).toBe(5);
  });
  test('is not checked while it is stuck', () => {
    valveState(0, Valve.Supply).stuck = 1;
    expect(drift(40, 100, true)).toBe(0);
  });
  test('is not checked while the pressure is not significant', () => {
    for (let tick = 0; tick < 20; tick++) {
      rowProbe(0).pressureRawKpa += 40;
      see(true, true, false);
    }
    expect(detector(0).missedValve).toBe(MissedValve.None);
    expect(rowProbe(0).cusumUpKpa).toBe(0);
  });
  test('is checked again from the first valid pressure', () => {
    drift(40, 4, true);
    rowProbe(0).pressureRawKpa = 9000;
    see(false, true, true);
    expect(rowProbe(0).cusumUpKpa).toBe(0);
    see(true, true, true);
    expect(detector(0).residualKpa).toBe(9000);
    expect(rowProbe(0).cusumUpKpa).toBe(0);
  });
  test('needs twice the threshold for each miss in a row', () => {
    valveState(0, Valve.Supply).missedCloses = 1;
    // 200 kPa: 192 after eight, 216 after nine
    expect(drift(40, 100, true)).toBe(9);
    settled();
    valveState(0, Valve.Supply).missedCloses = 2;
    // 400 kPa: 384 after sixteen, 408 after seventeen
    expect(drift(40, 100, true)).toBe(17);
    expect(valveState(0, Valve.Supply).stuck).toBe(0);
  });
  test('is stuck after strokeTries misses in a row', () => {
    valveState(0, Valve.Supply).missedCloses = 3;
    // 800 kPa: 792 after 33, 816 after 34
    expect(drift(40, 100, true)).toBe(34);
    expect(valveState(0, Valve.Supply).missedCloses).toBe(4);
    expect(valveState(0, Valve.Supply).stuck).toBe(1);
  });
  test('is found at the same threshold after misses of the other valve', () => {
    valveState(0, Valve.Return).missedCloses = 3;
    expect(drift(40, 100, true)).toBe(5);
    expect(valveState(0, Valve.Supply).stuck).toBe(0);
    settled();
    valveState(0, Valve.Supply).missedCloses = 3;
    expect(drift(-20, 100, true)).toBe(9);
    expect(valveState(0, Valve.Return).stuck).toBe(0);
  });
});

describe('motion of the row', () => {
  beforeEach(() => {
    settled();
    coefficients().strokeVolumeMlPerMps = 0.25;
  });
  // A tick of 10 m/s²: 0.01 m/s, of which the high-pass removes 2π·0.1·0.001 = 0.000628319: 0.00999372 m/s, and by 0.25 mL per tick
  // and m/s and 1/32 mL/kPa 8 times as many kPa: 0.0799497.
  test('is removed from the drift', () => {
    rowProbe(0).accelerationMps2 = 10;
    rowProbe(0).pressureRawKpa = 3001;
    const driftKpa = followDrift(detector(0), rowProbe(0), true, true, coefficients());
    expect(detector(0).velocityMps).toBeCloseTo(0.01, 7);
    expect(detector(0).motionKpa).toBeCloseTo(0.0799497, 6);
    expect(driftKpa).toBeCloseTo(0.92005, 5);
    expect(detector(0).residualStepKpa).toBeCloseTo(0.92005, 5);
  });
  test('is removed from a rise with a margin of a tenth', () => {
    rowProbe(0).accelerationMps2 = 1000;
    drift(40, 1, true);
    // 40 − 7.99497 of motion − 16 allowed − 0.799497 of margin
    expect(rowProbe(0).cusumUpKpa).toBeCloseTo(15.205529, 3);
  });
  test('is not used with an invalid acceleration, and the velocity decays sixteen times as fast', () => {
    detector(0).velocityMps = 1;
    followDrift(detector(0), rowProbe(0), true, false, coefficients());
    expect(detector(0).motionKpa).toBe(0);
    // 1 − 16·0.000628319
    expect(detector(0).velocityMps).toBeCloseTo(0.9899469, 6);
  });
});

describe('without a valid acceleration', () => {
  beforeEach(settled);
  test('a valve gets another closing stroke on suspicion, and is still believed closed', () => {
    // 24 kPa per tick: 192 after eight, 216 after nine
    expect(drift(40, 8, false)).toBe(0);
    expect(valveState(0, Valve.Supply).suspected).toBe(0);
    expect(drift(40, 1, false)).toBe(0);
    expect(valveState(0, Valve.Supply).suspected).toBe(1);
    expect(valveState(0, Valve.Supply).repeats).toBe(1);
    expect(valveState(0, Valve.Supply).belief).toBe(Belief.Closed);
    expect(valveState(0, Valve.Supply).missedCloses).toBe(0);
    expect(valveState(0, Valve.Return).suspected).toBe(0);
    expect(pairState(0).pulseFault).toBe(0);
    expect(predictor(0).meteredKpa).toBe(0);
  });
  test('so does the return valve', () => {
    // 12 kPa per tick: 192 after sixteen, 204 after seventeen
    expect(drift(-20, 16, false)).toBe(0);
    expect(valveState(0, Valve.Return).suspected).toBe(0);
    expect(drift(-20, 1, false)).toBe(0);
    expect(valveState(0, Valve.Return).suspected).toBe(1);
    expect(valveState(0, Valve.Supply).suspected).toBe(0);
  });
  test('a rise beyond missedNoAccelKpa reveals the valve at once', () => {
    // 1000 kPa more than the tolerated 16 is at the threshold.
    expect(drift(1016, 1, false)).toBe(0);
    settled();
    expect(drift(1017, 1, false)).toBe(1);
    expect(valveState(0, Valve.Supply).belief).toBe(Belief.Open);
  });
  test('the velocity is not used for 1.5 s after an invalid reading', () => {
    drift(0, 1, false);
    expect(detector(0).noVelocityTicks).toBe(1500);
    drift(0, 1494, true);
    expect(drift(40, 5, true)).toBe(0, 'not in the 1499th tick');
    expect(detector(0).noVelocityTicks).toBe(1);
    // The sums restart: 96 kPa after four more ticks, 120 after five.
    expect(drift(40, 10, true)).toBe(5);
  });
});

describe('with a valve believed open', () => {
  beforeEach(settled);
  test('a supply valve that passes nothing is found, and its metered oil is subtracted', () => {
    // 10 kPa per tick: 100 after ten is not beyond the threshold, 110 after eleven is
    expect(pulse(Wish.Raise, 0, 10)).toBe(0);
    expect(predictor(0).meteredKpa).toBe(400);
    expect(rowProbe(0).cusumDownKpa).toBe(100);
    expect(pulse(Wish.Raise, 0, 1)).toBe(1);
    expect(detector(0).missedValve).toBe(MissedValve.Supply);
    expect(predictor(0).meteredKpa).toBe(0);
    expect(detector(0).residualKpa).toBe(3000);
  });
  test('the valve stays believed open, with a pulse fault', () => {
    pulse(Wish.Raise, 0, 11);
    expect(valveState(0, Valve.Supply).belief).toBe(Belief.Open);
    expect(valveState(0, Valve.Supply).missedOpens).toBe(1);
    expect(valveState(0, Valve.Supply).missedCloses).toBe(0);
    expect(pairState(0).pulseFault).toBe(PulseFault.MissedOpen);
  });
  test('a pulse with a fault is not found again', () => {
    pulse(Wish.Raise, 0, 11);
    expect(pulse(Wish.Raise, 0, 100)).toBe(0);
    expect(valveState(0, Valve.Supply).missedOpens).toBe(1);
  });
  test('a return valve that passes nothing is found', () => {
    // 5 kPa per tick: 100 after twenty, 105 after 21
    expect(pulse(Wish.Lower, 0, 100)).toBe(21);
    expect(detector(0).missedValve).toBe(MissedValve.Return);
    expect(valveState(0, Valve.Return).missedOpens).toBe(1);
    expect(valveState(0, Valve.Supply).missedOpens).toBe(0);
    expect(predictor(0).meteredKpa).toBe(0);
    expect(detector(0).residualKpa).toBe(3000);
  });
  test('only the metered oil of this pulse is subtracted', () => {
    pulse(Wish.Raise, 40, 5);
    pairState(0).openWish = Wish.Hold;
    pairState(0).flowWish = Wish.Hold;
    drift(0, 10, true);
    expect(pulse(Wish.Raise, 0, 100)).toBe(11);
    expect(predictor(0).meteredKpa).toBe(200);
  });
  test('a valve that passes the expected oil, or half of it, is not found', () => {
    expect(pulse(Wish.Raise, 40, 100)).toBe(0);
    settled();
    expect(pulse(Wish.Raise, 20, 100)).toBe(0);
    settled();
    expect(pulse(Wish.Lower, -10, 100)).toBe(0);
  });
  test('each miss in a row needs twice the threshold, and the valve is stuck after strokeTries', () => {
    // The pressure also falls by 100 kPa per tick: the sum grows by 140 − 30 = 110 kPa.
    valveState(0, Valve.Supply).missedOpens = 1;
    // 200 kPa: 220 after two
    expect(pulse(Wish.Raise, -100, 100)).toBe(2);
    expect(valveState(0, Valve.Supply).missedOpens).toBe(2);
    expect(valveState(0, Valve.Supply).stuck).toBe(0);
    settled();
    valveState(0, Valve.Supply).missedOpens = 3;
    // 800 kPa: 770 after seven, 880 after eight
    expect(pulse(Wish.Raise, -100, 100)).toBe(8);
    expect(valveState(0, Valve.Supply).missedOpens).toBe(4);
    expect(valveState(0, Valve.Supply).stuck).toBe(1);
  });
  test('a stuck valve is not checked', () => {
    valveState(0, Valve.Supply).stuck = 1;
    expect(pulse(Wish.Raise, 0, 100)).toBe(0);
  });
  test('a pulse of eight times missedKpa resets the count of misses', () => {
    valveState(0, Valve.Supply).missedOpens = 1;
    // 21 ticks make 840 kPa, of which the sum knows all but the last tick: 800; then 840.
    pulse(Wish.Raise, 40, 21);
    expect(valveState(0, Valve.Supply).missedOpens).toBe(1);
    pulse(Wish.Raise, 40, 1);
    expect(valveState(0, Valve.Supply).missedOpens).toBe(0);
  });
});

describe('leak', () => {
  beforeEach(() => {
    settled();
    // No missed stroke is found meanwhile.
    parameters().missedKpa = 2000;
    valveState(0, Valve.Supply).quietTicks = 26;
    valveState(0, Valve.Return).quietTicks = 26;
  });
  // 1/32 mL/kPa · 60,000 ticks per minute = 1875 mL/min for 1 kPa per tick; weight 0.001 s/20 s = 0.00005.
  test('is the slow mean of the drift, without what the gas loses as it cools', () => {
    drift(-100, 1, true);
    // The gas follows by 0.001/6.001 = 0.000166639: to 2999.983336 kPa; a share of 1 − 1/1.4 = 0.285714 of the other
    // 99.983336 kPa, by the same weight, is due to the gas: −0.004760 kPa. 0.00005·1875·(−100 − 0.004760)
    expect(detector(0).slowKpa).toBeCloseTo(2999.983336, 3);
    expect(rowProbe(0).leakMlPerMin).toBeCloseTo(-9.375446, 4);
  });
  test('is not measured before the pressure has settled', () => {
    valveState(0, Valve.Return).quietTicks = 25;
    drift(-100, 1, true);
    expect(rowProbe(0).leakMlPerMin).toBe(0);
  });
  test('is not measured within 500 kPa of the floor', () => {
    // 1200 − 101.325 + 100 = 1198.675 kPa
    detector(0).slowKpa = 1698;
    rowProbe(0).pressureRawKpa = 1698;
    drift(0, 1, true);
    expect(rowProbe(0).leakMlPerMin).toBe(0);
    detector(0).slowKpa = 1699;
    rowProbe(0).pressureRawKpa = 1699;
    drift(-1, 1, true);
    expect(rowProbe(0).leakMlPerMin < 0).toBe(true);
  });
  test('is not measured during pulses; metered oil has a separate mean', () => {
    pulse(Wish.Raise, 40, 1);
    // 0.00005·1875·40
    expect(detector(0).meteredMlPerMin).toBeCloseTo(3.75, 5);
    expect(rowProbe(0).leakMlPerMin).toBe(0);
    settled();
    pulse(Wish.Lower, -20, 1);
    expect(detector(0).meteredMlPerMin).toBeCloseTo(1.875, 5);
  });
});

describe('isLeaking', () => {
  beforeEach(() => freshBank(1));
  test('is true above 80 mL/min, in or out', () => {
    detector(0).leakMlPerMin = 80;
    expect(isLeaking(detector(0), parameters())).toBe(false);
    detector(0).leakMlPerMin = 80.01;
    expect(isLeaking(detector(0), parameters())).toBe(true);
    detector(0).leakMlPerMin = -80;
    expect(isLeaking(detector(0), parameters())).toBe(false);
    detector(0).leakMlPerMin = -80.01;
    expect(isLeaking(detector(0), parameters())).toBe(true);
  });
  test('tolerates a tenth of the metered oil', () => {
    detector(0).meteredMlPerMin = 300;
    detector(0).leakMlPerMin = 110;
    expect(isLeaking(detector(0), parameters())).toBe(false);
    detector(0).leakMlPerMin = 110.01;
    expect(isLeaking(detector(0), parameters())).toBe(true);
  });
});

describe('the sum of metered oil', () => {
  beforeEach(settled);
  test('restarts at 100,000 kPa, without a finding', () => {
    predictor(0).meteredKpa = 100000;
    rowProbe(0).meteredKpa = 100000;
    predictor(0).pressure1N = -1000;
    detector(0).residualKpa = 3000 - 100000;
    expect(drift(0, 3, true)).toBe(0);
    expect(predictor(0).meteredKpa).toBe(0);
    expect(detector(0).residualKpa).toBe(3000);
    // 0.220905 N/kPa · 100,000 kPa
    expect(predictor(0).pressure1N).toBeCloseTo(21090.5, 0);
    expect(detector(0).cusumUpKpa + detector(0).cusumDownKpa).toBe(0);
  });
  test('does not restart below', () => {
    predictor(0).meteredKpa = 99999;
    rowProbe(0).meteredKpa = 99999;
    detector(0).residualKpa = 3000 - 99999;
    expect(drift(0, 3, true)).toBe(0);
    expect(predictor(0).meteredKpa).toBe(99999);
  });
});

describe('a power loss during a pulse with a fault', () => {
  beforeEach(settled);
  test('clears the pulse fault: the pair may open again once its valves are closed', () => {
    const pair = pairState(0);
    pair.pulseFault = 1;
    valveState(0, Valve.Supply).belief = Belief.Open;
    valveState(0, Valve.Supply).coil = Order.Close;
    forgetPosition(valveState(0, Valve.Supply), false);
    advancePair(rowAt(0), coefficients());
    expect(valveState(0, Valve.Supply).belief).toBe(Belief.Unknown);
    expect(pair.pulseFault).toBe(0);
  });
});

describe('while the frame moves', () => {
  beforeEach(settled);
  test("the row's velocity is not used, whatever the accelerometer reads", () => {
    detector(0).velocityMps = 1;
    detector(0).smoothMps = 0;
    see(true, true, true, false);
    expect(detector(0).smoothMps).toBe(0);
    see(true, true, true, true);
    expect(detector(0).smoothMps > 0.9).toBe(true, 'once the frame has settled');
  });
});
