import { isLeaking, modeOf, updateDetector } from '../../assembly/controller/detector';
import { isChecked } from '../../assembly/controller/doubt';
import { followDrift } from '../../assembly/controller/drift';
import { Belief, DetectorMode, MissedValve, Order, Stuck, Valve, Wish } from '../../assembly/controller/generated/enums';
import {
  coefficients,
  detector,
  pairState,
  parameters,
  predictor,
  rowProbe,
  ValveState,
  valveState,
} from '../../assembly/controller/generated/records';
import { rowAt } from '../../assembly/controller/row-records';
import { advancePair, beginStroke, orderPair } from '../../assembly/controller/valve-pair';
import { freshBank } from './fresh-bank';

// Defaults at 1 kHz, ticks: stroke 2, settle 25, window 400, retry 1000, relatch 60,000, shortest pulse 3, no velocity 1500; 4 tries; a
// repeated close is judged by the drift from the 23rd to the 37th tick after it began.
// In these specs the low-pass passes everything, a supply step is 40 kPa, a return step 20 kPa, the threshold 100 kPa (without a
// velocity suspicion from 200 kPa), the compliance 1/32 mL/kPa, so that 20 mL, or 640 kPa, prove that a valve is stuck; the pressure is
// 3000 kPa, both valves closed for 10 ticks.
//   closed    a rise grows by drift − 16 kPa, a fall by −drift − 8 kPa
//   raising   a fall grows by −drift − 30 kPa
//   lowering  a rise grows by drift − 15 kPa

const SUPPLY_STEP_KPA: f32 = 40;
const RETURN_STEP_KPA: f32 = 20;

/** Whether the pressure is far from rail and return line. */
let isFar = true;

/** One tick of the detector of a row. */
function seeRow(
  index: i32,
  rows: i32,
  isPressureValid: bool,
  isAccelerationValid: bool,
  isSignificant: bool,
  isSettled: bool = true,
): void {
  const row = rowAt(index);
  updateDetector(row, rows, isPressureValid, isAccelerationValid, isSignificant, isFar, isSettled, parameters(), coefficients());
}

/** One tick of the detector of the only row. */
function see(isPressureValid: bool, isAccelerationValid: bool, isSignificant: bool, isFrameSettled: bool = true): void {
  seeRow(0, 1, isPressureValid, isAccelerationValid, isSignificant, isFrameSettled);
}

/** Rows with both valves believed closed. */
function settledRows(rows: i32): void {
  freshBank(rows);
  isFar = true;
  parameters().accelerationFitted = 1;
  coefficients().detectorWeight = 1;
  parameters().missedKpa = 100;
  parameters().proofMl = 20;
  for (let index = 0; index < rows; index++) {
    const probe = rowProbe(index);
    probe.pressureRawKpa = 3000;
    probe.supplyStepKpa = SUPPLY_STEP_KPA;
    probe.returnStepKpa = RETURN_STEP_KPA;
    probe.compliance = 0.03125;
    for (let which: u8 = 0; which < 2; which++) {
      valveState(index, which).belief = Belief.Closed;
      valveState(index, which).quietTicks = 10;
    }
  }
  for (let index = 0; index < rows; index++) seeRow(index, rows, true, true, true);
}

function settled(): void {
  settledRows(1);
}

function supply(): ValveState {
  return valveState(0, Valve.Supply);
}

function returnValve(): ValveState {
  return valveState(0, Valve.Return);
}

/** The pressure drifts by `kpa` per tick; no valve moves. Returns the tick, from 1, in which a valve becomes suspect, or 0. */
function drift(kpa: f32, ticks: i32, isAcceleration: bool = true): i32 {
  for (let tick = 1; tick <= ticks; tick++) {
    rowProbe(0).pressureRawKpa += kpa;
    see(true, isAcceleration, true);
    if (supply().suspected !== 0 || returnValve().suspected !== 0) return tick;
  }
  return 0;
}

/** Starts the stroke that a valve requests. */
function begin(valve: ValveState): void {
  if (valve.request !== Order.None) beginStroke(valve, coefficients());
}

/** The same, with strokes: requested ones begin at once. Returns the tick in which a missed stroke is found, or 0. */
function driftWithStrokes(kpa: f32, ticks: i32): i32 {
  let found: i32 = 0;
  for (let tick = 1; tick <= ticks; tick++) {
    advancePair(rowAt(0), coefficients());
    rowProbe(0).pressureRawKpa += kpa;
    rowProbe(0).meteredKpa = predictor(0).meteredKpa;
    see(true, true, true);
    if (found === 0 && detector(0).missedValve !== MissedValve.None) found = tick;
    orderPair(rowAt(0), Wish.Hold, false, coefficients());
    begin(supply());
    begin(returnValve());
  }
  return found;
}

