import { isLeaking } from './detector';
import { updateFaults } from './diagnose';
import { nextLowPass, nextMedian, nextNotch, seedMedian, seedSecondOrder } from './filter';
import { Channel, MissedValve, RowFault, ZeroResult } from './generated/enums';
import {
  BankState,
  Coefficients,
  channelSetting,
  DetectorState,
  MotionState,
  OffsetState,
  Parameters,
  PredictorState,
  ROW_FAULT_SETTING_AT,
  ValveState,
  ZeroState,
} from './generated/records';
import { followAcceleration, GAS_LOW } from './motion';
import { restartOffset, updateOffset } from './offset';
import { soilAheadConditions } from './preview';
import { Row } from './row-records';
import { checkChannel, frozenCheck, isFirstValue, isLongSame, takeValue } from './sense';
import { updateZero } from './zero';

/* A row's inputs: from ADC counts to faults, load and pressure. */

function zeroConditions(zero: ZeroState): u32 {
  if (zero.reported === ZeroResult.Noisy) return RowFault.ZeroNoisy;
  return zero.reported === ZeroResult.Implausible ? RowFault.ZeroImplausible : 0;
}

function motionConditions(motion: MotionState): u32 {
  let conditions: u32 = 0;
  if (motion.isDoubtful !== 0) conditions |= RowFault.AccelerationImplausible;
  if (motion.isLoadDoubtful !== 0) conditions |= RowFault.LoadImplausible;
  if (motion.gasRatio < GAS_LOW) conditions |= RowFault.PrechargeLow;
  return conditions;
}

/** What the detector found in the last tick. */
function valveConditions(detector: DetectorState, supply: ValveState, returnValve: ValveState, p: Parameters): u32 {
  let conditions: u32 = 0;
  if (detector.missedValve !== MissedValve.None)
    conditions |= detector.missedValve === MissedValve.Supply ? RowFault.SupplyMissed : RowFault.ReturnMissed;
  if (supply.stuck !== 0) conditions |= RowFault.SupplyStuck;
  if (returnValve.stuck !== 0) conditions |= RowFault.ReturnStuck;
  if (isLeaking(detector, p)) conditions |= RowFault.Leak;
  return conditions;
}

/** Offset found in the last tick, or load above what pressure and weight can produce. */
function loadConditions(predictor: PredictorState, offset: OffsetState, p: Parameters): u32 {
  if (offset.offsetN < 0) return RowFault.LoadLow;
  return offset.offsetN > 0 || excessN(predictor, p) > 0 ? RowFault.LoadHigh : 0;
}

/** How much more the load is than pressure and weight can produce; 0 without a load. */
function excessN(predictor: PredictorState, p: Parameters): f32 {
  return predictor.hasLoad !== 0 ? predictor.load1N - p.freeLoadMaxN : 0;
}

/** An excess that has lasted is an offset of at least that, and stays one: the load is then corrected by it. */
function keepExcess(row: Row, p: Parameters): void {
  const offset = row.offset;
  const isNew = (row.faults.faults & RowFault.LoadHigh) !== 0 && offset.offsetN === 0;
  if (isNew) offset.offsetN = max<f32>(0, excessN(row.predictor, p));
}

/** Re-zeroes the load sensor, or looks for an offset that has come since. A good zero clears the faults of the one before. */
function updateZeroAndOffset(row: Row, isLifted: bool, p: Parameters, c: Coefficients): void {
  const load = row.channel(Channel.Load);
  const zero = row.zero;
  const offset = row.offset;
  const isValid = load.valid !== 0;
  if (updateZero(zero, load.value, isValid, isLifted, offset.offsetN, p, c)) {
    row.faults.faults &= ~(RowFault.LoadHigh | RowFault.LoadLow);
    restartOffset(offset);
  } else updateOffset(offset, load.value - zero.zeroN, isValid, p, c);
}

/** Whether a channel may rightly rest. Wheels in the air carry no load, and a hanging row's load and acceleration rest whatever its pressure does. */
function mayRest(row: Row, which: u8, p: Parameters, c: Coefficients): bool {
  const probe = row.probe;
  // Oil that has left nothing but vapour has no pressure, whatever is metered: below the floor the pressure may rest.
  if (which === Channel.Pressure) return probe.pressureKpa < c.floorKpa;
  if (row.contact.hanging !== 0) return true;
  return which === Channel.Load && abs<f32>(probe.loadRawN - probe.zeroN) < p.belowZeroN;
}

function check(row: Row, which: u8, counts: u16, related1: f32, related2: f32, p: Parameters, c: Coefficients): u32 {
  const channel = row.channel(which);
  const setting = channelSetting(which);
  const conditions = checkChannel(channel, counts, setting, c);
  if (!isLongSame(channel, related1, related2, c)) return conditions;
  return conditions | frozenCheck(channel, related1, related2, mayRest(row, which, p, c), setting, c);
}

