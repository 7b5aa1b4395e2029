import { loseGas } from './chamber';
import { clamp } from './constants';
import { viscosityAt } from './flow';
import { beginSupports, endSupports } from './frame';
import { derived, drive, machine, PROFILE_STEP_M, plant, RING, rowState, setup } from './generated/records';
import { stepRows, trialRates } from './integrate';
import { addPoint } from './profile';
import { controlProportional, stepProportional } from './proportional';
import { readSensors } from './sensors';
import { gravityOn, setUp, weighRow } from './setup';
import { stepElectrics, stepRail } from './supply';
import { writeTruth } from './truth';
import { coilCurrent, stepValves, takeOrders } from './valve';

/** Starts a run from setup, machine, field and drive. Called once per instance. */
export function start(): void {
  setUp();
}

/** The viscosity is computed again when the oil temperature has changed by more than this, °C. */
const VISCOSITY_STEP_C: f64 = 0.1;

/** Start of a tick: takes the controller's orders, and what drive and events ask for. */
export function beginTick(): void {
  const p = plant();
  const x = drive();
  p.accelerationMps2 = (x.speedMps - p.speedMps) * setup().tickHz;
  p.gravityMps2 = gravityOn(x.gradePercent, x.sideSlopePercent);
  if (Math.abs(x.oilC - p.viscosityAtC) > VISCOSITY_STEP_C) {
    p.viscosityAtC = x.oilC;
    p.viscosityM2PerS = viscosityAt(x.oilC, derived());
  }
  takeOrders();
  loseGas();
  controlProportional();
}

/** The rows plant seed from one profile point to the next. */
function plantPoint(): void {
  plant().plantedM += PROFILE_STEP_M;
  for (let row = 0; row < <i32>setup().rows; row++) weighRow(row);
}

/** Start of a step: extends the profile, moves armatures and frame. */
export function beginStep(): void {
  const p = plant();
  const d = derived();
  while (p.distanceM >= (p.point + 1) * PROFILE_STEP_M) {
    p.point += 1;
    addPoint(<i64>p.point + RING - 2);
    if (p.liftRatio === 0) plantPoint();
  }
  const liftPerS = drive().lowered === 0 ? 1 / machine().liftS : -1 / machine().lowerS;
  p.liftPerS = (clamp(p.liftRatio + liftPerS * d.stepS, 0, 1) - p.liftRatio) / d.stepS;
  beginSupports();
  const proportionalA = stepProportional(d.stepS);
  p.coilsA = stepValves(d.stepS) + proportionalA;
  p.coilsEndA = coilCurrent() + proportionalA;
}

/** Computes a row's rates for the state in `trial`, at a fraction of the current step. For tests of the integration. */
export function computeRates(row: i32, fraction: f64): void {
  trialRates(row, fraction);
}

/** Oil that all rows have taken from the rail, m³. */
function takenM3(): f64 {
  let sum: f64 = 0;
  for (let row = 0; row < <i32>setup().rows; row++) sum += rowState(row).oilM3;
  return sum;
}

/** Oil that all rows have given to the return line, m³. */
function returnedM3(): f64 {
  let sum: f64 = 0;
  for (let row = 0; row < <i32>setup().rows; row++) sum += rowState(row).returnedM3;
  return sum;
}

/** End of a step: integrates the rows, then updates what they share. */
export function endStep(): void {
  const p = plant();
  const d = derived();
  const taken = takenM3();
  const returned = returnedM3();
  stepRows();
  stepRail((takenM3() - taken) / d.stepS, (returnedM3() - returned) / d.stepS, d.stepS);
  stepElectrics(p.coilsA, d.stepS);
  p.distanceM += d.stepS * (p.speedMps + 0.5 * p.accelerationMps2 * d.stepS);
  p.speedMps += p.accelerationMps2 * d.stepS;
  p.liftRatio = clamp(p.liftRatio + p.liftPerS * d.stepS, 0, 1);
  endSupports();
}

/** End of a tick: writes the truth and the sensor readings. */
export function endTick(): void {
  plant().tick += 1;
  writeTruth();
  readSensors();
}

/** Runs one tick of the controller's clock. */
export function tick(): void {
  beginTick();
  const steps = <i32>derived().steps;
  for (let step = 0; step < steps; step++) {
    beginStep();
    endStep();
  }
  endTick();
}