/** A valve is believed open and meters oil, while the pressure changes by `kpa` per tick. Returns the tick in which the pulse becomes suspect. */
function pulse(wish: u8, kpa: f32, ticks: i32, isAcceleration: bool = true): i32 {
  pairState(0).openWish = wish;
  pairState(0).flowWish = wish;
  valveState(0, wish === Wish.Raise ? Valve.Supply : Valve.Return).belief = Belief.Open;
  for (let tick = 1; tick <= ticks; tick++) {
    predictor(0).meteredKpa += wish === Wish.Raise ? SUPPLY_STEP_KPA : -RETURN_STEP_KPA;
    rowProbe(0).meteredKpa = predictor(0).meteredKpa;
    rowProbe(0).pressureRawKpa += kpa;
    see(true, isAcceleration, true);
    if (pairState(0).suspectPulse !== 0) return tick;
  }
  return 0;
}

function endPulse(): void {
  pairState(0).openWish = Wish.Hold;
  pairState(0).flowWish = Wish.Hold;
  supply().belief = Belief.Closed;
  returnValve().belief = Belief.Closed;
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
  test('nothing is suspected without drift', () => {
    expect(drift(0, 1000)).toBe(0);
    expect(rowProbe(0).cusumUpKpa).toBe(0);
    expect(rowProbe(0).cusumDownKpa).toBe(0);
    expect(detector(0).residualStepKpa).toBe(0);
  });
  test('tolerated drift is never suspect', () => {
    // 0.4·40 up, 0.4·20 down
    expect(drift(16, 300)).toBe(0);
    expect(rowProbe(0).cusumUpKpa).toBe(0);
    expect(drift(-8, 300)).toBe(0);
    expect(rowProbe(0).cusumDownKpa).toBe(0);
  });
  test('a rise by the supply step makes the supply valve suspect once it exceeds the threshold', () => {
    // 24 kPa per tick: 96 after four, 120 after five
    expect(drift(40, 4)).toBe(0);
    expect(rowProbe(0).cusumUpKpa).toBe(96);
    expect(drift(40, 1)).toBe(1);
    expect(detector(0).doubt).toBe(MissedValve.Supply);
  });
  test('a fall by the return step makes the return valve suspect', () => {
    // 12 kPa per tick: 96 after eight, 108 after nine
    expect(drift(-20, 100)).toBe(9);
    expect(detector(0).doubt).toBe(MissedValve.Return);
    expect(returnValve().suspected).toBe(1);
    expect(supply().suspected).toBe(0);
  });
  test('a suspicion repeats the close and nothing else: it is neither reported nor believed yet', () => {
    drift(40, 5);
    expect(supply().suspected).toBe(1);
    expect(supply().repeats).toBe(1);
    expect(supply().belief).toBe(Belief.Closed);
    expect(supply().stuck).toBe(Stuck.None);
    expect(returnValve().suspected).toBe(0);
    expect(detector(0).missedValve).toBe(MissedValve.None);
    expect(predictor(0).meteredKpa).toBe(0);
  });
  test('no pulse begins until the suspicion is judged, 37 ticks after the repeated close', () => {
    driftWithStrokes(40, 5);
    let held = 0;
    for (let tick = 1; tick <= 37; tick++) {
      driftWithStrokes(0, 1);
      orderPair(rowAt(0), Wish.Lower, false, coefficients());
      if (returnValve().request === Order.None) held += 1;
      returnValve().request = Order.None;
    }
    expect(held).toBe(37);
    expect(detector(0).doubt).toBe(MissedValve.None);
    // The second tick of the rest that the last tick of the suspicion asked for has passed by then.
    for (let tick = 0; tick < 2; tick++) orderPair(rowAt(0), Wish.Lower, false, coefficients());
    expect(returnValve().request).toBe(Order.Open);
  });
});

describe('a suspected valve that was open', () => {
  beforeEach(settled);
  test('stops drifting with its second close: the miss is found when that is judged, and reported for one tick', () => {
    // Suspect in the fifth tick, closed two ticks later.
    expect(driftWithStrokes(40, 7)).toBe(0);
    expect(driftWithStrokes(0, 34)).toBe(0);
    expect(driftWithStrokes(0, 1)).toBe(1);
    expect(detector(0).missedValve).toBe(MissedValve.Supply);
    expect(detector(0).doubt).toBe(MissedValve.None);
    expect(supply().repeats).toBe(0);
    expect(supply().stuck).toBe(Stuck.None);
    see(true, true, true);
    expect(detector(0).missedValve).toBe(MissedValve.None);
  });
  test('its oil becomes metered oil', () => {
    driftWithStrokes(40, 7);
    driftWithStrokes(0, 35);
    // Seven ticks of 40 kPa.
    expect(predictor(0).meteredKpa).toBe(280);
    expect(detector(0).residualKpa).toBe(3000);
  });
  test('only what has drifted since the suspicious rise began is its oil', () => {
    driftWithStrokes(10, 5);
    driftWithStrokes(40, 7);
    driftWithStrokes(0, 35);
    expect(predictor(0).meteredKpa).toBe(280);
  });
  test('the return valve: its oil has left', () => {
    // Suspect in the ninth tick, closed two ticks later.
    expect(driftWithStrokes(-20, 11)).toBe(0);
    expect(driftWithStrokes(0, 35)).toBe(35);
    expect(detector(0).missedValve).toBe(MissedValve.Return);
    // Eleven ticks of 20 kPa.
    expect(predictor(0).meteredKpa).toBe(-220);
    expect(detector(0).residualKpa).toBe(3000);
  });
  test('the drift before the 23rd tick does not count: the low-pass has not shown the close yet', () => {
    // Closed in the seventh tick, 22 ticks after the stroke began in the 27th.
    driftWithStrokes(40, 27);
    expect(driftWithStrokes(0, 15)).toBe(15);
    expect(detector(0).missedValve).toBe(MissedValve.Supply);
  });
});

