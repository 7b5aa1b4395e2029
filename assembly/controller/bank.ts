import { followBudget } from './deadband';
import { updateFaults } from './diagnose';
import { tangent } from './filter';
import { BankFault, BankMode, Channel } from './generated/enums';
import {
  BANK_FAULT_SETTING_AT,
  BANK_FAULT_TIMER_AT,
  BankInput,
  BankProbe,
  BankState,
  bankFaults,
  bankInput,
  bankOutput,
  bankProbe,
  bankState,
  ChannelSetting,
  ChannelState,
  Coefficients,
  channelSetting,
  coefficients,
  Parameters,
  parameters,
  ROWS_MAX,
  railState,
} from './generated/records';
import { clamp } from './load-loop';
import { isPressureShown, reportOrders, updateRow } from './row';
import { rowAt } from './row-records';
import { checkChannel, frozenCheck, isLongSame, takeValue } from './sense';
import { closesMj, grantStrokes, hasReservoir, storedEnergy } from './stroke-queue';
import { countUp, countUpLong } from './time';

/** Above this a two-byte parameter of an ISO 11783 message is not a value but a status (ISO 11783-7, as SAE J1939-71 table 1). */
const SPEED_MAX: u16 = 0xfaff;
const WARM_C: f32 = 40;
const COLD_C: f32 = -15;

/** Valve flow at an oil temperature over the flow in warm oil: linear between -15 and +40 °C. */
export function flowRatioAt(temperatureC: f32, coldFlowRatio: f32): f32 {
  const share = (temperatureC - COLD_C) / (WARM_C - COLD_C);
  return clamp(coldFlowRatio + (1 - coldFlowRatio) * share, coldFlowRatio, 1);
}

/** Conditions of the bank other than the rail sensor's. Comparisons are written so that NaN fails them. */
function bankConditions(input: BankInput, probe: BankProbe, p: Parameters, c: Coefficients): u32 {
  const isTargetValid = input.targetLoadN >= 0 && input.targetLoadN <= p.targetMaxN;
  const isTemperatureValid = p.temperatureFitted === 0 || (input.oilTemperatureC >= -50 && input.oilTemperatureC <= 150);
  const isCharged = !hasReservoir(p) || probe.energyMj >= p.strokeMj + closesMj(1 + probe.closesNeeded, c);
  let conditions: u32 = 0;
  if (!isTargetValid) conditions |= BankFault.TargetInvalid;
  if (!isTemperatureValid) conditions |= BankFault.TemperatureInvalid;
  if (p.speedFitted !== 0 && input.groundSpeedMmPerS > SPEED_MAX) conditions |= BankFault.SpeedInvalid;
  if (<f32>input.supplyMv < p.supplyLowMv) conditions |= BankFault.SupplyLow;
  if (<f32>input.supplyMv < p.supplyCriticalMv) conditions |= BankFault.SupplyCritical;
  if (!isCharged) conditions |= BankFault.ReservoirLow;
  return conditions;
}

/** Lug frequency and the notch's tangent: one for the whole bank, because speed changes slowly. */
function updateNotch(bank: BankState, probe: BankProbe, speedMmPerS: u16, isSpeedValid: bool, p: Parameters, c: Coefficients): void {
  const hertz: f32 = (<f32>speedMmPerS * 0.001) / p.lugPitchM;
  const angle: f32 = <f32>Math.PI * hertz * c.tickS;
  // Below 1 Hz the notch would cut into the control band, above a quarter of the tick rate there is nothing to cut.
  const isUseful = p.lugNotch !== 0 && p.speedFitted !== 0 && isSpeedValid && hertz >= 1 && angle <= 0.785;
  probe.notchHz = isUseful ? hertz : 0;
  bank.notchG = isUseful ? tangent(angle) : 0;
}

function checkRail(rail: ChannelState, bank: BankState, input: BankInput, setting: ChannelSetting, c: Coefficients): u32 {
  const conditions = checkChannel(rail, input.railCounts, setting, c);
  const supplyTicks = <f32>bank.supplyTicks;
  return isLongSame(rail, supplyTicks, 0, c) ? conditions | frozenCheck(rail, supplyTicks, 0, false, setting, c) : conditions;
}

