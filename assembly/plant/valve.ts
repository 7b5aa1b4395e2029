import { Machine, machine, plant, RowState, rowOutput, rowState, setup, Trouble, trouble, Valve, valve } from './generated/records';
import { Purpose, uniform } from './random';

/*
 * A magnetic latching valve. Current in its coil rises as i = V/R·(1 − exp(−t·R/L)); from `pullA` on the armature moves, from
 * one end to the other in `moveMs`. Past `throwRatio` of its way the magnet takes it to the end; before, back to where it was.
 * Without current it stays. Nothing tells the controller where it is.
 */

/** Orders as in the contract. */
const NONE: u8 = 0;
const OPEN: u8 = 1;

/** Takes one from the strokes that are to be missed, if any are. */
function isPlannedMiss(t: Trouble, isSupply: bool, isOpening: bool): bool {
  const opens = isSupply ? offsetof<Trouble>('missSupplyOpens') : offsetof<Trouble>('missReturnOpens');
  const closes = isSupply ? offsetof<Trouble>('missSupplyCloses') : offsetof<Trouble>('missReturnCloses');
  const at = changetype<usize>(t) + (isOpening ? opens : closes);
  const left = load<f64>(at);
  if (left < 1) return false;
  store<f64>(at, left - 1);
  return true;
}

/** A coil's order changes at a tick's begin: a stroke begins, or the current ends. */
function takeOrder(v: Valve, index: i32, order: u8, t: Trouble, y: RowState): void {
  if (<f64>order === v.order) return;
  v.order = <f64>order;
  v.coilA = 0;
  v.missing = 0;
  if (order === NONE) return;
  v.strokes += 1;
  const isPlanned = isPlannedMiss(t, (index & 1) === 0, order === OPEN);
  const isByChance =
    t.missRatio > 0 && uniform(setup().seed, (index >> 1) + 1, Purpose.Missed, ((<u64>v.strokes) << 1) + <u64>(index & 1)) < t.missRatio;
  if (!isPlanned && !isByChance) return;
  v.missing = 1;
  y.missed += 1;
}

/** Puts a valve somewhere, where the drive asks for it. */
function place(v: Valve, wanted: f64): void {
  if (wanted === 0) return;
  v.latched = wanted === 1 ? 1 : 0;
  v.opening = v.latched;
}

/** At a tick's begin: what the controller ordered, and where somebody put a valve. */
export function takeOrders(): void {
  const rows = <i32>setup().rows;
  for (let row = 0; row < rows; row++) {
    const t = trouble(row);
    const orders = rowOutput(row);
    takeOrder(valve(row * 2), row * 2, orders.supplyOrder, t, rowState(row));
    takeOrder(valve(row * 2 + 1), row * 2 + 1, orders.returnOrder, t, rowState(row));
    place(valve(row * 2), t.placeSupply);
    place(valve(row * 2 + 1), t.placeReturn);
    t.placeSupply = 0;
    t.placeReturn = 0;
  }
}

/** Current rises over a step; returns for how much of it the coil pulls. `decay`: exp(−step·R/L). */
function driveCoil(v: Valve, y: RowState, volts: f64, decay: f64, stepS: f64, m: Machine): f64 {
  const mostA = volts / m.coilOhm;
  const before = v.coilA;
  v.coilA = mostA + (before - mostA) * decay;
  const meanA = 0.5 * (before + v.coilA);
  y.coilJ += volts * meanA * stepS;
  y.coilLossJ += m.coilOhm * meanA * meanA * stepS;
  if (!(v.coilA >= m.pullA)) return 0;
  return before >= m.pullA ? stepS : (stepS * (v.coilA - m.pullA)) / (v.coilA - before);
}

/** Moves the armature over a step in which the coil pulls for `pulledS`. */
function move(v: Valve, pulledS: f64, stepS: f64, isStuck: bool, m: Machine): void {
  v.before = v.opening;
  if (isStuck) return;
  const pullsTo: f64 = v.order === <f64>OPEN ? 1 : 0;
  const isPulled = pulledS > 0 && v.missing === 0;
  // Left to itself, the magnet takes it to the nearer side of its point of no return.
  const isThrown = Math.abs(v.opening - v.latched) >= m.throwRatio;
  const fallsTo = isThrown ? 1 - v.latched : v.latched;
  const way = (isPulled ? pulledS : stepS) / (m.moveMs * 1e-3);
  const end = isPulled ? pullsTo : fallsTo;
  v.opening = end > v.opening ? Math.min(end, v.opening + way) : Math.max(end, v.opening - way);
  if (v.opening === 1 || v.opening === 0) v.latched = v.opening;
}

/** Drives coils and moves armatures over the step that begins. Returns the mean current of all coils over it, A. */
export function stepValves(stepS: f64): f64 {
  const m = machine();
  const volts = plant().coilV;
  const decay = Math.exp((-stepS * m.coilOhm) / (m.coilMh * 1e-3));
  const rows = <i32>setup().rows;
  let sumA: f64 = 0;
  for (let index = 0; index < rows * 2; index++) {
    const v = valve(index);
    const row = index >> 1;
    const t = trouble(row);
    const isDriven = v.order !== 0;
    const isResting = !isDriven && v.opening === v.latched;
    v.before = v.opening;
    if (isResting) continue;
    const beforeA = v.coilA;
    const pulledS = isDriven ? driveCoil(v, rowState(row), volts, decay, stepS, m) : 0;
    move(v, pulledS, stepS, (index & 1) === 0 ? t.supplyStuck !== 0 : t.returnStuck !== 0, m);
    sumA += 0.5 * (beforeA + v.coilA);
  }
  return sumA;
}
