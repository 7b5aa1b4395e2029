import { mustNotRaise, updateContact } from './contact';
import { checkOther, updateDetector } from './detector';
import { FAR_KPA, isChecked } from './doubt';
import { BankFault, BankMode, Belief, Channel, MissedValve, Order, RowFault, RowMode, Stuck, Wish } from './generated/enums';
import { BankProbe, BankState, Coefficients, Parameters, RowProbe, ValveState } from './generated/records';
import { learnAfterPulse, prepareLearning } from './learn';
import { compareMotion } from './motion';
import { updatePredictor } from './predictor';
import { compareSoilAhead, followSoilAhead } from './preview';
import { updateInputs } from './row-inputs';
import { Row } from './row-records';
import { decide, probeSteps } from './strategy';
import { hasReservoir } from './stroke-queue';
import { advancePair, forgetPosition, isTrial, orderPair, withdrawStuck } from './valve-pair';

/** What the row may do in this tick: one flat chain, strictest first. */
export function rowMode(bankMode: u8, isKnown: bool, isEnabled: bool, isVenting: bool, isHanging: bool, activeFaults: u32): u8 {
  if (!isKnown) return RowMode.Starting;
  if (isVenting) return RowMode.Venting;
  if (!isEnabled) return RowMode.Off;
  if (bankMode !== BankMode.Working || (activeFaults & RowFault.ANY_HOLD) !== 0) return RowMode.Holding;
  if (isHanging) return RowMode.Lowering;
  return (activeFaults & RowFault.ANY_FREEZE) !== 0 ? RowMode.Frozen : RowMode.Working;
}

/** Adds a valve to what the queue and the energy budget need to know. */
function tally(bank: BankProbe, valve: ValveState, p: Parameters, c: Coefficients): void {
  const isClosed = valve.belief === Belief.Closed;
  if (!isClosed) bank.openValves += 1;
  if ((!isClosed || valve.suspected !== 0) && valve.stuck !== Stuck.Open) bank.closesNeeded += 1;
  if (valve.coil !== Order.None) bank.strokesInFlight += 1;
  if (valve.request !== Order.None) {
    if (valve.request === Order.Close) bank.closesWaiting += 1;
    else bank.opensWaiting += 1;
  }
  if (isClosed && isChecked(valve, c) && p.missedStrokeDetection !== 0) bank.valvesChecked += 1;
}

function probePair(row: Row): void {
  const probe = row.probe;
  const pair = row.pair;
  const supply = row.supply;
  const returnValve = row.returnValve;
  probe.supplyBelief = supply.belief;
  probe.returnBelief = returnValve.belief;
  probe.supplyGain = supply.gain;
  probe.returnGain = returnValve.gain;
  probe.openTicks = pair.openWish === Wish.Raise ? supply.openTicks : pair.openWish === Wish.Lower ? returnValve.openTicks : 0;
}

function closeWaitTicks(valve: ValveState): u16 {
  return valve.belief === Belief.Open && valve.request === Order.Close ? valve.waitTicks : 0;
}

function probeWaits(row: Row): void {
  const probe = row.probe;
  const supply = row.supply;
  const returnValve = row.returnValve;
  probe.waitTicks = max<u16>(supply.waitTicks, returnValve.waitTicks);
  const openWish = row.pair.openWish;
  probe.closeWaitTicks = openWish === Wish.Raise ? closeWaitTicks(supply) : openWish === Wish.Lower ? closeWaitTicks(returnValve) : 0;
}

/**
 * Whether the pressure can show what the valves do: not before all of them have been closed once, and not with a suspect rail, because
 * an open valve may have no effect then.
 */
export function isPressureShown(bank: BankState, bankProbe: BankProbe, p: Parameters): bool {
  const isRailSuspect = (bankProbe.conditions & (BankFault.ANY_RAIL | BankFault.RailLow)) !== 0;
  return p.missedStrokeDetection !== 0 && bank.started !== 0 && bank.venting === 0 && !isRailSuspect;
}

/** The position of a stuck valve is not known, but nothing waits for it. */
function isPositionKnown(valve: ValveState): bool {
  return valve.belief !== Belief.Unknown || valve.stuck !== 0;
}

/** Faults that do not restrict the row now: of a valve during its trial. */
function toleratedFaults(row: Row, c: Coefficients): u32 {
  if ((row.activeFaults & (RowFault.SupplyStuck | RowFault.ReturnStuck)) === 0) return 0;
  return (isTrial(row.supply, c) ? RowFault.SupplyStuck : 0) | (isTrial(row.returnValve, c) ? RowFault.ReturnStuck : 0);
}

