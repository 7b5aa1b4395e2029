import {
  ATMOSPHERE_PA,
  bankInput,
  drive,
  GRAVITY_MPS2,
  injectedFaults,
  Machine,
  machine,
  plant,
  rowInput,
  rowProperties,
  rowState,
  SensorFault,
  setup,
} from './generated/records';
import { readSoilAhead } from './preview';
import { normal, Purpose, randomBits, uniform } from './random';

/*
 * The controller's inputs: ratiometric sensors (their range is 10 to 90 % of their supply: common practice, no source) read by
 * an ADC with the same reference, with noise and with injected faults.
 */

/** Temperature at which the load sensor's zero has no drift, °C. */
const DRIFT_FROM_C: f64 = 20;
/** Jump of the reading with a loose connector, as a share of full scale. */
const JUMP: f64 = 0.22;
/** Frequency at which the load reading swings, Hz. */
const SWING_HZ: f64 = 2;
/** "Not available" of a two-byte value on an ISO 11783 bus. */
const NOT_AVAILABLE: u16 = 0xffff;

/** Converts a reading to ADC counts, limited to the ADC's range. */
function countsOf(value: f64, atTen: f64, atNinety: f64, full: f64): f64 {
  const counts = nearest(full * (0.1 + (0.8 * (value - atTen)) / (atNinety - atTen)));
  return max<f64>(0, min<f64>(full - 1, counts));
}

/** Applies an injected fault to a reading. @param frozen counts at which a frozen sensor stays */
function withFault(fault: f64, counts: f64, frozen: f64, full: f64, row: i32, channel: u64): u16 {
  if (fault === SensorFault.Open) return <u16>(full - 1);
  if (fault === SensorFault.Short) return 0;
  if (fault === SensorFault.Frozen) return <u16>frozen;
  const tick = <u64>plant().tick;
  if (fault === SensorFault.Jumping) return <u16>min<f64>(full - 1, (tick & 1) === 0 ? counts : counts + nearest(JUMP * full));
  if (fault === SensorFault.Garbage) return <u16>(randomBits(setup().seed, row, Purpose.Garbage, (tick << 2) + channel) & 0xffff);
  return <u16>counts;
}

/** A reading: signal and noise, or the noise alone. */
function withNoise(fault: f64, signal: f64, noise: f64): f64 {
  return fault === SensorFault.NoiseOnly ? noise : signal + noise;
}

/** Gain of a row's load sensor, with its drift since the start. */
export function loadGain(row: i32, m: Machine): f64 {
  const minutes = plant().tick / setup().tickHz / 60;
  const drift = Math.max(0, 1 + m.loadGainDriftRatioPerMin * minutes);
  return m.loadGainRatio * rowProperties(row).loadGain * injectedFaults(row).loadGainRatio * drift;
}

/** What the load sensor reads without load, N. */
function loadZero(row: i32, m: Machine): f64 {
  const faults = injectedFaults(row);
  const seconds = plant().tick / setup().tickHz;
  const swing = faults.loadSwingN === 0 ? 0 : faults.loadSwingN * Math.sin(2 * Math.PI * SWING_HZ * seconds);
  const ofOil = m.loadDriftNPerC * (drive().oilC - DRIFT_FROM_C);
  return rowProperties(row).loadZeroN + ofOil + rowState(row).loadDriftN + faults.loadOffsetN + swing;
}

/** Reads the load transducer behind the fluid coupling. */
function readLoad(row: i32, m: Machine): void {
  const faults = injectedFaults(row);
  const y = rowState(row);
  const tick = <u64>plant().tick;
  y.loadDriftN += (m.loadDriftNPerMin + faults.loadDriftNPerMin) / (60 * setup().tickHz);
  const noise = m.loadNoiseN * normal(setup().seed, row + 1, Purpose.LoadNoise, tick);
  const full = m.adcFullScaleCounts;
  const value = withNoise(faults.loadSensor, y.sensedN * loadGain(row, m) + loadZero(row, m), noise);
  const counts = countsOf(value, m.loadAtTenPercentN, m.loadAtNinetyPercentN, full);
  rowInput(row).loadCounts = withFault(faults.loadSensor, counts, y.frozenLoadCounts, full, row + 1, 0);
  if (faults.loadSensor !== SensorFault.Frozen) y.frozenLoadCounts = counts;
}

function readPressure(row: i32, m: Machine): void {
  const faults = injectedFaults(row);
  const y = rowState(row);
  const noise = m.pressureNoiseKpa * normal(setup().seed, row + 1, Purpose.PressureNoise, <u64>plant().tick);
  const value = withNoise(faults.pressureSensor, (y.chamberPa - ATMOSPHERE_PA) * 1e-3 + faults.pressureOffsetKpa, noise);
  const full = m.adcFullScaleCounts;
  const counts = countsOf(value, m.pressureAtTenPercentKpa, m.pressureAtNinetyPercentKpa, full);
  rowInput(row).pressureCounts = withFault(faults.pressureSensor, counts, y.frozenPressureCounts, full, row + 1, 1);
  if (faults.pressureSensor !== SensorFault.Frozen) y.frozenPressureCounts = counts;
}