/** A rise of 30 kPa per tick is suspect after eight ticks: 8·14 = 112 kPa. Judged 37 ticks later, the drift has not changed enough. */
function suspectMotion(): i32 {
  return driftWithStrokes(30, 8) + driftWithStrokes(17, 37);
}

describe('motion that looked like an open valve', () => {
  beforeEach(settled);
  test('goes on after the repeated close: nothing is found, and the threshold rises by missedKpa', () => {
    expect(suspectMotion()).toBe(0);
    expect(detector(0).doubt).toBe(MissedValve.None);
    expect(supply().repeats).toBe(0);
    expect(supply().stuck).toBe(Stuck.None);
    expect(predictor(0).meteredKpa).toBe(0);
    expect(detector(0).noiseKpa).toBe(100);
  });
  test('the next suspicion needs the higher threshold', () => {
    suspectMotion();
    drift(0, 1);
    // 200 kPa less what is forgotten in eight ticks, 0.1 kPa: 192 after eight, 216 after nine
    expect(drift(40, 20)).toBe(9);
  });
  test('raises the threshold to five times missedKpa at most', () => {
    detector(0).noiseKpa = 350;
    // 450 kPa: 448 after 32 ticks of 14, 462 after 33
    driftWithStrokes(30, 33);
    expect(driftWithStrokes(17, 37)).toBe(0);
    expect(detector(0).doubt).toBe(MissedValve.None);
    expect(detector(0).noiseKpa).toBe(400);
  });
  test('is forgotten with a time constant of 10 s', () => {
    suspectMotion();
    drift(0, 10000);
    // 100·(1 − 1/10,000)^10,000 = 36.786
    expect(detector(0).noiseKpa).toBeCloseTo(36.786, 1);
  });
  test('ends the suspicion if it moves the pressure less than an open valve would have', () => {
    // 22 kPa per tick: 17·6 = 102 kPa; moved 17·22 of 17·40 kPa. Judged at 54·22 of 54·40 kPa, 0.55, and more than 640 kPa.
    expect(driftWithStrokes(22, 17 + 36)).toBe(0);
    expect(detector(0).doubt).toBe(MissedValve.Supply);
    expect(driftWithStrokes(22, 1)).toBe(0);
    expect(detector(0).doubt).toBe(MissedValve.None);
    expect(supply().stuck).toBe(Stuck.None);
  });
});

describe('a suspicion', () => {
  beforeEach(settled);
  test('goes on, but the valve is not stuck, while the pressure moves more than 1.7 times as fast as through an open valve', () => {
    driftWithStrokes(69, 500);
    expect(detector(0).doubt).toBe(MissedValve.Supply);
    expect(supply().stuck).toBe(Stuck.None);
    settled();
    // 63 kPa per tick: suspect after two, stuck four closes of 37 ticks later.
    expect(driftWithStrokes(67, 150)).toBe(150);
    expect(supply().stuck).toBe(Stuck.Open);
  });
  test('is dropped when the velocity becomes invalid: it may have been wrong before', () => {
    driftWithStrokes(40, 7);
    see(true, false, true);
    expect(detector(0).doubt).toBe(MissedValve.None);
    expect(detector(0).missedValve).toBe(MissedValve.None);
    expect(detector(0).noiseKpa).toBe(0);
  });
  test('of a stuck valve is not dropped', () => {
    driftWithStrokes(40, 153);
    see(true, false, true);
    expect(detector(0).doubt).toBe(MissedValve.Supply);
    expect(supply().stuck).toBe(Stuck.Open);
  });
});

