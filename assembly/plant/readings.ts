import { ATMOSPHERE_PA } from './constants';
import { bankInput, drive, Machine, machine, plant, rowInput, rowMade, rowState, SensorFault, setup, trouble } from './generated/records';
import { normal, Purpose, randomBits } from './random';

/*
 * What the controller is told: ratiometric sensors (10 to 90 % of their supply for their span: common practice, no source)
 * through a converter referenced to that supply, with noise, and with whatever is wrong with them.
 */

/** Temperature at which a load sensor has no drift, °C. */
const DRIFT_FROM_C: f64 = 20;
/** Jump of a loose connector, as a share of full scale. */
const JUMP: f64 = 0.22;
/** Frequency of a load reading's swing, Hz. */
const SWING_HZ: f64 = 2;
/** A two-byte value that is not available on an ISO 11783 bus. */
const NOT_AVAILABLE: u16 = 0xffff;

/** Code of a reading, within the converter's range. */
function codeOf(value: f64, atTen: f64, atNinety: f64, full: f64): f64 {
  const code = nearest(full * (0.1 + (0.8 * (value - atTen)) / (atNinety - atTen)));
  return max<f64>(0, min<f64>(full - 1, code));
}

/** The code that a faulty sensor shows in place of its own. `frozen`: its code when it froze. */
function faultyCode(fault: f64, code: f64, frozen: f64, full: f64, row: i32, channel: u64): u16 {
  if (fault === SensorFault.Open) return <u16>(full - 1);
  if (fault === SensorFault.Short) return 0;
  if (fault === SensorFault.Frozen) return <u16>frozen;
  const tick = <u64>plant().tick;
  if (fault === SensorFault.Jumping) return <u16>min<f64>(full - 1, (tick & 1) === 0 ? code : code + nearest(JUMP * full));
  if (fault === SensorFault.Garbage) return <u16>(randomBits(setup().seed, row, Purpose.Garbage, (tick << 2) + channel) & 0xffff);
  return <u16>code;
}

/** Load, as the transducer behind the coupling gives it. */
function readLoad(row: i32, m: Machine): void {
  const t = trouble(row);
  const y = rowState(row);
  const tick = <u64>plant().tick;
  const swing = t.loadSwingN === 0 ? 0 : t.loadSwingN * Math.sin(2 * Math.PI * SWING_HZ * (<f64>tick / setup().tickHz));
  const zeroN = rowMade(row).loadZeroN + m.loadDriftNPerC * (drive().oilC - DRIFT_FROM_C) + t.loadOffsetN + swing;
  const noise = m.loadNoiseN * normal(setup().seed, row + 1, Purpose.LoadNoise, tick);
  const full = m.adcFullScaleCounts;
  const code = codeOf(y.sensedN * m.loadGainRatio + zeroN + noise, m.loadAtTenPercentN, m.loadAtNinetyPercentN, full);
  rowInput(row).loadCounts = faultyCode(t.loadSensor, code, y.frozenLoadCounts, full, row + 1, 0);
  if (t.loadSensor !== SensorFault.Frozen) y.frozenLoadCounts = code;
}

function readPressure(row: i32, m: Machine): void {
  const t = trouble(row);
  const y = rowState(row);
  const noise = m.pressureNoiseKpa * normal(setup().seed, row + 1, Purpose.PressureNoise, <u64>plant().tick);
  const value = (y.chamberPa - ATMOSPHERE_PA) * 1e-3 + t.pressureOffsetKpa + noise;
  const full = m.adcFullScaleCounts;
  const code = codeOf(value, m.pressureAtTenPercentKpa, m.pressureAtNinetyPercentKpa, full);
  rowInput(row).pressureCounts = faultyCode(t.pressureSensor, code, y.frozenPressureCounts, full, row + 1, 1);
  if (t.pressureSensor !== SensorFault.Frozen) y.frozenPressureCounts = code;
}

/** Without an accelerometer its input stands at no acceleration. */
function readAcceleration(row: i32, m: Machine): void {
  const t = trouble(row);
  const y = rowState(row);
  const noise = m.accelerationNoiseMps2 * normal(setup().seed, row + 1, Purpose.AccelerationNoise, <u64>plant().tick);
  const value = m.accelerationFitted === 0 ? 0 : y.accelerationMps2 + noise;
  const full = m.adcFullScaleCounts;
  const code = codeOf(value, m.accelerationAtTenPercentMps2, m.accelerationAtNinetyPercentMps2, full);
  rowInput(row).accelerationCounts = faultyCode(t.accelerationSensor, code, y.frozenAccelerationCounts, full, row + 1, 2);
  if (t.accelerationSensor !== SensorFault.Frozen) y.frozenAccelerationCounts = code;
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
  input.lowered = <u8>x.lowered;
  input.enabled = <u8>x.enabled;
  input.shutDown = <u8>x.shutDown;
  const noise = m.pressureNoiseKpa * normal(setup().seed, 0, Purpose.RailNoise, <u64>p.tick);
  const full = m.adcFullScaleCounts;
  const code = codeOf((p.railPa - ATMOSPHERE_PA) * 1e-3 + noise, m.railAtTenPercentKpa, m.railAtNinetyPercentKpa, full);
  input.railCounts = faultyCode(x.railSensor, code, p.frozenRailCounts, full, 0, 3);
  if (x.railSensor !== SensorFault.Frozen) p.frozenRailCounts = code;
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
    rowInput(row).enabled = trouble(row).off === 0 ? 1 : 0;
  }
}