/**
 * What a row's accelerometer measures, m/s²: the specific force at its place along its axis, which is tilted forward from the
 * normal to the ground. On a slope gravity has a part along the rows, rearward uphill; its reaction points forward.
 */
function alongAxis(row: i32, m: Machine): f64 {
  const p = plant();
  const y = rowState(row);
  const faults = injectedFaults(row);
  const grade = 0.01 * drive().gradePercent;
  const forward = p.accelerationMps2 + (m.accelerationGravityRatio * GRAVITY_MPS2 * grade) / Math.sqrt(1 + grade * grade);
  const atPlace = m.accelerationMountRatio * y.accelerationMps2 + (1 - m.accelerationMountRatio) * y.frameMps2;
  const up = atPlace + m.accelerationGravityRatio * p.gravityMps2;
  const tilt = (Math.PI / 180) * (m.accelerationTiltDeg + faults.accelerationTiltDeg);
  return up * Math.cos(tilt) + forward * Math.sin(tilt);
}

/** Without an accelerometer its input reads zero acceleration, unless a fault is injected there. */
function readAcceleration(row: i32, m: Machine): void {
  const faults = injectedFaults(row);
  const y = rowState(row);
  // White noise of a density σ/√Hz in the band up to half of the tick rate.
  const noiseMps2 = m.accelerationNoiseMps2PerRootHz * Math.sqrt(0.5 * setup().tickHz);
  const noise = noiseMps2 * normal(setup().seed, row + 1, Purpose.AccelerationNoise, <u64>plant().tick);
  const scale = m.accelerationScaleRatio * faults.accelerationScaleRatio;
  const signal = scale * alongAxis(row, m) + rowProperties(row).accelerationBiasMps2 + faults.accelerationBiasMps2;
  const value = m.accelerationFitted === 0 ? 0 : withNoise(faults.accelerationSensor, signal, noise);
  const full = m.adcFullScaleCounts;
  const counts = countsOf(value, m.accelerationAtTenPercentMps2, m.accelerationAtNinetyPercentMps2, full);
  rowInput(row).accelerationCounts = withFault(faults.accelerationSensor, counts, y.frozenAccelerationCounts, full, row + 1, 2);
  if (faults.accelerationSensor !== SensorFault.Frozen) y.frozenAccelerationCounts = counts;
}

/** Position of the lift switch as the controller reads it: 0 lifted, 1 lowered. While it bounces, at random. */
function readLiftSwitch(): u8 {
  const x = drive();
  if (x.liftSwitchBounceMs === 0) return <u8>x.lowered;
  const count = <u64>((plant().tick * 1000) / (setup().tickHz * x.liftSwitchBounceMs));
  return uniform(setup().seed, 0, Purpose.LiftSwitch, count) < 0.5 ? 0 : 1;
}

function readBank(m: Machine): void {
  const p = plant();
  const x = drive();
  const input = bankInput();
  const isLost = x.busLost !== 0;
  input.targetLoadN = isLost ? f32.NaN : <f32>x.targetLoadN;
  input.oilTemperatureC = isLost ? f32.NaN : <f32>x.oilC;
  input.groundSpeedMmPerS = isLost || x.speedLost !== 0 ? NOT_AVAILABLE : <u16>nearest(p.speedMps * 1000);
  input.supplyMv = <u16>min<f64>(65535, nearest(p.bankV * 1000));
  input.reservoirMv = <u16>min<f64>(65535, nearest(p.coilV * 1000));
  input.lowered = readLiftSwitch();
  input.enabled = <u8>x.enabled;
  input.shutDown = <u8>x.shutDown;
  const noise = m.pressureNoiseKpa * normal(setup().seed, 0, Purpose.RailNoise, <u64>p.tick);
  const full = m.adcFullScaleCounts;
  const value = withNoise(x.railSensor, (p.railPa - ATMOSPHERE_PA) * 1e-3, noise);
  const counts = countsOf(value, m.railAtTenPercentKpa, m.railAtNinetyPercentKpa, full);
  input.railCounts = withFault(x.railSensor, counts, p.frozenRailCounts, full, 0, 3);
  if (x.railSensor !== SensorFault.Frozen) p.frozenRailCounts = counts;
}

/** Writes the controller's inputs. */
export function readSensors(): void {
  const m = machine();
  readBank(m);
  const rows = <i32>setup().rows;
  for (let row = 0; row < rows; row++) {
    readLoad(row, m);
    readPressure(row, m);
    readAcceleration(row, m);
    rowInput(row).soilAheadN = readSoilAhead(row, m);
    rowInput(row).enabled = injectedFaults(row).off === 0 ? 1 : 0;
  }
}