describe('a drift that begins long after the close', () => {
  beforeEach(settled);
  test('repeats the close, but is not found: an open valve drifts from its close on', () => {
    // The valves were closed 10 ticks before; a drift from the 17th tick on is late.
    driftWithStrokes(0, 7);
    expect(driftWithStrokes(40, 7)).toBe(0);
    expect(supply().repeats).toBe(1);
    expect(driftWithStrokes(0, 35)).toBe(0);
    expect(detector(0).doubt).toBe(MissedValve.None);
    expect(detector(0).noiseKpa).toBe(100);
    expect(predictor(0).meteredKpa).toBe(0);
  });
  test('of the 16th tick is found', () => {
    driftWithStrokes(0, 6);
    driftWithStrokes(40, 7);
    expect(driftWithStrokes(0, 35)).toBe(35);
  });
  test('is found as a stuck valve if it goes on', () => {
    driftWithStrokes(0, 100);
    expect(driftWithStrokes(40, 153)).toBe(153);
    expect(supply().stuck).toBe(Stuck.Open);
  });
});

describe('a valve that stays open', () => {
  beforeEach(settled);
  test('is stuck after strokeTries repeated closes, 37 ticks each', () => {
    // 5 + 4·37 = 153
    expect(driftWithStrokes(40, 152)).toBe(0);
    expect(supply().repeats).toBe(4);
    expect(supply().stuck).toBe(Stuck.None);
    expect(driftWithStrokes(40, 1)).toBe(1);
    expect(supply().stuck).toBe(Stuck.Open);
    expect(supply().belief).toBe(Belief.Unknown);
    expect(returnValve().stuck).toBe(Stuck.None);
    expect(predictor(0).meteredKpa).toBe(153 * 40);
  });
  test('is stuck only once the pressure has moved as far as proofMl of oil move it', () => {
    parameters().proofMl = 500;
    // 500·32 = 16,000 kPa: 153 ticks after four tries, 400 needed
    expect(driftWithStrokes(40, 399)).toBe(0);
    expect(supply().stuck).toBe(Stuck.None);
    expect(driftWithStrokes(40, 1)).toBe(1);
    expect(supply().stuck).toBe(Stuck.Open);
  });
  test('gets no stroke while it waits for the proof, except after retryTicks', () => {
    parameters().proofMl = 500;
    rowProbe(0).compliance = 0.003125;
    driftWithStrokes(40, 152);
    expect(supply().repeats).toBe(4);
    // The fourth repeat began in tick 116; the fifth comes 1000 ticks later.
    driftWithStrokes(40, 963);
    expect(supply().repeats).toBe(4);
    driftWithStrokes(40, 1);
    expect(supply().repeats).toBe(5);
  });
});

describe('a suspected valve whose pressure has reached the rail', () => {
  beforeEach(() => {
    settled();
    driftWithStrokes(40, 7);
    // Less than a quarter of the return valve's.
    rowProbe(0).supplyStepKpa = 4;
  });
  test('stays suspect beyond its check, and no pulse begins', () => {
    for (let tick = 0; tick < 100; tick++) {
      driftWithStrokes(0, 1);
      expect(pairState(0).restTicks).toBeGreaterThan(0);
    }
    expect(detector(0).doubt).toBe(MissedValve.Supply);
  });
  test('is stuck after strokeTries closes there, because the pressure got there as through an open valve', () => {
    driftWithStrokes(0, 200);
    expect(supply().stuck).toBe(Stuck.Open);
  });
  test('without such a rise is closed every retryTicks and no longer suspect after twice strokeTries', () => {
    detector(0).movedMl = 0;
    driftWithStrokes(0, 6000);
    expect(detector(0).doubt).toBe(MissedValve.Supply);
    expect(supply().stuck).toBe(Stuck.None);
    driftWithStrokes(0, 2000);
    expect(detector(0).doubt).toBe(MissedValve.None);
  });
  test('is judged again once the pressure leaves the rail', () => {
    driftWithStrokes(0, 30);
    rowProbe(0).supplyStepKpa = SUPPLY_STEP_KPA;
    driftWithStrokes(0, 60);
    expect(detector(0).doubt).toBe(MissedValve.None);
    expect(supply().stuck).toBe(Stuck.None);
  });
});

