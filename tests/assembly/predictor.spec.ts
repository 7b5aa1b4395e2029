import { Wish } from '../../assembly/controller/generated/enums';
import {
  coefficients,
  Parameters,
  pairState,
  parameters,
  predictor,
  RowProbe,
  rowProbe,
} from '../../assembly/controller/generated/records';
import { firstOrderWeight, updatePredictor } from '../../assembly/controller/predictor';
import { rowAt } from '../../assembly/controller/row-records';
import { freshBank } from './fresh-bank';

// Weights of the low-passes at 1 kHz, x/(1 + x) with x = 2π·f·0.001:
//   0.2 Hz 0.00125506, 0.6 Hz 0.00375575, 2 Hz 0.0124104, 6 Hz 0.0363295, 12 Hz 0.0701119; the load sensor's 5 Hz 0.0304590.

const LOAD_WEIGHTS = 4;
const PRESSURE_WEIGHTS = 4;
const INERTIA_WEIGHTS = 5;
const TRENDS = LOAD_WEIGHTS + PRESSURE_WEIGHTS + INERTIA_WEIGHTS;
const NO_ACCEL_TRENDS = LOAD_WEIGHTS + PRESSURE_WEIGHTS;

function setWeight(index: i32, weight: f32): void {
  store<f32>(changetype<usize>(parameters()) + offsetof<Parameters>('loadTrend1Weight') + <usize>index * 4, weight);
}

function setNoAccelWeight(index: i32, weight: f32): void {
  store<f32>(changetype<usize>(parameters()) + offsetof<Parameters>('noAccelLoadTrend1Weight') + <usize>index * 4, weight);
}

/** Trends of load, of pressure, then inertia: in the order of the weights. */
function trend(index: i32): f32 {
  return load<f32>(changetype<usize>(rowProbe(0)) + offsetof<RowProbe>('loadTrend1N') + <usize>index * 4);
}

function see(flowWish: u8, loadN: f32, isLoadValid: bool, isPressureValid: bool, isAccelerationValid: bool): void {
  pairState(0).flowWish = flowWish;
  rowProbe(0).loadRawN = loadN;
  updatePredictor(rowAt(0), isLoadValid, isPressureValid, isAccelerationValid, parameters(), coefficients());
}

function seeLoad(loadN: f32): void {
  see(Wish.Hold, loadN, true, true, true);
}

/** 0.25 N/kPa, 105 kg, all weights 0; one tick with 800 N at 3000 kPa: a disturbance of 800 − 750 = 50 N. */
function settled(): void {
  freshBank(1);
  parameters().accelerationFitted = 1;
  coefficients().areaNPerKpa = 0.25;
  for (let index = 0; index < TRENDS; index++) setWeight(index, 0);
  for (let index = 0; index < NO_ACCEL_TRENDS; index++) setNoAccelWeight(index, 0);
  rowProbe(0).pressureRawKpa = 3000;
  rowProbe(0).supplyStepKpa = 40;
  rowProbe(0).returnStepKpa = 20;
  seeLoad(800);
}

describe('firstOrderWeight', () => {
  test('is x/(1 + x) of the angle x per tick', () => {
    // 5 Hz at 1 kHz: x = 2π·5·0.001 = 0.0314159, 0.0314159/1.0314159
    expect(firstOrderWeight(5, 0.001)).toBeCloseTo(0.030459, 6);
    // 50 Hz at 500 Hz: x = 0.628319, 0.628319/1.628319
    expect(firstOrderWeight(50, 0.002)).toBeCloseTo(0.38587, 5);
  });
  test('is 0 at 0 Hz', () => {
    expect(firstOrderWeight(0, 0.001)).toBe(0);
  });
});

describe('metered oil', () => {
  beforeEach(settled);
  test('adds a supply step at once while oil flows in', () => {
    see(Wish.Raise, 800, true, true, true);
    expect(rowProbe(0).meteredKpa).toBe(40);
    see(Wish.Raise, 800, true, true, true);
    expect(rowProbe(0).meteredKpa).toBe(80);
  });
  test('subtracts a return step at once while oil flows out', () => {
    see(Wish.Lower, 800, true, true, true);
    expect(rowProbe(0).meteredKpa).toBe(-20);
  });
  test('does not change while nothing flows', () => {
    see(Wish.Raise, 800, true, true, true);
    seeLoad(800);
    expect(rowProbe(0).meteredKpa).toBe(40);
  });
  test('is also counted while the pressure is invalid', () => {
    see(Wish.Raise, 800, true, false, true);
    expect(rowProbe(0).meteredKpa).toBe(40);
  });
});