/** Turns the bank's inputs into faults and probes. Returns the active faults: set, or their conditions present. */
function senseBank(bank: BankState, input: BankInput, probe: BankProbe, p: Parameters, c: Coefficients): u32 {
  const rail = railState();
  const setting = channelSetting(Channel.Rail);
  const hasRail = p.railFitted !== 0;
  let conditions: u32 = hasRail ? checkRail(rail, bank, input, setting, c) << BankFault.RAIL_SHIFT : 0;
  conditions |= bankConditions(input, probe, p, c);
  if (rail.valid !== 0 && rail.value < p.railLowKpa) conditions |= BankFault.RailLow;
  if (bank.refused !== 0) conditions |= BankFault.ParameterRefused;
  const faults = bankFaults();
  updateFaults(faults, conditions, BANK_FAULT_TIMER_AT, BANK_FAULT_SETTING_AT);
  probe.conditions = conditions;

  const activeFaults = conditions | faults.faults;
  if (hasRail) takeValue(rail, conditions & BankFault.ANY_RAIL, faults.faults & BankFault.ANY_RAIL, setting);
  // A suspect rail keeps its last value; the configured one is used only once the fault is set.
  probe.railKpa = hasRail && (faults.faults & BankFault.ANY_RAIL) === 0 ? rail.value : p.railNominalKpa;
  if ((activeFaults & BankFault.TargetInvalid) === 0) bank.targetLoadN = input.targetLoadN;
  probe.targetLoadN = bank.targetLoadN;
  if (p.temperatureFitted === 0 || (faults.faults & BankFault.TemperatureInvalid) !== 0) probe.flowRatio = 1;
  else if ((conditions & BankFault.TemperatureInvalid) === 0) probe.flowRatio = flowRatioAt(input.oilTemperatureC, p.coldFlowRatio);
  updateNotch(bank, probe, input.groundSpeedMmPerS, (activeFaults & BankFault.SpeedInvalid) === 0, p, c);
  return activeFaults;
}

/** What the bank does in this tick: one flat chain, strictest first. A suspect target is enough to stop work. */
export function bankMode(bank: BankState, faults: u32, activeFaults: u32, isShutDown: bool, isEnabled: bool, isLowered: bool): u8 {
  if ((faults & BankFault.ANY_INHIBIT) !== 0) return BankMode.PowerLost;
  if (bank.refused !== 0) return BankMode.Refused;
  if ((faults & BankFault.ANY_CLOSE) !== 0) return BankMode.LowSupply;
  if (isShutDown) return BankMode.ShutDown;
  if (bank.started === 0) return BankMode.Starting;
  if (!isEnabled || (activeFaults & BankFault.ANY_HOLD) !== 0) return BankMode.Idle;
  return isLowered ? BankMode.Working : BankMode.Lifted;
}

/** Debounces the lift switch. Its first reading counts at once. */
export function updateLift(bank: BankState, isLowered: bool, c: Coefficients): void {
  const isSame = isLowered === (bank.lowered !== 0);
  bank.liftTicks = isSame ? 0 : countUpLong(bank.liftTicks);
  if (bank.hasLift !== 0 && bank.liftTicks < c.liftDebounceTicks) return;
  bank.lowered = isLowered ? 1 : 0;
  bank.liftTicks = 0;
  bank.hasLift = 1;
}

/** Without the supply, strokes are paid from the reservoir: as long as its voltage is high enough for a reliable one. */
function isReservoirCharged(input: BankInput, p: Parameters): bool {
  return hasReservoir(p) && <f32>input.reservoirMv >= p.strokeMinMv;
}

/**
 * Chambers are vented for at most ventMs on shut-down, and when power is lost. With a reservoir only as long as it holds the
 * energy to close everything that is open, and one more stroke as a margin (our choice). Strokes in progress are counted in full, so
 * the energy is judged when there are none.
 */
function isVentDue(bank: BankState, probe: BankProbe, p: Parameters, c: Coefficients): bool {
  const isEnding = bank.mode === BankMode.ShutDown || (bank.mode === BankMode.PowerLost && bank.inhibited === 0);
  if (!isEnding || p.shutDownVent === 0 || bank.shutDownTicks >= c.ventTicks) return false;
  if (!hasReservoir(p) || probe.strokesInFlight !== 0) return true;
  return probe.energyMj >= closesMj(1 + probe.closesNeeded, c);
}