/** Predicts the load, with the soil ahead as far as it is trusted. */
function predict(
  row: Row,
  bank: BankState,
  isLoadValid: bool,
  isPressureValid: bool,
  isAccelerationValid: bool,
  p: Parameters,
  c: Coefficients,
): void {
  if (p.soilAheadFitted !== 0) followSoilAhead(row, p, c);
  updatePredictor(row, isLoadValid, isPressureValid, isAccelerationValid, p, c);
  if (p.soilAheadFitted !== 0) compareSoilAhead(row, bank.previewTicks === <u32>row.index % c.previewTicks, c);
}

/** Compares accelerometer, pressure and load if they show the motion of the row. Unlike for the detector, the rail does not matter. */
function compare(row: Row, isDue: bool, bank: BankState, isPressureValid: bool, p: Parameters, c: Coefficients): void {
  if (p.accelerationFitted === 0) return;
  const isKnownOil = p.missedStrokeDetection !== 0 && bank.started !== 0;
  const isShown = isKnownOil && isPressureValid && row.probe.pressureRawKpa > c.floorKpa;
  compareMotion(row, isDue, isShown, c);
}

/** Whether an open valve would move the pressure soon, whichever of the two it is. */
function isFarFromLines(probe: RowProbe, bankProbe: BankProbe, p: Parameters): bool {
  return bankProbe.railKpa - probe.pressureRawKpa > FAR_KPA && probe.pressureRawKpa - p.returnKpa > <f32>0.5 * FAR_KPA;
}

/** Turns the row's wish into requests. */
function order(row: Row, isSaving: bool, bank: BankState, c: Coefficients): void {
  orderPair(row, row.probe.wish, isSaving, c);
  if (isSaving && bank.mode === BankMode.PowerLost) {
    withdrawStuck(row.supply);
    withdrawStuck(row.returnValve);
  }
}

/**
 * One tick of a row: strokes advance, inputs become a wish, the wish becomes requests.
 * @param isDue the row compares its signals in this tick, and updates what is slow
 * @param isSaving energy is short: it is for valves that are open, not for those that have long been closed
 */
export function updateRow(
  row: Row,
  isDue: bool,
  isSaving: bool,
  bank: BankState,
  bankProbe: BankProbe,
  p: Parameters,
  c: Coefficients,
): void {
  const probe = row.probe;
  const supply = row.supply;
  const returnValve = row.returnValve;
  if (bank.inhibited !== 0) {
    forgetPosition(supply, hasReservoir(p));
    forgetPosition(returnValve, hasReservoir(p));
  }
  advancePair(row, c);
  probePair(row);
  if (row.pair.flowWish === Wish.Raise) bank.supplyTicks += 1;

  const isLifted = bank.lowered === 0;
  updateInputs(row, bank, isLifted, p, c);
  updateContact(row, isLifted, bankProbe, c);
  const activeFaults = row.activeFaults;
  const isKnown = isPositionKnown(supply) && isPositionKnown(returnValve);
  const isVenting = bank.venting !== 0;
  const faults = activeFaults & ~toleratedFaults(row, c);
  const mode = rowMode(bank.mode, isKnown, row.input.enabled !== 0, isVenting, row.contact.hanging !== 0, faults);
  row.output.faults = row.faults.faults;
  row.output.mode = mode;
  const isPressureValid = (activeFaults & RowFault.ANY_PRESSURE) === 0;
  const isAccelerationValid = row.channel(Channel.Acceleration).valid !== 0 && row.motion.isDoubtful === 0;
  probeSteps(probe, row.motion.gasRatio, bankProbe, p, c);
  predict(row, bank, mode === RowMode.Working, isPressureValid, isAccelerationValid, p, c);
  const isFrameSettled = bank.loweredTicks > c.frameSettleTicks;
  const isFar = row.detector.doubt !== MissedValve.None && isFarFromLines(probe, bankProbe, p);
  updateDetector(row, <i32>bank.rowCount, isPressureValid, isAccelerationValid, bank.shown !== 0, isFar, isFrameSettled, p, c);
  compare(row, isDue, bank, isPressureValid, p, c);
  const wish = decide(row, mode, isDue, isPressureValid, bankProbe, p, c);
  probe.wish = wish === Wish.Raise && mustNotRaise(row.contact, c) ? Wish.Hold : wish;

  checkOther(row, probe.wish, p, c);
  learnAfterPulse(row, p);
  order(row, isSaving, bank, c);
  prepareLearning(row);
  probeWaits(row);
  tally(bankProbe, supply, p, c);
  tally(bankProbe, returnValve, p, c);
}

/** After the queue has granted its slots: which coils are driven in this tick. */
export function reportOrders(row: Row): void {
  row.output.supplyOrder = row.supply.coil;
  row.output.returnOrder = row.returnValve.coil;
}
