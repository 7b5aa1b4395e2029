import { bottomPa, fillRow, pressureAt, senseLoad, storedAt } from './chamber';
import {
  base,
  derived,
  fineBegin,
  fineEnd,
  fineMiddle,
  Moment,
  machine,
  momentBegin,
  momentEnd,
  momentMiddle,
  plant,
  Rates,
  RowState,
  rates,
  rowMade,
  rowState,
  setup,
  track,
  trial,
  trouble,
  valve,
} from './generated/records';
import { meetGround } from './ground';
import { moveRow } from './mechanics';
import { setMoment } from './moment';

/*
 * Classical Runge–Kutta of fourth order. Rows share rail, return and supply, which stand still within a step; so each row is
 * integrated by itself. A row whose accumulator is bottomed, or about to be, is stiff and takes four shorter steps.
 */

/** Short steps for a stiff row. */
const FINE_STEPS: i32 = 4;
/** How near its bottom an accumulator counts as bottomed. */
const NEAR_BOTTOM: f64 = 1.02;

/**
 * Rates of a row for the state `y`, at a moment that is `fraction` of the step under way: valves move evenly over a step.
 * What was met there stays in the rates.
 */
function rateRow(r: Rates, row: i32, y: RowState, moment: Moment, fraction: f64): void {
  const m = machine();
  const d = derived();
  const made = rowMade(row);
  const supply = valve(row * 2);
  const back = valve(row * 2 + 1);
  meetGround(r, track(row + 1), made, moment);
  moveRow(r, y.heightM, y.speedMps, y.chamberPa, made, plant().gravityMps2, m, d);
  const supplyOpening = supply.before + fraction * (supply.opening - supply.before);
  const returnOpening = back.before + fraction * (back.opening - back.before);
  fillRow(r, y, supplyOpening, returnOpening, made, trouble(row), m, d);
  senseLoad(r, y.sensedN, m);
}

/** Puts `y + seconds · rates` into `to`. */
function lean(to: RowState, y: RowState, r: Rates, seconds: f64): void {
  to.heightM = y.heightM + seconds * r.heightMps;
  to.speedMps = y.speedMps + seconds * r.speedMps2;
  to.storedM3 = y.storedM3 + seconds * r.storedM3PerS;
  to.gasK = y.gasK + seconds * r.gasKPerS;
  to.chamberPa = pressureAt(to.storedM3, to.gasK, derived());
  to.sensedN = y.sensedN + seconds * r.sensedNPerS;
  to.spoolPa = y.spoolPa;
}

/** Adds a stage's share to the state, and to what is counted along. */
function gather(y: RowState, r: Rates, seconds: f64): void {
  lean(y, y, r, seconds);
  y.oilM3 += seconds * (r.supplyM3PerS + r.bypassM3PerS);
  y.returnedM3 += seconds * (r.returnM3PerS + r.bypassM3PerS);
  y.reboundJ += seconds * r.reboundW;
}

/** One Runge–Kutta step of a row, over the part of the step under way from fraction `from` to `to`. */
function stepRow(row: i32, from: f64, to: f64, begin: Moment, middle: Moment, end: Moment): void {
  const r = rates();
  const y = rowState(row);
  const start = base();
  const lent = trial();
  const seconds = (to - from) * derived().stepS;
  const half = 0.5 * (from + to);
  y.storedM3 = storedAt(y.chamberPa, y.gasK, derived());
  lean(start, y, r, 0);
  rateRow(r, row, start, begin, from);
  gather(y, r, seconds / 6);
  lean(lent, start, r, 0.5 * seconds);
  rateRow(r, row, lent, middle, half);
  gather(y, r, seconds / 3);
  lean(lent, start, r, 0.5 * seconds);
  rateRow(r, row, lent, middle, half);
  gather(y, r, seconds / 3);
  lean(lent, start, r, seconds);
  rateRow(r, row, lent, end, to);
  gather(y, r, seconds / 6);
}

/** Integrates all rows over the step under way. */
export function stepRows(): void {
  const rows = <i32>setup().rows;
  setMoment(momentBegin(), 0);
  setMoment(momentMiddle(), 0.5);
  setMoment(momentEnd(), 1);
  for (let row = 0; row < rows; row++) {
    const y = rowState(row);
    if (y.chamberPa > NEAR_BOTTOM * bottomPa(y.gasK, derived())) {
      stepRow(row, 0, 1, momentBegin(), momentMiddle(), momentEnd());
      continue;
    }
    for (let part = 0; part < FINE_STEPS; part++) {
      const from = <f64>part / <f64>FINE_STEPS;
      const to = <f64>(part + 1) / <f64>FINE_STEPS;
      setMoment(fineBegin(), from);
      setMoment(fineMiddle(), 0.5 * (from + to));
      setMoment(fineEnd(), to);
      stepRow(row, from, to, fineBegin(), fineMiddle(), fineEnd());
    }
  }
}

/** Rates of a row (from 0) at a fraction of the step under way, for the state in `trial`; they stand in `rates`. */
export function rateTrial(row: i32, fraction: f64): void {
  setMoment(fineBegin(), fraction);
  rateRow(rates(), row, trial(), fineBegin(), fraction);
}

/** Rates of a row as it stands at the step's end. */
export function rateNow(row: i32): void {
  rateRow(rates(), row, rowState(row), momentEnd(), 1);
}