describe('updatePredictor at rest', () => {
  beforeEach(settled);
  test('finds the load in the first tick', () => {
    expect(rowProbe(0).presentN).toBe(800);
    expect(rowProbe(0).predictedN).toBe(800);
    expect(rowProbe(0).smoothKpa).toBe(3000);
  });
  test('stays at the load, without trends, whatever the weights are', () => {
    for (let index = 0; index < TRENDS; index++) setWeight(index, 3);
    for (let tick = 0; tick < 1000; tick++) seeLoad(800);
    expect(rowProbe(0).presentN).toBe(800);
    expect(rowProbe(0).predictedN).toBe(800);
    for (let index = 0; index < TRENDS; index++) expect(trend(index)).toBe(0);
  });
});

describe('updatePredictor during a pulse', () => {
  beforeEach(settled);
  test('shows the step at once, without what the 6 Hz low-pass shows of a pressure that has not moved yet', () => {
    see(Wish.Raise, 800, true, true, true);
    // 0.25 N/kPa · 40 kPa = 10 N; s has fallen from 750 N by as much, of which the 6 Hz low-pass shows 0.363295 N.
    expect(rowProbe(0).presentN).toBeCloseTo(809.636705, 3);
    // 3000 + 40 − 0.363295/0.25
    expect(rowProbe(0).smoothKpa).toBeCloseTo(3038.54682, 2);
  });
  test('shows the step at once, without what the disturbance loses to a pressure that is ahead of the load', () => {
    rowProbe(0).pressureRawKpa = 3040;
    see(Wish.Raise, 800, true, true, true);
    // s stays at 750 N. Behind the sensor's lag the pressure is 3000 + 0.030459·40 = 3001.21836 kPa, the disturbance
    // 800 − 750.30459 = 49.69541 N, of which the 6 Hz low-pass shows 50 − 0.0363295·0.30459 = 49.988934 N.
    expect(rowProbe(0).smoothKpa).toBe(3040);
    expect(rowProbe(0).presentN).toBeCloseTo(809.988934, 3);
  });
  test('shows a return step with the opposite sign', () => {
    see(Wish.Lower, 800, true, true, true);
    // −5 N + 0.0363295·5 N
    expect(rowProbe(0).presentN).toBeCloseTo(795.181648, 3);
  });
});

describe('updatePredictor after a step of the load', () => {
  beforeEach(settled);
  test('shows it through the 6 Hz low-pass', () => {
    seeLoad(900);
    // 800 + 0.0363295·100
    expect(rowProbe(0).presentN).toBeCloseTo(803.63295, 3);
    seeLoad(900);
    // 803.63295 + 0.0363295·96.36705
    expect(rowProbe(0).presentN).toBeCloseTo(807.13392, 3);
  });
  test('splits it into the bands between neighbouring corners', () => {
    seeLoad(900);
    // 100 times the differences of the weights
    expect(rowProbe(0).loadTrend1N).toBeCloseTo(0.250069, 4);
    expect(rowProbe(0).loadTrend2N).toBeCloseTo(0.865466, 4);
    expect(rowProbe(0).loadTrend3N).toBeCloseTo(2.391911, 4);
    expect(rowProbe(0).loadTrend4N).toBeCloseTo(3.378239, 4);
    for (let index = LOAD_WEIGHTS; index < TRENDS; index++) expect(trend(index)).toBe(0);
  });
  test('splits a pressure change by motion in the same way, as load', () => {
    rowProbe(0).pressureRawKpa = 3400;
    seeLoad(800);
    // s has risen by 0.25 N/kPa · 400 kPa = 100 N.
    expect(rowProbe(0).pressureTrend1N).toBeCloseTo(0.250069, 3);
    expect(rowProbe(0).pressureTrend2N).toBeCloseTo(0.865466, 3);
    expect(rowProbe(0).pressureTrend3N).toBeCloseTo(2.391911, 3);
    expect(rowProbe(0).pressureTrend4N).toBeCloseTo(3.378239, 3);
  });
});

describe('inertia', () => {
  beforeEach(settled);
  // 105 kg · 2 m/s² = 210 N; behind the sensor's lag 0.030459·210 = 6.39639 N after a tick, and
  // 6.39639 + 0.030459·203.60361 = 12.59795 N after two.
  test("is removed from the load behind the sensor's lag", () => {
    rowProbe(0).accelerationMps2 = 2;
    seeLoad(800);
    // 800 − 0.0363295·6.39639
    expect(rowProbe(0).presentN).toBeCloseTo(799.767622, 3);
  });
  test('does not change the load if the sensor shows it with the same lag', () => {
    rowProbe(0).accelerationMps2 = 2;
    seeLoad(806.39639);
    expect(rowProbe(0).presentN).toBeCloseTo(800, 3);
    seeLoad(812.59795);
    expect(rowProbe(0).presentN).toBeCloseTo(800, 3);
  });
  test('is low-passed at each corner', () => {
    rowProbe(0).accelerationMps2 = 2;
    seeLoad(800);
    // 210 times the weights
    expect(rowProbe(0).inertia1N).toBeCloseTo(0.263563, 5);
    expect(rowProbe(0).inertia2N).toBeCloseTo(0.788708, 5);
    expect(rowProbe(0).inertia3N).toBeCloseTo(2.606186, 5);
    expect(rowProbe(0).inertia4N).toBeCloseTo(7.629199, 4);
    expect(rowProbe(0).inertia5N).toBeCloseTo(14.723501, 4);
  });
  test('is 0 without a valid acceleration, whatever the reading is', () => {
    rowProbe(0).accelerationMps2 = 2;
    see(Wish.Hold, 800, true, true, false);
    for (let index = NO_ACCEL_TRENDS; index < TRENDS; index++) expect(trend(index)).toBe(0);
    expect(rowProbe(0).presentN).toBe(800);
  });
});

