import {
  InjectedFaults,
  injectedFaults,
  Machine,
  machine,
  plant,
  RowState,
  rowOutput,
  rowState,
  setup,
  Valve,
  valve,
} from './generated/records';
import { Purpose, uniform } from './random';

/*
 * A magnetic latching valve. The coil current rises as i = V/R·(1 − exp(−t·R/L)). At `pullA` the armature starts to move; its
 * full travel takes `moveMs`. Without current the magnet pulls the armature to the nearer end: on to the new one past
 * `throwRatio` of the travel, back to the old one before it. The controller cannot read its position.
 */

/** Orders, as in the contract. */
const NONE: u8 = 0;
const OPEN: u8 = 1;

/** Whether this stroke is one of those that the scenario wants missed; if so, counts it down. */
function takePlannedMiss(faults: InjectedFaults, isSupply: bool, isOpening: bool): bool {
  const opens = isSupply ? offsetof<InjectedFaults>('missSupplyOpens') : offsetof<InjectedFaults>('missReturnOpens');
  const closes = isSupply ? offsetof<InjectedFaults>('missSupplyCloses') : offsetof<InjectedFaults>('missReturnCloses');
  const at = changetype<usize>(faults) + (isOpening ? opens : closes);
  const left = load<f64>(at);
  if (left < 1) return false;
  store<f64>(at, left - 1);
  return true;
}

/** Takes a coil's order at the start of a tick: a changed order starts a stroke or ends its current. */
function takeOrder(v: Valve, index: i32, order: u8, faults: InjectedFaults, y: RowState): void {
  if (<f64>order === v.order) return;
  v.order = <f64>order;
  v.coilA = 0;
  v.missing = 0;
  if (order === NONE) return;
  v.strokes += 1;
  const isPlanned = takePlannedMiss(faults, (index & 1) === 0, order === OPEN);
  const isRandom =
    faults.missRatio > 0 &&
    uniform(setup().seed, (index >> 1) + 1, Purpose.Missed, ((<u64>v.strokes) << 1) + <u64>(index & 1)) < faults.missRatio;
  if (!isPlanned && !isRandom) return;
  v.missing = 1;
  y.missed += 1;
}

/** Moves a valve to a position that the scenario asks for: 0 no change, 1 open, 2 closed. */
function place(v: Valve, position: f64): void {
  if (position === 0) return;
  v.latched = position === 1 ? 1 : 0;
  v.opening = v.latched;
}

/** Takes the controller's orders and the scenario's valve positions, at the start of a tick. */
export function takeOrders(): void {
  const rows = <i32>setup().rows;
  for (let row = 0; row < rows; row++) {
    const faults = injectedFaults(row);
    const orders = rowOutput(row);
    takeOrder(valve(row * 2), row * 2, orders.supplyOrder, faults, rowState(row));
    takeOrder(valve(row * 2 + 1), row * 2 + 1, orders.returnOrder, faults, rowState(row));
    place(valve(row * 2), faults.placeSupply);
    place(valve(row * 2 + 1), faults.placeReturn);
    faults.placeSupply = 0;
    faults.placeReturn = 0;
  }
}

/** Integrates the coil current over a step; returns the time for which it is above `pullA`, s. @param decay exp(−step·R/L) */
function driveCoil(v: Valve, y: RowState, volts: f64, decay: f64, stepS: f64, m: Machine): f64 {
  const finalA = volts / m.coilOhm;
  const before = v.coilA;
  v.coilA = finalA + (before - finalA) * decay;
  const meanA = 0.5 * (before + v.coilA);
  y.coilJ += volts * meanA * stepS;
  y.coilLossJ += m.coilOhm * meanA * meanA * stepS;
  if (!(v.coilA >= m.pullA)) return 0;
  return before >= m.pullA ? stepS : (stepS * (v.coilA - m.pullA)) / (v.coilA - before);
}

/** Moves the armature over a step. @param pulledS time for which the coil pulls */
function move(v: Valve, pulledS: f64, stepS: f64, isStuck: bool, m: Machine): void {
  v.before = v.opening;
  if (isStuck) return;
  const pullsTo: f64 = v.order === <f64>OPEN ? 1 : 0;
  const isPulled = pulledS > 0 && v.missing === 0;
  // Without current the magnet decides: on to the other end past the throw point, back before it.
  const isThrown = Math.abs(v.opening - v.latched) >= m.throwRatio;
  const fallsTo = isThrown ? 1 - v.latched : v.latched;
  const travel = (isPulled ? pulledS : stepS) / (m.moveMs * 1e-3);
  const end = isPulled ? pullsTo : fallsTo;
  v.opening = end > v.opening ? Math.min(end, v.opening + travel) : Math.max(end, v.opening - travel);
  if (v.opening === 1 || v.opening === 0) v.latched = v.opening;
}

/** Moves all armatures over the step that starts. Returns the mean current of all coils in it, A. */
export function stepValves(stepS: f64): f64 {
  const m = machine();
  const volts = plant().coilV;
  const decay = Math.exp((-stepS * m.coilOhm) / (m.coilMh * 1e-3));
  const rows = <i32>setup().rows;
  let sumA: f64 = 0;
  for (let index = 0; index < rows * 2; index++) {
    const v = valve(index);
    const row = index >> 1;
    const faults = injectedFaults(row);
    const isDriven = v.order !== 0;
    const isResting = !isDriven && v.opening === v.latched;
    v.before = v.opening;
    if (isResting) continue;
    const beforeA = v.coilA;
    const pulledS = isDriven ? driveCoil(v, rowState(row), volts, decay, stepS, m) : 0;
    move(v, pulledS, stepS, (index & 1) === 0 ? faults.supplyStuck !== 0 : faults.returnStuck !== 0, m);
    sumA += 0.5 * (beforeA + v.coilA);
  }
  return sumA;
}

/** Current of all coils now, A. It is highest at the end of a stroke, which the mean of a step does not reach. */
export function coilCurrent(): f64 {
  const rows = <i32>setup().rows;
  let sumA: f64 = 0;
  for (let index = 0; index < rows * 2; index++) sumA += valve(index).coilA;
  return sumA;
}