describe('a valve that is stuck open', () => {
  beforeEach(() => {
    settled();
    driftWithStrokes(40, 153);
    driftWithStrokes(40, 1);
  });
  test('stays stuck while it moves the pressure', () => {
    driftWithStrokes(40, 2000);
    expect(supply().stuck).toBe(Stuck.Open);
  });
  test('is closed again once the pressure has stayed for eight proofs: 8·640 kPa are 128 ticks', () => {
    // The first tick still moved the pressure by 40 kPa.
    driftWithStrokes(0, 126);
    expect(supply().stuck).toBe(Stuck.Open);
    expect(supply().belief).toBe(Belief.Unknown);
    driftWithStrokes(0, 1);
    expect(supply().stuck).toBe(Stuck.None);
    expect(supply().belief).toBe(Belief.Closed);
    expect(detector(0).doubt).toBe(MissedValve.None);
  });
  test('may move by three tenths of what an open one would', () => {
    driftWithStrokes(11, 127);
    expect(supply().stuck).toBe(Stuck.None);
  });
  test('stays stuck if it moves more, and the next 128 ticks are judged on their own', () => {
    driftWithStrokes(13, 127);
    expect(supply().stuck).toBe(Stuck.Open);
    driftWithStrokes(0, 127);
    expect(supply().stuck).toBe(Stuck.Open);
    driftWithStrokes(0, 1);
    expect(supply().stuck).toBe(Stuck.None);
  });
  test('stays stuck near rail or return line, where an open one would not move the pressure', () => {
    isFar = false;
    driftWithStrokes(0, 1000);
    expect(supply().stuck).toBe(Stuck.Open);
    isFar = true;
    driftWithStrokes(0, 127);
    expect(supply().stuck).toBe(Stuck.Open);
    driftWithStrokes(0, 1);
    expect(supply().stuck).toBe(Stuck.None);
  });
  test('allows no pulse of its row', () => {
    orderPair(rowAt(0), Wish.Lower, false, coefficients());
    expect(returnValve().request).toBe(Order.None);
  });
});

describe('a valve believed closed', () => {
  beforeEach(settled);
  test('is checked long after its last stroke too', () => {
    supply().quietTicks = 10000;
    returnValve().quietTicks = 10000;
    expect(drift(40, 100)).toBe(5);
    expect(detector(0).isDoubtLate).toBe(1);
  });
  test('is not suspected of the oil that a pulse of the other one may not have passed, if it was closed long before', () => {
    pairState(0).learnWish = Wish.Raise;
    returnValve().quietTicks = 400;
    expect(drift(-20, 40)).toBe(0);
    settled();
    pairState(0).learnWish = Wish.Raise;
    expect(drift(-20, 40)).toBe(9);
  });
  test('is not checked while it is stuck', () => {
    supply().stuck = Stuck.Closed;
    expect(isChecked(supply(), coefficients())).toBe(false);
    expect(drift(40, 100)).toBe(0);
  });
  test('is not checked while the pressure is not significant', () => {
    for (let tick = 0; tick < 20; tick++) {
      rowProbe(0).pressureRawKpa += 40;
      see(true, true, false);
    }
    expect(supply().suspected).toBe(0);
    expect(rowProbe(0).cusumUpKpa).toBe(0);
  });
  test('is checked again from the first valid pressure', () => {
    drift(40, 4);
    rowProbe(0).pressureRawKpa = 9000;
    see(false, true, true);
    expect(rowProbe(0).cusumUpKpa).toBe(0);
    see(true, true, true);
    expect(detector(0).residualKpa).toBe(9000);
    expect(rowProbe(0).cusumUpKpa).toBe(0);
  });
  test('stays suspect without a pressure until the end of its check, and no pulse begins', () => {
    drift(40, 5);
    supply().suspected = 0;
    supply().quietTicks = 400;
    see(false, true, true);
    expect(detector(0).doubt).toBe(MissedValve.Supply);
    expect(pairState(0).restTicks).toBe(2);
    supply().quietTicks = 401;
    see(false, true, true);
    expect(detector(0).doubt).toBe(MissedValve.None);
  });
});

describe('the sum of the drift itself', () => {
  beforeEach(() => {
    settled();
    // Only this sum then makes a valve suspect.
    parameters().missedKpa = 2000;
    supply().quietTicks = 400;
    returnValve().quietTicks = 20;
  });
  test('finds a valve that is open, once the pressure has moved further than motion can move it', () => {
    // 640 kPa: 624 after 26 ticks of 24, 648 after 27. Drift so far 27·40 kPa, 33.75 mL.
    expect(drift(40, 100)).toBe(27);
    expect(detector(0).doubt).toBe(MissedValve.Supply);
    expect(detector(0).movedMl).toBe(33.75);
  });
  test('finds the return valve in the same way', () => {
    returnValve().quietTicks = 400;
    supply().quietTicks = 20;
    // 636 after 53 ticks of 12, 648 after 54
    expect(drift(-20, 100)).toBe(54);
    expect(detector(0).doubt).toBe(MissedValve.Return);
  });
  test('is kept over a pulse', () => {
    drift(40, 26);
    expect(pulse(Wish.Raise, 40, 10)).toBe(0);
    endPulse();
    expect(drift(40, 1)).toBe(1);
  });
  test('does not suspect a valve if the pressure moves faster than through an open one', () => {
    // 39 kPa per tick: 663 kPa after seventeen ticks of 55 kPa, which is more than 1.35 steps of 40
    expect(drift(55, 17)).toBe(0);
    expect(detector(0).rawUpMl).toBe(0);
    // 37 kPa per tick: 666 kPa after eighteen ticks
    expect(drift(53, 20)).toBe(18);
  });
  test('adds up oil: less of it moves a stiffer chamber as far', () => {
    drift(40, 13);
    rowProbe(0).compliance = 0.015625;
    // 13·24/32 = 9.75 mL; 10.25 mL of 24/64 are 27.3 ticks more.
    expect(drift(40, 100)).toBe(28);
  });
  test('restarts while the pressure is not significant', () => {
    drift(40, 26);
    see(true, true, false);
    expect(drift(40, 26)).toBe(0);
    expect(drift(40, 1)).toBe(1);
  });
  test('is kept while the pressure is above the rail', () => {
    drift(40, 26);
    rowProbe(0).supplyStepKpa = 0;
    expect(drift(40, 10)).toBe(0);
    rowProbe(0).supplyStepKpa = SUPPLY_STEP_KPA;
    expect(drift(40, 1)).toBe(1);
  });
  test('makes no stuck valve suspect', () => {
    supply().stuck = Stuck.Closed;
    expect(drift(40, 100)).toBe(0);
  });
});