describe('updatePredictor after a gap', () => {
  beforeEach(settled);
  test('does not follow an invalid load', () => {
    see(Wish.Hold, 2000, false, true, true);
    expect(rowProbe(0).presentN).toBe(800);
    expect(predictor(0).hasLoad).toBe(0);
  });
  test('restarts at the new load, without trends', () => {
    see(Wish.Hold, 2000, false, true, true);
    seeLoad(1200);
    expect(rowProbe(0).presentN).toBe(1200);
    for (let index = 0; index < TRENDS; index++) expect(trend(index)).toBe(0);
  });
  test('restarts at the new pressure and load after an invalid pressure', () => {
    rowProbe(0).pressureRawKpa = 9000;
    see(Wish.Hold, 800, true, false, true);
    expect(rowProbe(0).smoothKpa).toBe(3000);
    expect(predictor(0).hasPressure).toBe(0);
    expect(predictor(0).hasLoad).toBe(0, "the load needs the pressure's share");
    rowProbe(0).pressureRawKpa = 5000;
    seeLoad(1300);
    expect(rowProbe(0).smoothKpa).toBe(5000);
    expect(rowProbe(0).presentN).toBe(1300);
    for (let index = 0; index < TRENDS; index++) expect(trend(index)).toBe(0);
  });
});

describe('predicted load', () => {
  beforeEach(settled);
  test('is the present load plus a trend times its weight', () => {
    parameters().loadTrend3Weight = 2;
    seeLoad(900);
    // 803.63295 + 2·2.391911
    expect(rowProbe(0).predictedN).toBeCloseTo(808.416772, 3);
  });
  test('uses the noAccel weights without a valid acceleration', () => {
    parameters().loadTrend3Weight = 2;
    parameters().noAccelLoadTrend3Weight = -3;
    see(Wish.Hold, 900, true, true, false);
    // 803.63295 − 3·2.391911
    expect(rowProbe(0).predictedN).toBeCloseTo(796.457217, 3);
  });
  test('adds up every trend by its weight', () => {
    // 1, 2, 3 … 13 for the trends in order: load 0.250069·1 + 0.865466·2 + 2.391911·3 + 3.378239·4 = 22.669690; pressure
    // does not change; inertia of 2 m/s² 0.263563·9 + 0.788708·10 + 2.606186·11 + 7.629199·12 + 14.723501·13 = 321.883114. The
    // load step that the sensor would show, 100 + 6.39639 N, keeps the disturbance's step at 100 N.
    for (let index = 0; index < TRENDS; index++) setWeight(index, <f32>(index + 1));
    rowProbe(0).accelerationMps2 = 2;
    seeLoad(906.39639);
    expect(rowProbe(0).predictedN - rowProbe(0).presentN).toBeCloseTo(344.552803, 2);
  });
  test('adds up every pressure trend by its weight', () => {
    // 5, 6, 7, 8: 0.250069·5 + 0.865466·6 + 2.391911·7 + 3.378239·8 = 50.212430. What the sensor shows of the pressure's
    // 100 N behind its lag, 3.0459 N, keeps the disturbance where it was.
    for (let index = 0; index < TRENDS; index++) setWeight(index, <f32>(index + 1));
    rowProbe(0).pressureRawKpa = 3400;
    seeLoad(803.0459);
    expect(rowProbe(0).predictedN - rowProbe(0).presentN).toBeCloseTo(50.21243, 2);
  });
  test('adds up every trend by its noAccel weight', () => {
    for (let index = 0; index < NO_ACCEL_TRENDS; index++) setNoAccelWeight(index, <f32>(index + 1));
    see(Wish.Hold, 900, true, true, false);
    expect(rowProbe(0).predictedN - rowProbe(0).presentN).toBeCloseTo(22.66969, 2);
    settled();
    for (let index = 0; index < NO_ACCEL_TRENDS; index++) setNoAccelWeight(index, <f32>(index + 1));
    rowProbe(0).pressureRawKpa = 3400;
    see(Wish.Hold, 803.0459, true, true, false);
    expect(rowProbe(0).predictedN - rowProbe(0).presentN).toBeCloseTo(50.21243, 2);
  });
});
