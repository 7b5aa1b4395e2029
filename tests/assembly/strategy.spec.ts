import { RowMode, Wish } from '../../assembly/controller/generated/enums';
import { bankProbe, coefficients, loopState, pairState, parameters, rowProbe } from '../../assembly/controller/generated/records';
import { rowAt } from '../../assembly/controller/row-records';
import { decide, probeSteps, withinPressure } from '../../assembly/controller/strategy';
import { freshBank } from './fresh-bank';

/** *predictive* at rest at 3500 kPa below a rail of 15,000 kPa: fixed deadband of 40 N, 0.25 N/kPa, 10 kPa or 2.5 N per tick. */
function atRest(): void {
  freshBank(1);
  parameters().deadbandMode = 0;
  coefficients().areaNPerKpa = 0.25;
  bankProbe().targetLoadN = 450;
  bankProbe().railKpa = 15000;
  bankProbe().flowRatio = 1;
  bankProbe().deadbandScale = 1;
  const probe = rowProbe(0);
  probe.pressureRawKpa = probe.pressureKpa = probe.smoothKpa = 3500;
  probe.supplyGain = probe.returnGain = 1;
  probe.supplyStepKpa = probe.returnStepKpa = 10;
}

function wish(mode: u8): u8 {
  return decide(rowAt(0), mode, true, true, bankProbe(), parameters(), coefficients());
}

/** The wish of a working row whose predicted load is `errorN` below the target. */
function wishAt(errorN: f32): u8 {
  rowProbe(0).predictedN = 450 - errorN;
  return wish(RowMode.Working);
}

describe('withinPressure', () => {
  test('lowers pressure only above the floor', () => {
    expect(withinPressure(Wish.Lower, 1199, 15000, 1200)).toBe(Wish.Hold);
    expect(withinPressure(Wish.Lower, 1200, 15000, 1200)).toBe(Wish.Hold);
    expect(withinPressure(Wish.Lower, 1201, 15000, 1200)).toBe(Wish.Lower);
  });
  test('raises pressure only below the rail', () => {
    expect(withinPressure(Wish.Raise, 14999, 15000, 1200)).toBe(Wish.Raise);
    expect(withinPressure(Wish.Raise, 15000, 15000, 1200)).toBe(Wish.Hold);
    expect(withinPressure(Wish.Raise, 15001, 15000, 1200)).toBe(Wish.Hold);
  });
  test('raises below the floor and lowers above the rail', () => {
    expect(withinPressure(Wish.Raise, 0, 15000, 1200)).toBe(Wish.Raise);
    expect(withinPressure(Wish.Lower, 16000, 15000, 1200)).toBe(Wish.Lower);
  });
  test('holds if the wish is to hold, or a pressure is NaN', () => {
    expect(withinPressure(Wish.Hold, 5000, 15000, 1200)).toBe(Wish.Hold);
    expect(withinPressure(Wish.Raise, NaN, 15000, 1200)).toBe(Wish.Hold);
    expect(withinPressure(Wish.Lower, NaN, 15000, 1200)).toBe(Wish.Hold);
    expect(withinPressure(Wish.Raise, 5000, NaN, 1200)).toBe(Wish.Hold);
    expect(withinPressure(Wish.Lower, 5000, 15000, NaN)).toBe(Wish.Hold);
  });
});