describe('motion of the row', () => {
  beforeEach(() => {
    settled();
    coefficients().strokeVolumeMlPerMps = 0.25;
  });
  // A tick of 10 m/s²: 0.01 m/s, of which the second high-pass removes 2π·0.1·0.001 = 0.000628319: 0.00999372 m/s, and by 0.25 mL per tick
  // and m/s and 1/32 mL/kPa 8 times as many kPa: 0.0799497.
  test('is removed from the drift', () => {
    rowProbe(0).accelerationMps2 = 10;
    rowProbe(0).pressureRawKpa = 3001;
    const driftKpa = followDrift(detector(0), rowProbe(0), true, true, parameters(), coefficients());
    expect(detector(0).velocityMps).toBeCloseTo(0.01, 7);
    expect(detector(0).motionKpa).toBeCloseTo(0.0799497, 6);
    expect(driftKpa).toBeCloseTo(0.92005, 5);
  });
  test('is removed from a rise with a margin of a tenth', () => {
    rowProbe(0).accelerationMps2 = 1000;
    drift(40, 1, true);
    // 40 − 7.99497 of motion − 16 allowed − 0.799497 of margin
    expect(rowProbe(0).cusumUpKpa).toBeCloseTo(15.205529, 3);
  });
  test('is not used from 2 m/s on: no row moves as fast', () => {
    detector(0).smoothMps = 1.99;
    detector(0).velocityMps = 1.99;
    see(true, true, true);
    expect(detector(0).noVelocityTicks).toBe(0);
    detector(0).smoothMps = -2;
    see(true, true, true);
    expect(detector(0).noVelocityTicks).toBe(1500);
    expect(detector(0).motionKpa).toBe(0);
  });
  test('is not used with an invalid acceleration, and the velocity decays sixteen times as fast', () => {
    detector(0).velocityMps = 1;
    followDrift(detector(0), rowProbe(0), true, false, parameters(), coefficients());
    expect(detector(0).motionKpa).toBe(0);
    // 1 − 16·0.000628319
    expect(detector(0).velocityMps).toBeCloseTo(0.9899469, 6);
  });
});

describe('without a valid acceleration', () => {
  beforeEach(settled);
  test('a valve gets another closing stroke on suspicion, and pulses continue', () => {
    // 24 kPa per tick: 192 after eight, 216 after nine
    expect(drift(40, 8, false)).toBe(0);
    expect(drift(40, 1, false)).toBe(1);
    expect(supply().repeats).toBe(1);
    expect(supply().belief).toBe(Belief.Closed);
    expect(returnValve().suspected).toBe(0);
    expect(detector(0).doubt).toBe(MissedValve.None);
    expect(detector(0).missedValve).toBe(MissedValve.None);
    expect(predictor(0).meteredKpa).toBe(0);
  });
  test('so does the return valve', () => {
    // 12 kPa per tick: 192 after sixteen, 204 after seventeen
    expect(drift(-20, 16, false)).toBe(0);
    expect(drift(-20, 1, false)).toBe(1);
    expect(returnValve().suspected).toBe(1);
    expect(supply().suspected).toBe(0);
  });
  test('twice at most between two pulses', () => {
    drift(40, 9, false);
    supply().suspected = 0;
    expect(drift(40, 1, false)).toBe(1);
    expect(supply().repeats).toBe(2);
    supply().suspected = 0;
    // 16·24 kPa more are 624 kPa: not yet the 640 kPa of the sum of the drift itself.
    expect(drift(40, 16, false)).toBe(0);
    expect(supply().repeats).toBe(2);
  });
  test('not after its check', () => {
    supply().quietTicks = 400;
    expect(drift(40, 26, false)).toBe(0);
  });
  test('a valve is suspected and judged once the pressure has moved as far as proofMl of oil move it', () => {
    supply().quietTicks = 400;
    // 640 kPa: 624 after 26 ticks of 24, 648 after 27
    expect(drift(40, 26, false)).toBe(0);
    expect(detector(0).doubt).toBe(MissedValve.None);
    expect(drift(40, 1, false)).toBe(1);
    expect(detector(0).doubt).toBe(MissedValve.Supply);
    // Motion may have caused it: what moves from here on decides.
    expect(detector(0).movedMl).toBe(0);
    expect(detector(0).owedMl).toBe(0);
  });
  test('that sum is kept over a pulse', () => {
    supply().quietTicks = 400;
    drift(40, 26, false);
    pulse(Wish.Raise, 40, 3, false);
    endPulse();
    expect(drift(40, 1, false)).toBe(1);
  });
  test('the velocity is not used for 1.5 s after an invalid reading', () => {
    drift(0, 1, false);
    expect(detector(0).noVelocityTicks).toBe(1500);
    drift(0, 1494);
    expect(drift(40, 5)).toBe(0, 'not in the 1499th tick');
    expect(detector(0).noVelocityTicks).toBe(1);
    // The sums restart: 96 kPa after four more ticks, 120 after five.
    expect(drift(40, 10)).toBe(5);
  });
});

