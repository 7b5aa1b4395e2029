import { bottomPa, chamberRates, loadSensorRate, pressureAt, storedAt } from './chamber';
import {
  derived,
  fineEnd,
  fineMiddle,
  fineStart,
  injectedFaults,
  machine,
  plant,
  Rates,
  RowState,
  rates,
  rowProperties,
  rowState,
  Stage,
  setup,
  stageEnd,
  stageMiddle,
  stageStart,
  startState,
  trial,
  valve,
} from './generated/records';
import { groundUnderRow } from './ground';
import { rowForces } from './mechanics';
import { setStage } from './stage';

/*
 * Classical fourth-order Runge–Kutta. Rail, return line and supply are constant within a step, so each row is integrated
 * independently. A row whose accumulator is bottomed, or nearly so, is stiff and takes four shorter steps.
 */

/** Number of short steps for a stiff row. */
const FINE_STEPS: i32 = 4;
/** Chamber pressure over bottoming pressure below which a row counts as stiff. */
const NEAR_BOTTOM: f64 = 1.02;

/**
 * Computes the rates of a row for the state `y`, at a stage that is at `fraction` of the current step. Valve openings change
 * linearly over a step.
 */
function rowRates(r: Rates, row: i32, y: RowState, stage: Stage, fraction: f64): void {
  const m = machine();
  const d = derived();
  const properties = rowProperties(row);
  const supplyValve = valve(row * 2);
  const returnValve = valve(row * 2 + 1);
  groundUnderRow(r, row, stage);
  rowForces(r, y.heightM, y.speedMps, y.chamberPa, properties, plant().gravityMps2, m, d);
  const supplyOpening = supplyValve.before + fraction * (supplyValve.opening - supplyValve.before);
  const returnOpening = returnValve.before + fraction * (returnValve.opening - returnValve.before);
  chamberRates(r, y, supplyOpening, returnOpening, properties, injectedFaults(row), m, d);
  loadSensorRate(r, y.sensedN, m);
}

/** Sets `to` to `y + seconds · rates`. */
function extrapolate(to: RowState, y: RowState, r: Rates, seconds: f64): void {
  to.heightM = y.heightM + seconds * r.heightMps;
  to.speedMps = y.speedMps + seconds * r.speedMps2;
  to.storedM3 = y.storedM3 + seconds * r.storedM3PerS;
  to.gasK = y.gasK + seconds * r.gasKPerS;
  to.gasJPerK = y.gasJPerK;
  to.chamberPa = pressureAt(to.storedM3, to.gasK, to.gasJPerK, derived());
  to.sensedN = y.sensedN + seconds * r.sensedNPerS;
  to.spoolPa = y.spoolPa;
}

/** Adds a stage's share to the state and to the totals. */
function accumulate(y: RowState, r: Rates, seconds: f64): void {
  extrapolate(y, y, r, seconds);
  y.oilM3 += seconds * (r.supplyM3PerS + r.bypassM3PerS);
  y.returnedM3 += seconds * (r.returnM3PerS + r.bypassM3PerS);
  y.reboundJ += seconds * r.reboundW;
}

/** One Runge–Kutta step of a row, from fraction `from` to fraction `to` of the current step. */
function stepRow(row: i32, from: f64, to: f64, first: Stage, middle: Stage, last: Stage): void {
  const r = rates();
  const y = rowState(row);
  const initial = startState();
  const next = trial();
  const seconds = (to - from) * derived().stepS;
  const half = 0.5 * (from + to);
  y.storedM3 = storedAt(y.chamberPa, y.gasK, y.gasJPerK, derived());
  extrapolate(initial, y, r, 0);
  rowRates(r, row, initial, first, from);
  accumulate(y, r, seconds / 6);
  extrapolate(next, initial, r, 0.5 * seconds);
  rowRates(r, row, next, middle, half);
  accumulate(y, r, seconds / 3);
  extrapolate(next, initial, r, 0.5 * seconds);
  rowRates(r, row, next, middle, half);
  accumulate(y, r, seconds / 3);
  extrapolate(next, initial, r, seconds);
  rowRates(r, row, next, last, to);
  accumulate(y, r, seconds / 6);
}

/** Integrates all rows over the current step. */
export function stepRows(): void {
  const rows = <i32>setup().rows;
  setStage(stageStart(), 0);
  setStage(stageMiddle(), 0.5);
  setStage(stageEnd(), 1);
  for (let row = 0; row < rows; row++) {
    const y = rowState(row);
    if (y.chamberPa > NEAR_BOTTOM * bottomPa(y.gasK, y.gasJPerK, derived())) {
      stepRow(row, 0, 1, stageStart(), stageMiddle(), stageEnd());
      continue;
    }
    for (let part = 0; part < FINE_STEPS; part++) {
      const from = <f64>part / <f64>FINE_STEPS;
      const to = <f64>(part + 1) / <f64>FINE_STEPS;
      setStage(fineStart(), from);
      setStage(fineMiddle(), 0.5 * (from + to));
      setStage(fineEnd(), to);
      stepRow(row, from, to, fineStart(), fineMiddle(), fineEnd());
    }
  }
}

/** Computes a row's rates for the state in `trial`, at a fraction of the current step; the result is in `rates`. */
export function trialRates(row: i32, fraction: f64): void {
  setStage(fineStart(), fraction);
  trial().gasJPerK = rowState(row).gasJPerK;
  rowRates(rates(), row, trial(), fineStart(), fraction);
}

/** Computes a row's rates at the end of the step. */
export function currentRates(row: i32): void {
  rowRates(rates(), row, rowState(row), stageEnd(), 1);
}
