import { reportBank, updateBank } from '../controller/bank';
import { configureBank } from '../controller/configure';
import { Belief, Order } from '../controller/generated/enums';
import { bankProbe, Coefficients, coefficients, RECORDS_END, ROWS_MAX, ValveState } from '../controller/generated/records';
import { startLearning } from '../controller/learn';
import { Row, rowAt } from '../controller/row-records';
import { beginStroke } from '../controller/valve-pair';

/*
 * The controller under recorded orders: it receives recorded inputs, but its valves do what was recorded, whatever it would have
 * ordered. The stroke queue grants nothing; recorded strokes begin in its place. Everything else, such as the end of a stroke,
 * metered oil, learning and the detector, is the controller's own code.
 */

/** Recorded orders of a valve. They follow the controller's records in memory. */
@unmanaged
@final
class RecordedValve {
  /** Order of this tick and of the last one. */
  order: u8;
  last: u8;
  /** Where the recorded orders have put the valve, as a Belief. */
  position: u8;
  spare: u8;
}
const RECORDED_VALVE_BYTES: usize = 4;

/** Keeps a stroke going into the tick after this one. */
const MORE_TICKS: u16 = 2;

function recordedValve(index: i32): RecordedValve {
  if (RECORDS_END + RECORDED_VALVE_BYTES * ROWS_MAX * 2 > 65536) ERROR('the recorded orders do not fit into memory');
  return changetype<RecordedValve>(RECORDS_END + <usize>index * RECORDED_VALVE_BYTES);
}

/** The valve of this index: supply, then return valve of each row. */
function valveAt(index: i32): ValveState {
  return rowAt(index >> 1).valve(<u8>(index & 1));
}

/** A stroke ends in the tick in which its order is over. */
function holdStroke(valve: ValveState, recorded: RecordedValve): void {
  if (valve.coil !== Order.None) valve.coilTicks = recorded.order === recorded.last ? MORE_TICKS : 1;
}

function beginRecorded(row: Row, valve: ValveState, order: u8, c: Coefficients): void {
  const probe = bankProbe();
  probe.strokesInFlight += 1;
  if (order === Order.Open) {
    valve.belief = Belief.Closed;
    startLearning(row);
    probe.openValves += 1;
  }
  valve.request = order;
  beginStroke(valve, c);
}

/** A missed stroke counts only if the recorded controller found it too, and closed the valve again. */
function discardFindings(valve: ValveState): void {
  valve.belief = Belief.Closed;
  valve.missedOpens = 0;
  valve.stuck = 0;
  valve.suspected = 0;
}

function followOrder(row: Row, valve: ValveState, recorded: RecordedValve, c: Coefficients): void {
  const order = recorded.order;
  const last = recorded.last;
  recorded.last = order;
  if (order === last && order !== Order.None) return;
  if (last === Order.Close) recorded.position = Belief.Closed;
  if (order === Order.Open) recorded.position = Belief.Open;
  if (order !== Order.None) beginRecorded(row, valve, order, c);
  else if (recorded.position === Belief.Closed) discardFindings(valve);
}

/** (Re)starts for `rowCount` rows: see configureBank(). No order has been recorded yet. */
export function configure(rowCount: i32): i32 {
  for (let index = 0; index < ROWS_MAX * 2; index++) {
    const recorded = recordedValve(index);
    recorded.order = Order.None;
    recorded.last = Order.None;
    recorded.position = Belief.Unknown;
  }
  return configureBank(rowCount);
}

/** Sets the recorded order of the next tick. `valve`: supply, then return valve of each row. */
export function setOrder(valve: i32, order: u8): void {
  recordedValve(valve).order = order;
}

/** One tick under the recorded orders. */
export function tick(): void {
  const c = coefficients();
  for (let index = 0; index < ROWS_MAX * 2; index++) holdStroke(valveAt(index), recordedValve(index));
  const rows = updateBank();
  if (rows === 0) return;
  for (let index = 0; index < rows * 2; index++) followOrder(rowAt(index >> 1), valveAt(index), recordedValve(index), c);
  reportBank(rows);
}