/** Checks the ADC counts of the row's channels. The signals to which they are related are those of the last tick. */
function checkChannels(row: Row, p: Parameters, c: Coefficients): u32 {
  const input = row.input;
  const kpa = row.probe.pressureKpa;
  const loadN = row.probe.loadN;
  const meteredKpa = row.predictor.meteredKpa;
  let conditions = check(row, Channel.Load, input.loadCounts, kpa, meteredKpa, p, c) << RowFault.LOAD_SHIFT;
  conditions |= check(row, Channel.Pressure, input.pressureCounts, meteredKpa, loadN, p, c) << RowFault.PRESSURE_SHIFT;
  if (p.accelerationFitted === 0) return conditions;
  return conditions | (check(row, Channel.Acceleration, input.accelerationCounts, kpa, 0, p, c) << RowFault.ACCELERATION_SHIFT);
}

/** Checks the row's inputs, updates its faults, and takes the values that pass. */
function sense(row: Row, p: Parameters, c: Coefficients): void {
  let conditions = checkChannels(row, p, c);
  conditions |= zeroConditions(row.zero);
  if (p.accelerationFitted !== 0) conditions |= motionConditions(row.motion);
  conditions |= valveConditions(row.detector, row.supply, row.returnValve, p);
  conditions |= loadConditions(row.predictor, row.offset, p);
  conditions |= soilAheadConditions(row, p, c);
  updateFaults(row.faults, conditions, changetype<usize>(row.firstFaultTimer), ROW_FAULT_SETTING_AT);
  row.probe.conditions = conditions;
  const faults = row.faults.faults;
  keepExcess(row, p);

  takeValue(row.channel(Channel.Load), conditions & RowFault.ANY_LOAD, faults & RowFault.ANY_LOAD, channelSetting(Channel.Load));
  const pressure = RowFault.ANY_PRESSURE;
  takeValue(row.channel(Channel.Pressure), conditions & pressure, faults & pressure, channelSetting(Channel.Pressure));
  const acceleration = RowFault.ANY_ACCELERATION;
  if (p.accelerationFitted === 0) return;
  takeValue(row.channel(Channel.Acceleration), conditions & acceleration, faults & acceleration, channelSetting(Channel.Acceleration));
}

/** Load after zero, median, notch and low-pass. */
function filterLoad(row: Row, bank: BankState, c: Coefficients): void {
  const probe = row.probe;
  const channel = row.channel(Channel.Load);
  const loadN = channel.value - probe.zeroN;
  const median = row.loadMedian;
  const notch = row.lugNotch;
  const lowPass = row.loadLowPass;
  if (isFirstValue(channel)) seedMedian(median, loadN);
  if (channel.seeded === 0 && channel.cleanTicks !== 0) {
    channel.seeded = 1;
    seedSecondOrder(notch, loadN);
    seedSecondOrder(lowPass, loadN);
  }
  let value = nextMedian(median, loadN);
  if (bank.notchG > 0) value = nextNotch(notch, value, bank.notchG, c.notchK);
  else seedSecondOrder(notch, value);
  probe.loadN = nextLowPass(lowPass, value, c.loadA1, c.loadA2, c.loadA3);
}

function filterPressure(row: Row, c: Coefficients): void {
  const probe = row.probe;
  const channel = row.channel(Channel.Pressure);
  const median = row.pressureMedian;
  const lowPass = row.pressureLowPass;
  if (isFirstValue(channel)) seedMedian(median, channel.value);
  if (channel.seeded === 0 && channel.cleanTicks !== 0) {
    channel.seeded = 1;
    seedSecondOrder(lowPass, channel.value);
  }
  probe.pressureRawKpa = nextMedian(median, channel.value);
  probe.pressureKpa = nextLowPass(lowPass, probe.pressureRawKpa, c.pressureA1, c.pressureA2, c.pressureA3);
}

/** One tick of a row's inputs: sense, zero and filter. */
export function updateInputs(row: Row, bank: BankState, isLifted: bool, p: Parameters, c: Coefficients): void {
  sense(row, p, c);
  const probe = row.probe;
  const load = row.channel(Channel.Load);
  const zero = row.zero;
  updateZeroAndOffset(row, isLifted, p, c);
  probe.loadRawN = load.value;
  // An offset that has been found is a provisional zero, until the next lift gives a good one.
  const isOffset = (row.faults.faults & (RowFault.LoadHigh | RowFault.LoadLow)) !== 0;
  const zeroN = zero.zeroN + (isOffset ? row.offset.offsetN : 0);
  if (zeroN !== probe.zeroN) row.predictor.hasLoad = 0;
  probe.zeroN = zeroN;
  probe.zeroResult = zero.result;
  probe.accelerationMps2 = followAcceleration(row, c);
  filterLoad(row, bank, c);
  filterPressure(row, c);
}