function updateMode(bank: BankState, input: BankInput, probe: BankProbe, activeFaults: u32, p: Parameters, c: Coefficients): void {
  const faults = bankFaults().faults;
  const isPowerLost = (faults & BankFault.ANY_INHIBIT) !== 0;
  const isShutDown = input.shutDown !== 0;
  updateLift(bank, input.lowered !== 0, c);
  bank.loweredTicks = bank.lowered !== 0 ? countUp(bank.loweredTicks) : 0;
  bank.shutDownTicks = isShutDown || isPowerLost ? countUpLong(bank.shutDownTicks) : 0;
  bank.inhibited = isPowerLost && !isReservoirCharged(input, p) ? 1 : 0;
  bank.mode = bankMode(bank, faults, activeFaults, isShutDown, input.enabled !== 0, bank.lowered !== 0);
  bank.venting = isVentDue(bank, probe, p, c) ? 1 : 0;
  if (bank.inhibited !== 0) bank.started = 0;
}

function clearTallies(probe: BankProbe): void {
  probe.openValves = 0;
  probe.closesNeeded = 0;
  probe.strokesInFlight = 0;
  probe.closesWaiting = 0;
  probe.opensWaiting = 0;
  probe.valvesChecked = 0;
}

/** First part of a tick: inputs become modes, wishes and requests. Returns the number of rows. */
export function updateBank(): i32 {
  const bank = bankState();
  const input = bankInput();
  const probe = bankProbe();
  const p = parameters();
  const c = coefficients();
  const rows = <i32>bank.rowCount;
  if (rows === 0) return 0;
  probe.energyMj = storedEnergy(input.reservoirMv, probe.strokesInFlight, p, c);
  const activeFaults = senseBank(bank, input, probe, p, c);
  updateMode(bank, input, probe, activeFaults, p, c);
  clearTallies(probe);
  bank.compareTicks = bank.compareTicks + 1 < c.compareTicks ? bank.compareTicks + 1 : 0;
  bank.previewTicks = bank.previewTicks + 1 < c.previewTicks ? bank.previewTicks + 1 : 0;
  if (bank.compareTicks === 0) followBudget(bank, p, c);
  probe.deadbandScale = bank.deadbandScale;
  bank.shown = isPressureShown(bank, probe, p) ? 1 : 0;
  // With this limit a C compiler proves most of the rows' addresses, and drops their checks.
  assert(rows <= ROWS_MAX);
  const isSaving = bank.mode === BankMode.PowerLost || bank.mode === BankMode.LowSupply || bank.mode === BankMode.ShutDown;
  // Rows take turns, so that all ticks cost the same.
  let next = <i32>bank.compareTicks;
  for (let row = 0; row < rows; row++) {
    const isDue = row === next;
    if (isDue) next += <i32>c.compareTicks;
    updateRow(rowAt(row), isDue, isSaving, bank, probe, p, c);
  }
  return rows;
}

/** Last part of a tick, after strokes have begun: outputs. */
export function reportBank(rows: i32): void {
  const bank = bankState();
  const probe = bankProbe();
  const output = bankOutput();
  const valves = <u32>rows * 2;
  assert(probe.openValves <= valves && probe.closesNeeded <= valves);
  assert(probe.closesWaiting + probe.opensWaiting <= valves);
  for (let row = 0; row < rows; row++) reportOrders(rowAt(row));
  const isAllClosed = probe.openValves === 0 && probe.closesNeeded === 0 && probe.strokesInFlight === 0;
  const isWaiting = probe.closesWaiting !== 0 || probe.opensWaiting !== 0;
  const isOwing = !isAllClosed || isWaiting || probe.valvesChecked !== 0 || bank.venting !== 0;
  if (probe.closesNeeded === 0) bank.started = 1;
  output.mode = bank.mode;
  output.faults = bankFaults().faults;
  output.allClosed = isAllClosed ? 1 : 0;
  output.powerMayBeCut = isOwing ? 0 : 1;
  probe.strokes = bank.strokes;
}

/** One tick of the whole bank. Before configure() has been called there are no rows, and nothing happens. */
export function tickBank(): void {
  const rows = updateBank();
  if (rows === 0) return;
  grantStrokes(bankState(), bankProbe(), parameters(), coefficients());
  reportBank(rows);
}
