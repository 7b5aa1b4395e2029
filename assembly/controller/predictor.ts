import { Wish } from './generated/enums';
import { Coefficients, Parameters, PredictorState, RowProbe } from './generated/records';
import { Row } from './row-records';

/*
 * Predicts the load of the next moments, if no valve moves.
 *
 *   disturbance  d = load − a·lag(p) − lag(m·z̈)   what the actuator does not cause: soil, weight, friction; as far as a map of
 *                                                  the soil is trusted, already with what it expects (preview.ts)
 *   motion       s = a·(p − u)                     pressure by the row's motion, leaks and the gas, as load
 *   present      d₆ + s₆ + a·u                     ₆: low-passed at 6 Hz; metered oil (u) counts at once, because it is known
 *   predicted    present + Σ wᵢφᵢ                  φ: d and s between neighbouring corners, m·z̈ up to each corner
 *
 * a: down force per pressure; lag: that of the load sensor, so that both sides of the difference are equally late. The weights
 * are fitted by ridge regression to the mean load of the next 0.35 s (Hoerl, Kennard 1970, Technometrics 12(1):55-67).
 * Counting metered oil at once is the idea of the Smith predictor (Smith 1957, Chem. Eng. Prog. 53(5):217-219).
 */

/** Corners of the predictor's low-passes, Hz. */
export const BAND_1_HZ: f32 = 0.2;
export const BAND_2_HZ: f32 = 0.6;
export const BAND_3_HZ: f32 = 2;
export const BAND_4_HZ: f32 = 6;
export const BAND_5_HZ: f32 = 12;

/** The sum of metered oil restarts here: single precision then still resolves 0.01 kPa. */
const METERED_MAX_KPA: f32 = 100000;

/** Weight of a new value in a first-order low-pass, by backward difference. */
export function firstOrderWeight(hertz: f32, tickS: f32): f32 {
  const angle: f32 = 2 * <f32>Math.PI * hertz * tickS;
  return angle / (1 + angle);
}

/** Adds what the open valve meters in this tick. */
function addMetered(state: PredictorState, flowWish: u8, probe: RowProbe): void {
  if (flowWish === Wish.Raise) state.meteredKpa += probe.supplyStepKpa;
  if (flowWish === Wish.Lower) state.meteredKpa -= probe.returnStepKpa;
}

/** The oil metered so far has changed the pressure by this much more than was added. */
export function correctMetered(state: PredictorState, kpa: f32): void {
  state.meteredKpa += kpa;
}

/**
 * Metered oil adds up in one direction if a leak works against it. Before single precision runs out of digits the sum restarts
 * at 0. Returns the change of every pressure that is relative to it, kPa; 0 if the sum is kept.
 */
export function restartMetered(state: PredictorState, probe: RowProbe, c: Coefficients): f32 {
  if (abs<f32>(state.meteredKpa) < METERED_MAX_KPA) return 0;
  const shiftKpa = state.meteredKpa;
  const shiftN = c.areaNPerKpa * shiftKpa;
  state.meteredKpa = 0;
  probe.meteredKpa = 0;
  state.pressure1N += shiftN;
  state.pressure2N += shiftN;
  state.pressure3N += shiftN;
  state.pressure4N += shiftN;
  state.pressure5N += shiftN;
  return shiftKpa;
}

/** Low-passes the pressure that metered oil does not explain, as load. After a gap they are seeded. */
function followPressure(state: PredictorState, pressureKpa: f32, c: Coefficients): void {
  const s = c.areaNPerKpa * (pressureKpa - state.meteredKpa);
  if (state.hasPressure === 0) {
    state.sensedPressureKpa = pressureKpa;
    state.pressure1N = state.pressure2N = state.pressure3N = state.pressure4N = state.pressure5N = s;
  }
  state.hasPressure = 1;
  state.sensedPressureKpa += c.sensorWeight * (pressureKpa - state.sensedPressureKpa);
  state.pressure1N += c.band1Weight * (s - state.pressure1N);
  state.pressure2N += c.band2Weight * (s - state.pressure2N);
  state.pressure3N += c.band3Weight * (s - state.pressure3N);
  state.pressure4N += c.band4Weight * (s - state.pressure4N);
  state.pressure5N += c.band5Weight * (s - state.pressure5N);
}

function followInertia(state: PredictorState, probe: RowProbe, inertiaN: f32, c: Coefficients): void {
  state.sensedInertiaN += c.sensorWeight * (inertiaN - state.sensedInertiaN);
  state.inertia1N += c.band1Weight * (inertiaN - state.inertia1N);
  state.inertia2N += c.band2Weight * (inertiaN - state.inertia2N);
  state.inertia3N += c.band3Weight * (inertiaN - state.inertia3N);
  state.inertia4N += c.band4Weight * (inertiaN - state.inertia4N);
  state.inertia5N += c.band5Weight * (inertiaN - state.inertia5N);
  probe.inertia1N = state.inertia1N;
  probe.inertia2N = state.inertia2N;
  probe.inertia3N = state.inertia3N;
  probe.inertia4N = state.inertia4N;
  probe.inertia5N = state.inertia5N;
}

/** The load without the actuator's share. */
export function disturbanceOf(state: PredictorState, loadN: f32, c: Coefficients): f32 {
  return loadN - c.areaNPerKpa * state.sensedPressureKpa - state.sensedInertiaN;
}

