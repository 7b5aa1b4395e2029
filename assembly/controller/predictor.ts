import { Wish } from './generated/enums';
import { Coefficients, Parameters, PredictorState, RowProbe } from './generated/records';

/*
 * What the load will be in the next moments if no valve moves.
 *
 *   disturbance  d = load − a·lag(p) − lag(m·z̈)   what is not the actuator's doing: soil, weight, friction
 *   motion       s = a·(p − u)                     pressure that the row's motion, leaks and the gas make, as load
 *   present      d₆ + s₆ + a·u                     ₆: low-passed at 6 Hz; own pulses (u) count at once, as their oil is known
 *   predicted    present + Σ wᵢφᵢ                  φ: d and s between neighbouring corners, m·z̈ up to each corner
 *
 * a: down force per pressure; lag: the load sensor's own, so that both sides of the difference are equally late. The weights
 * are fitted by ridge regression to the mean load of the next 0.35 s (Hoerl, Kennard 1970, Technometrics 12(1):55-67).
 * Counting own pulses at once is the Smith predictor's idea (Smith 1957, Chem. Eng. Prog. 53(5):217-219).
 */

/** Corners of the predictor's low-passes, Hz. */
export const BAND_1_HZ: f32 = 0.2;
export const BAND_2_HZ: f32 = 0.6;
export const BAND_3_HZ: f32 = 2;
export const BAND_4_HZ: f32 = 6;
export const BAND_5_HZ: f32 = 12;

/** Weight of a new value in a first-order low-pass, by backward difference. */
export function firstOrderWeight(hertz: f32, tickS: f32): f32 {
  const angle: f32 = 2 * <f32>Math.PI * hertz * tickS;
  return angle / (1 + angle);
}

/** Adds what the open valve gives in this tick. */
function followOwn(o: PredictorState, flowing: u8, probe: RowProbe): void {
  if (flowing === Wish.Raise) o.meteredKpa += probe.supplyStepKpa;
  if (flowing === Wish.Lower) o.meteredKpa -= probe.returnStepKpa;
}

/** What moves the pressure besides own pulses, as load. After a break it is as if it had always been as it is. */
function followPressure(o: PredictorState, pressureKpa: f32, c: Coefficients): void {
  const s = c.areaNPerKpa * (pressureKpa - o.meteredKpa);
  if (o.hasPressure === 0) {
    o.sensedPressureKpa = pressureKpa;
    o.pressure1N = o.pressure2N = o.pressure3N = o.pressure4N = o.pressure5N = s;
  }
  o.hasPressure = 1;
  o.sensedPressureKpa += c.sensorWeight * (pressureKpa - o.sensedPressureKpa);
  o.pressure1N += c.band1Weight * (s - o.pressure1N);
  o.pressure2N += c.band2Weight * (s - o.pressure2N);
  o.pressure3N += c.band3Weight * (s - o.pressure3N);
  o.pressure4N += c.band4Weight * (s - o.pressure4N);
  o.pressure5N += c.band5Weight * (s - o.pressure5N);
}

function followInertia(o: PredictorState, inertiaN: f32, c: Coefficients): void {
  o.sensedInertiaN += c.sensorWeight * (inertiaN - o.sensedInertiaN);
  o.inertia1N += c.band1Weight * (inertiaN - o.inertia1N);
  o.inertia2N += c.band2Weight * (inertiaN - o.inertia2N);
  o.inertia3N += c.band3Weight * (inertiaN - o.inertia3N);
  o.inertia4N += c.band4Weight * (inertiaN - o.inertia4N);
  o.inertia5N += c.band5Weight * (inertiaN - o.inertia5N);
}

/** The load without the actuator's share. After a break it is as if it had always been as it is. */
function followLoad(o: PredictorState, loadN: f32, c: Coefficients): void {
  const d = loadN - c.areaNPerKpa * o.sensedPressureKpa - o.sensedInertiaN;
  if (o.hasLoad === 0) o.load1N = o.load2N = o.load3N = o.load4N = o.load5N = d;
  o.hasLoad = 1;
  o.load1N += c.band1Weight * (d - o.load1N);
  o.load2N += c.band2Weight * (d - o.load2N);
  o.load3N += c.band3Weight * (d - o.load3N);
  o.load4N += c.band4Weight * (d - o.load4N);
  o.load5N += c.band5Weight * (d - o.load5N);
}

function showBands(o: PredictorState, probe: RowProbe): void {
  probe.loadTrend1N = o.load2N - o.load1N;
  probe.loadTrend2N = o.load3N - o.load2N;
  probe.loadTrend3N = o.load4N - o.load3N;
  probe.loadTrend4N = o.load5N - o.load4N;
  probe.pressureTrend1N = o.pressure2N - o.pressure1N;
  probe.pressureTrend2N = o.pressure3N - o.pressure2N;
  probe.pressureTrend3N = o.pressure4N - o.pressure3N;
  probe.pressureTrend4N = o.pressure5N - o.pressure4N;
  probe.inertia1N = o.inertia1N;
  probe.inertia2N = o.inertia2N;
  probe.inertia3N = o.inertia3N;
  probe.inertia4N = o.inertia4N;
  probe.inertia5N = o.inertia5N;
}

/** What the trends add to the present load. */
function weigh(probe: RowProbe, p: Parameters): f32 {
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

/** The same without an accelerometer, or while it is in doubt: inertia then stays in the load. */
function weighBlind(probe: RowProbe, p: Parameters): f32 {
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

/**
 * One tick of the predictor. What is in doubt, or not on the ground, is not followed, and starts afresh afterwards.
 * @param loadN after zero, unfiltered
 * @param flowing direction of the open valve
 */
export function observe(
  o: PredictorState,
  flowing: u8,
  probe: RowProbe,
  loadN: f32,
  isLoad: bool,
  isPressure: bool,
  isAcceleration: bool,
  p: Parameters,
  c: Coefficients,
): void {
  followOwn(o, flowing, probe);
  followInertia(o, isAcceleration ? p.movingMassKg * probe.accelerationMps2 : 0, c);
  if (isPressure) followPressure(o, probe.pressureRawKpa, c);
  else o.hasPressure = 0;
  if (isLoad && isPressure) followLoad(o, loadN, c);
  else o.hasLoad = 0;
  showBands(o, probe);
  probe.meteredKpa = o.meteredKpa;
  probe.smoothKpa = o.pressure4N / c.areaNPerKpa + o.meteredKpa;
  probe.presentN = o.load4N + c.areaNPerKpa * probe.smoothKpa;
  probe.predictedN = probe.presentN + (isAcceleration ? weigh(probe, p) : weighBlind(probe, p));
}