describe('with a valve believed open', () => {
  beforeEach(settled);
  test('a pulse of the supply valve that passes nothing becomes suspect, and its oil stays metered until it is judged', () => {
    // 10 kPa per tick: 100 after ten is not beyond the threshold, 110 after eleven is
    expect(pulse(Wish.Raise, 0, 10)).toBe(0);
    expect(rowProbe(0).cusumDownKpa).toBe(100);
    expect(pulse(Wish.Raise, 0, 1)).toBe(1);
    expect(predictor(0).meteredKpa).toBe(440);
    expect(detector(0).missedValve).toBe(MissedValve.None);
    expect(supply().missedOpens).toBe(0);
    expect(supply().suspected).toBe(0);
  });
  test('so does one of the return valve', () => {
    // 5 kPa per tick: 100 after twenty, 105 after 21
    expect(pulse(Wish.Lower, 0, 100)).toBe(21);
    expect(predictor(0).meteredKpa).toBe(-420);
  });
  test('a pulse that passes the expected oil, or half of it, does not', () => {
    expect(pulse(Wish.Raise, 40, 100)).toBe(0);
    settled();
    expect(pulse(Wish.Raise, 20, 100)).toBe(0);
    settled();
    expect(pulse(Wish.Lower, -10, 100)).toBe(0);
  });
  test('motion that looked like an open valve raises the threshold of pulses too', () => {
    detector(0).noiseKpa = 100;
    // 200 kPa less what is forgotten in twenty ticks: 0.2 kPa
    expect(pulse(Wish.Raise, 0, 100)).toBe(20);
  });
  test('without a velocity a pulse becomes suspect beyond missedNoAccelKpa: 1000 kPa', () => {
    expect(pulse(Wish.Raise, 0, 99, false)).toBe(0);
    expect(pulse(Wish.Raise, 0, 100, false)).toBe(2);
  });
});

/** One tick of three rows whose pressures drift by these values, kPa. */
function driftRows(first: f32, second: f32, third: f32): void {
  rowProbe(0).pressureRawKpa += first;
  rowProbe(1).pressureRawKpa += second;
  rowProbe(2).pressureRawKpa += third;
  for (let index = 0; index < 3; index++) seeRow(index, 3, true, true, true);
}

/** Time since the last stroke of every valve of three rows. */
function setQuiet(ticks: u32): void {
  for (let index = 0; index < 3; index++) for (let which: u8 = 0; which < 2; which++) valveState(index, which).quietTicks = ticks;
}

/** A motion to and fro: 3 kPa per tick, less than what is tolerated, and back after half a period. */
function wave(tick: i32, periodTicks: i32): f32 {
  return tick % periodTicks < periodTicks / 2 ? 3 : -3;
}

/** For some time the frame moves all rows by the same, without a stroke; the second row by this share of it. */
function moveFrame(shareOfSecond: f32): void {
  setQuiet(1000);
  for (let tick = 0; tick < 5000; tick++) {
    const kpa = wave(tick, 1000);
    driftRows(kpa, shareOfSecond * kpa, kpa);
  }
  setQuiet(10);
}