/** Low-passes the disturbance. After a gap they are seeded. */
function followDisturbance(state: PredictorState, d: f32, c: Coefficients): void {
  if (state.hasLoad === 0) state.load1N = state.load2N = state.load3N = state.load4N = state.load5N = d;
  state.hasLoad = 1;
  state.load1N += c.band1Weight * (d - state.load1N);
  state.load2N += c.band2Weight * (d - state.load2N);
  state.load3N += c.band3Weight * (d - state.load3N);
  state.load4N += c.band4Weight * (d - state.load4N);
  state.load5N += c.band5Weight * (d - state.load5N);
}

// A value is read once, because a compiler must read it again after each probe that is written.
function probeBands(state: PredictorState, probe: RowProbe): void {
  const isAscending = BAND_1_HZ < BAND_2_HZ && BAND_2_HZ < BAND_3_HZ && BAND_3_HZ < BAND_4_HZ && BAND_4_HZ < BAND_5_HZ;
  if (!isAscending) ERROR('the corners are not in ascending order');
  const load2N = state.load2N;
  const load3N = state.load3N;
  const load4N = state.load4N;
  const load1N = state.load1N;
  const load5N = state.load5N;
  probe.loadTrend1N = load2N - load1N;
  probe.loadTrend2N = load3N - load2N;
  probe.loadTrend3N = load4N - load3N;
  probe.loadTrend4N = load5N - load4N;
  const pressure1N = state.pressure1N;
  const pressure2N = state.pressure2N;
  const pressure3N = state.pressure3N;
  const pressure4N = state.pressure4N;
  const pressure5N = state.pressure5N;
  probe.pressureTrend1N = pressure2N - pressure1N;
  probe.pressureTrend2N = pressure3N - pressure2N;
  probe.pressureTrend3N = pressure4N - pressure3N;
  probe.pressureTrend4N = pressure5N - pressure4N;
}

/** What the trends add to the present load. */
function weightTrends(probe: RowProbe, p: Parameters): f32 {
  const load =
    p.loadTrend1Weight * probe.loadTrend1N +
    p.loadTrend2Weight * probe.loadTrend2N +
    p.loadTrend3Weight * probe.loadTrend3N +
    p.loadTrend4Weight * probe.loadTrend4N;
  const pressure =
    p.pressureTrend1Weight * probe.pressureTrend1N +
    p.pressureTrend2Weight * probe.pressureTrend2N +
    p.pressureTrend3Weight * probe.pressureTrend3N +
    p.pressureTrend4Weight * probe.pressureTrend4N;
  const inertia =
    p.inertia1Weight * probe.inertia1N +
    p.inertia2Weight * probe.inertia2N +
    p.inertia3Weight * probe.inertia3N +
    p.inertia4Weight * probe.inertia4N +
    p.inertia5Weight * probe.inertia5N;
  return load + pressure + inertia;
}

/** The same without a valid acceleration: the inertia force is then part of the load. */
function weightTrendsNoAccel(probe: RowProbe, p: Parameters): f32 {
  const load =
    p.noAccelLoadTrend1Weight * probe.loadTrend1N +
    p.noAccelLoadTrend2Weight * probe.loadTrend2N +
    p.noAccelLoadTrend3Weight * probe.loadTrend3N +
    p.noAccelLoadTrend4Weight * probe.loadTrend4N;
  const pressure =
    p.noAccelPressureTrend1Weight * probe.pressureTrend1N +
    p.noAccelPressureTrend2Weight * probe.pressureTrend2N +
    p.noAccelPressureTrend3Weight * probe.pressureTrend3N +
    p.noAccelPressureTrend4Weight * probe.pressureTrend4N;
  return load + pressure;
}

/** One tick of the predictor. An invalid load or pressure is not followed; its low-passes are seeded when it is valid again. */
export function updatePredictor(
  row: Row,
  isLoadValid: bool,
  isPressureValid: bool,
  isAccelerationValid: bool,
  p: Parameters,
  c: Coefficients,
): void {
  const state = row.predictor;
  const probe = row.probe;
  addMetered(state, row.pair.flowWish, probe);
  // Without an accelerometer the inertia stays 0.
  if (p.accelerationFitted !== 0) followInertia(state, probe, isAccelerationValid ? p.movingMassKg * probe.accelerationMps2 : 0, c);
  if (isPressureValid) followPressure(state, probe.pressureRawKpa, c);
  else state.hasPressure = 0;
  const d = disturbanceOf(state, probe.loadRawN - probe.zeroN, c) + probe.soilExpectedN;
  if (isLoadValid && isPressureValid) followDisturbance(state, d, c);
  else state.hasLoad = 0;
  probeBands(state, probe);
  const meteredKpa = state.meteredKpa;
  const smoothKpa = state.pressure4N / c.areaNPerKpa + meteredKpa;
  const presentN = state.load4N + c.areaNPerKpa * smoothKpa;
  probe.meteredKpa = meteredKpa;
  probe.smoothKpa = smoothKpa;
  probe.presentN = presentN;
  probe.predictedN = presentN + (isAccelerationValid ? weightTrends(probe, p) : weightTrendsNoAccel(probe, p));
}