describe('predictive', () => {
  beforeEach(atRest);
  test('starts outside the deadband, in both directions', () => {
    expect(wishAt(40)).toBe(Wish.Hold);
    expect(wishAt(40.5)).toBe(Wish.Raise);
    expect(wishAt(-40)).toBe(Wish.Hold);
    expect(wishAt(-40.5)).toBe(Wish.Lower);
  });
  test('starts outside a deadband that the pulse budget has widened', () => {
    bankProbe().deadbandScale = 1.5;
    expect(wishAt(60)).toBe(Wish.Hold);
    expect(wishAt(60.5)).toBe(Wish.Raise);
  });
  test('continues a pulse until pulseEndRatio of the deadband is left: 12 % of 40 N', () => {
    pairState(0).openWish = Wish.Raise;
    expect(wishAt(5)).toBe(Wish.Raise);
    expect(wishAt(4.5)).toBe(Wish.Hold);
    pairState(0).openWish = Wish.Lower;
    expect(wishAt(-5)).toBe(Wish.Lower);
    expect(wishAt(-4.5)).toBe(Wish.Hold);
  });
  test("ends a pulse at half a tick's effect if that is more", () => {
    // 40 kPa · 0.25 N/kPa = 10 N
    rowProbe(0).supplyStepKpa = 40;
    pairState(0).openWish = Wish.Raise;
    expect(wishAt(5.5)).toBe(Wish.Raise);
    expect(wishAt(5)).toBe(Wish.Hold);
  });
  test('uses the whole deadband in the other direction of a pulse', () => {
    pairState(0).openWish = Wish.Raise;
    expect(wishAt(-40)).toBe(Wish.Hold);
    expect(wishAt(-40.5)).toBe(Wish.Lower);
  });
  test('ignores an error that the shortest pulse of the valve would reverse and enlarge', () => {
    // 3 ticks of 160 kPa · 0.25 N/kPa are 120 N, half of them 60 N.
    rowProbe(0).supplyStepKpa = 160;
    expect(wishAt(60)).toBe(Wish.Hold);
    expect(wishAt(60.5)).toBe(Wish.Raise);
    expect(wishAt(-40.5)).toBe(Wish.Lower);
  });
  test('holds if the predicted load is NaN', () => {
    expect(wishAt(NaN)).toBe(Wish.Hold);
    pairState(0).openWish = Wish.Raise;
    expect(wishAt(NaN)).toBe(Wish.Hold);
  });
  test('averages the pressure at which the load would be on target', () => {
    // 100 N more at 0.25 N/kPa: 3900 kPa. 400 N less: 1900 kPa; the mean of both is 2900 kPa.
    wishAt(100);
    expect(rowProbe(0).setPointKpa).toBe(3900);
    wishAt(-400);
    expect(rowProbe(0).setPointKpa).toBe(2900);
  });
  test('averages it over 10 s', () => {
    for (let reading = 0; reading < 2000; reading++) wishAt(0);
    // Another 400 kPa for one of 1,000 readings, 100 a second.
    wishAt(100);
    expect(rowProbe(0).setPointKpa).toBeCloseTo(3500.4, 3);
  });
  test('holds that pressure while the load is invalid', () => {
    wishAt(0);
    loopState(0).setPointKpa = 3700;
    rowProbe(0).predictedN = NaN;
    expect(wish(RowMode.Frozen)).toBe(Wish.Raise);
    expect(rowProbe(0).errorN).toBe(50);
    expect(rowProbe(0).setPointKpa).toBe(3700);
    rowProbe(0).smoothKpa = 3700;
    expect(wish(RowMode.Frozen)).toBe(Wish.Hold);
  });
  test('holds if the load has never been valid', () => {
    rowProbe(0).smoothKpa = 2000;
    expect(wish(RowMode.Frozen)).toBe(Wish.Hold);
  });
});

describe('probeSteps', () => {
  // 8 L/min at 10,000 kPa: 0.00133333 mL/(ms·√kPa); compliance at 3601.325 kPa absolute: 60 mL/1.2e6 kPa + 320·1200/1.4/3601.325²
  // = 0.00005 + 0.02114845 = 0.02119845 mL/kPa.
  test('computes the effect of each valve per tick: √11,500 kPa and √3300 kPa times 0.00133333/0.02119845', () => {
    atRest();
    probeSteps(rowProbe(0), 1, bankProbe(), parameters(), coefficients());
    expect(rowProbe(0).compliance).toBeCloseTo(0.02119845, 7);
    expect(rowProbe(0).supplyStepKpa).toBeCloseTo(6.745025, 3);
    expect(rowProbe(0).returnStepKpa).toBeCloseTo(3.613197, 3);
  });
  test('uses the learned gains', () => {
    atRest();
    rowProbe(0).supplyGain = 0.5;
    rowProbe(0).returnGain = 2;
    probeSteps(rowProbe(0), 1, bankProbe(), parameters(), coefficients());
    expect(rowProbe(0).supplyStepKpa).toBeCloseTo(3.372512, 3);
    expect(rowProbe(0).returnStepKpa).toBeCloseTo(7.226393, 3);
  });
  test('moves the pressure further with less gas: half of it', () => {
    atRest();
    probeSteps(rowProbe(0), 0.5, bankProbe(), parameters(), coefficients());
    // 0.00005 + 0.02114845/2; √11,500 and √3300 times 0.00133333/0.010624225
    expect(rowProbe(0).compliance).toBeCloseTo(0.010624225, 7);
    expect(rowProbe(0).supplyStepKpa).toBeCloseTo(13.458306, 3);
    expect(rowProbe(0).returnStepKpa).toBeCloseTo(7.20939, 3);
  });
  test('is 0 without a pressure drop', () => {
    atRest();
    bankProbe().railKpa = 3500;
    rowProbe(0).pressureRawKpa = 3500;
    probeSteps(rowProbe(0), 1, bankProbe(), parameters(), coefficients());
    expect(rowProbe(0).supplyStepKpa).toBe(0);
  });
});
