import { clamp } from './constants';
import { Actuation, ATMOSPHERE_PA, drive, Machine, machine, plant, RowState, rowState, setup } from './generated/records';
import { normal, Purpose } from './random';
import { loadGain } from './sensors';

/*
 * For comparison only: a proportional pressure valve in place of the pair, with a PI controller on the same load sensor. Its
 * coil is always energised. Friction and dirt cause hysteresis between commanded and set pressure.
 */

/** One controller step per tick: filter, PI with conditional integration, limits. */
function control(y: RowState, readingN: f64, tickS: f64, m: Machine): void {
  const k = Math.tan(Math.PI * Math.min(0.49, m.proportionalFilterHz * tickS));
  const norm = 1 / (1 + k * Math.SQRT2 + k * k);
  const b0 = k * k * norm;
  const loadN = b0 * readingN + y.filtered1;
  y.filtered1 = 2 * b0 * readingN - 2 * (k * k - 1) * norm * loadN + y.filtered2;
  y.filtered2 = b0 * readingN - (1 - k * Math.SQRT2 + k * k) * norm * loadN;
  const x = drive();
  if (x.lowered === 0 || x.enabled === 0 || x.shutDown !== 0) return;
  const errorN = x.targetLoadN - loadN;
  const maxPa = m.proportionalMaxKpa * 1000;
  const integral = y.integralPa + m.proportionalKpaPerNS * 1000 * errorN * tickS;
  const command = m.proportionalKpaPerN * 1000 * errorN + integral;
  y.commandPa = clamp(command, 0, maxPa);
  if ((command - y.commandPa) * errorN <= 0) y.integralPa = integral;
}

/** Runs the PI controllers on the sensed load with its noise. */
export function controlProportional(): void {
  if (setup().actuation !== Actuation.Proportional) return;
  const m = machine();
  const tickS = 1 / setup().tickHz;
  const tick = <u64>plant().tick;
  const rows = <i32>setup().rows;
  for (let row = 0; row < rows; row++) {
    const y = rowState(row);
    const noise = m.loadNoiseN * normal(setup().seed, row + 1, Purpose.LoadNoise, tick);
    control(y, y.sensedN * loadGain(row, m) + noise, tickS, m);
  }
}

/** Integrates coil, spool and friction over a step. Returns the current of all coils, A. */
export function stepProportional(stepS: f64): f64 {
  if (setup().actuation !== Actuation.Proportional) return 0;
  const m = machine();
  const weight = 1 - Math.exp(-2 * Math.PI * m.spoolHz * stepS);
  const hours = plant().tick / setup().tickHz / 3600;
  const frictionPa = (m.spoolFrictionKpa + m.contaminationKpaPerHour * hours) * 1000;
  const rows = <i32>setup().rows;
  let sumA: f64 = 0;
  for (let row = 0; row < rows; row++) {
    const y = rowState(row);
    y.laggedPa += weight * (ATMOSPHERE_PA + y.commandPa - y.laggedPa);
    y.spoolPa = clamp(y.spoolPa, y.laggedPa - frictionPa, y.laggedPa + frictionPa);
    const share = y.commandPa / (m.proportionalMaxKpa * 1000);
    const amperes = m.proportionalMinA + (m.proportionalMaxA - m.proportionalMinA) * share;
    y.coilJ += plant().bankV * amperes * stepS;
    y.coilLossJ += m.proportionalOhm * amperes * amperes * stepS;
    sumA += amperes;
  }
  return sumA;
}
