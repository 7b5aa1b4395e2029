import { beginRun, gravityOn } from './begin';
import { clamp } from './constants';
import { viscosityAt } from './flow';
import { derived, drive, machine, PROFILE_STEP_M, plant, RING, rowState, setup } from './generated/records';
import { rateTrial, stepRows } from './integrate';
import { addPoint } from './profile';
import { controlProportional, stepProportional } from './proportional';
import { readSensors } from './readings';
import { stepElectrics, stepRail } from './supply';
import { tellTruth } from './tell';
import { stepValves, takeOrders } from './valve';

/** Sets up from setup, machine, field and drive. Once in the life of an instance. */
export function begin(): void {
  beginRun();
}

/** Temperatures further apart than this get a new viscosity, °C. */
const VISCOSITY_STEP_C: f64 = 0.1;

/** A tick's begin: orders are taken, speed and slope are set on their way. */
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
  controlProportional();
}

/** A step's begin: armatures move, the profile reaches far enough ahead, the frame is on its way. */
export function beginStep(): void {
  const p = plant();
  const d = derived();
  while (p.wayM >= (p.point + 1) * PROFILE_STEP_M) {
    p.point += 1;
    addPoint(<i64>p.point + RING - 2);
  }
  const liftPerS = (drive().lowered === 0 ? 1 : -1) / machine().liftS;
  p.liftPerS = (clamp(p.liftRatio + liftPerS * d.stepS, 0, 1) - p.liftRatio) / d.stepS;
  p.coilsA = stepValves(d.stepS) + stepProportional(d.stepS);
}

/** Rates of a row (from 0) at a fraction of the step under way for the state in `trial`: for tests of the integration. */
export function rateAt(row: i32, fraction: f64): void {
  rateTrial(row, fraction);
}

/** Oil that all rows took and gave so far, m³. */
function drawnM3(): f64 {
  let sum: f64 = 0;
  for (let row = 0; row < <i32>setup().rows; row++) sum += rowState(row).oilM3;
  return sum;
}
function returnedM3(): f64 {
  let sum: f64 = 0;
  for (let row = 0; row < <i32>setup().rows; row++) sum += rowState(row).returnedM3;
  return sum;
}

/** Integrates the step under way and what rows share. */
export function endStep(): void {
  const p = plant();
  const d = derived();
  const drawn = drawnM3();
  const returned = returnedM3();
  stepRows();
  stepRail((drawnM3() - drawn) / d.stepS, (returnedM3() - returned) / d.stepS, d.stepS);
  stepElectrics(p.coilsA, d.stepS);
  p.wayM += d.stepS * (p.speedMps + 0.5 * p.accelerationMps2 * d.stepS);
  p.speedMps += p.accelerationMps2 * d.stepS;
  p.liftRatio = clamp(p.liftRatio + p.liftPerS * d.stepS, 0, 1);
}

/** A tick's end: sensors are read, the truth is told. */
export function endTick(): void {
  plant().tick += 1;
  tellTruth();
  readSensors();
}

/** One tick of the controller's clock. */
export function tick(): void {
  beginTick();
  const steps = <i32>derived().steps;
  for (let step = 0; step < steps; step++) {
    beginStep();
    endStep();
  }
  endTick();
}