describe('three rows on one frame', () => {
  beforeEach(() => settledRows(3));
  test('learn to share equal motion', () => {
    moveFrame(1);
    // From 0, the difference of the sum to 1 shrinks by 0.001 of itself per tick: e⁻⁵ = 0.0067 is left. The rows that are computed
    // later show a change of direction a tick later: two of 500 ticks.
    for (let index = 0; index < 3; index++) {
      const sum = detector(index).firstWeight + detector(index).secondWeight;
      expect(sum > 0.985 && sum < 0.995).toBe(true);
      expect(detector(index).firstWeight).toBeCloseTo(0.5 * sum, 1);
    }
  });
  test('learn that a row between two others moves as their mean, and one at the end as both extrapolate', () => {
    setQuiet(1000);
    for (let tick = 0; tick < 60000; tick++) {
      const lift = wave(tick, 1000);
      const roll = wave(tick, 1430);
      driftRows(lift + roll, lift, lift - roll);
    }
    // Of the first and the last row, of the last and the second, of the second and the first.
    expect(detector(1).firstWeight).toBeCloseTo(0.5, 1);
    expect(detector(1).secondWeight).toBeCloseTo(0.5, 1);
    expect(detector(0).firstWeight).toBeCloseTo(-1, 1);
    expect(detector(0).secondWeight).toBeCloseTo(2, 1);
    expect(detector(2).firstWeight).toBeCloseTo(2, 1);
    expect(detector(2).secondWeight).toBeCloseTo(-1, 1);
  });
  test('take the motion of the neighbours out: a frame that moves all rows makes none suspect', () => {
    moveFrame(1);
    // 25·24 = 600 kPa: for the threshold of the drift itself it is too little.
    for (let tick = 0; tick < 25; tick++) driftRows(40, 40, 40);
    for (let index = 0; index < 3; index++) expect(detector(index).doubt).toBe(MissedValve.None);
  });
  test('an open valve in one of them is still found, and only there', () => {
    moveFrame(1);
    for (let tick = 0; tick < 5; tick++) driftRows(30, 30, 30);
    for (let tick = 0; tick < 4; tick++) driftRows(30, 70, 30);
    expect(detector(1).doubt).toBe(MissedValve.None);
    driftRows(30, 70, 30);
    expect(detector(1).doubt).toBe(MissedValve.Supply);
    expect(detector(0).doubt).toBe(MissedValve.None);
    expect(detector(2).doubt).toBe(MissedValve.None);
  });
  test('learn nothing from a row that does not move with them', () => {
    moveFrame(0);
    expect(detector(1).frameKpa).toBeCloseTo(0, 2);
    for (let tick = 0; tick < 4; tick++) driftRows(40, 0, 40);
    expect(detector(1).frameKpa).toBeCloseTo(0, 2);
  });
  test('do not learn while a stroke could show', () => {
    setQuiet(40);
    for (let tick = 0; tick < 1000; tick++) driftRows(10, 10, 10);
    expect(detector(1).firstWeight).toBe(0);
    setQuiet(41);
    driftRows(10, 10, 10);
    expect(detector(1).firstWeight > 0).toBe(true);
  });
  test('do not use a neighbour whose velocity or pressure is not valid, or that has a suspect valve', () => {
    moveFrame(1);
    detector(0).noVelocityTicks = 1500;
    for (let tick = 0; tick < 5; tick++) {
      rowProbe(1).pressureRawKpa += 40;
      rowProbe(2).pressureRawKpa += 40;
      seeRow(1, 3, true, true, true);
    }
    // The last share of motion fades, as in a bank of two.
    expect(detector(1).doubt).toBe(MissedValve.Supply);
  });
});

describe('one or two rows', () => {
  beforeEach(() => settledRows(2));
  test("take out the slow mean of a row's own drift, below 3 Hz", () => {
    supply().quietTicks = 41;
    returnValve().quietTicks = 41;
    // 2π·3·0.001 = 0.0188496 of the difference per tick, over 1.0188496: 0.0185009
    drift(10, 1);
    expect(detector(0).frameKpa).toBeCloseTo(0.185009, 5);
    drift(10, 1);
    // 0.185009 + 0.0185009·9.814991
    expect(detector(0).frameKpa).toBeCloseTo(0.366595, 5);
  });
  test('hold it for 40 ticks after a stroke, while it fades with 0.2 s', () => {
    detector(0).frameKpa = 8;
    returnValve().quietTicks = 40;
    supply().quietTicks = 41;
    drift(10, 1);
    // 8·(1 − 0.001/0.2)
    expect(detector(0).frameKpa).toBeCloseTo(7.96, 5);
    expect(detector(0).residualStepKpa).toBeCloseTo(2.04, 4);
  });
  test('hold it during a pulse', () => {
    detector(0).frameKpa = 8;
    supply().quietTicks = 100;
    returnValve().quietTicks = 100;
    pulse(Wish.Raise, 40, 1);
    expect(detector(0).frameKpa).toBeCloseTo(7.96, 5);
  });
  test('know no motion of the frame without a velocity', () => {
    detector(0).frameKpa = 8;
    drift(10, 1, false);
    expect(detector(0).frameKpa).toBe(0);
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

describe('while the frame moves', () => {
  beforeEach(settled);
  test("the row's velocity is not used, whatever the accelerometer reads", () => {
    detector(0).velocityMps = 1;
    see(true, true, true, false);
    expect(detector(0).motionKpa).toBe(0);
    see(true, true, true, true);
    expect(detector(0).motionKpa > 0.9).toBe(true, 'once the frame has settled');
  });
});
