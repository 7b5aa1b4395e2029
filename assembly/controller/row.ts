import { isLeaking, watchStrokes } from './detector';
import { updateFaults } from './diagnose';
import { nextLowPass, nextMedian, nextNotch, seedMedian, seedSecondOrder } from './filter';
import { BankFault, BankMode, Belief, Channel, MissedValve, Order, RowFault, RowMode, Wish, ZeroResult } from './generated/enums';
import {
  BankProbe,
  BankState,
  Coefficients,
  channelSetting,
  channelState,
  DetectorState,
  detector,
  loadLowPass,
  loadMedian,
  loopState,
  lugNotch,
  PairState,
  Parameters,
  PredictorState,
  pairState,
  predictor,
  pressureLowPass,
  pressureMedian,
  ROW_FAULT_SETTING_AT,
  ROW_FAULT_TIMER_AT,
  ROW_STATE_BYTES,
  RowProbe,
  rowFaults,
  rowInput,
  rowOutput,
  rowProbe,
  ValveState,
  valveState,
  ZeroState,
  zeroState,
} from './generated/records';
import { learnAfterPulse, prepareLearning } from './learn';
import { observe } from './predictor';
import { Check, checkChannel, isFresh, takeValue } from './sense';
import { decide, showSteps } from './strategy';
import { advancePair, forgetPosition, orderPair } from './valve-pair';
import { updateZero } from './zero';

const CHECKS: u32 = 5;
const PRESSURE_TROUBLE: u32 = Check.ALL << CHECKS;
/** What speaks against the rail, or against its sensor. */
const RAIL_TROUBLE: u32 = Check.ALL | BankFault.RailLow;

function zeroConditions(zero: ZeroState): u32 {
  if (zero.result === ZeroResult.Noisy) return RowFault.ZeroNoisy;
  return zero.result === ZeroResult.Implausible ? RowFault.ZeroImplausible : 0;
}

/** What the watch over the valves found in the last tick. */
function valveConditions(watch: DetectorState, supply: ValveState, back: ValveState, p: Parameters): u32 {
  let conditions: u32 = 0;
  if (watch.missedValve === MissedValve.Supply) conditions |= RowFault.SupplyMissed;
  if (watch.missedValve === MissedValve.Return) conditions |= RowFault.ReturnMissed;
  if (supply.stuck !== 0) conditions |= RowFault.SupplyStuck;
  if (back.stuck !== 0) conditions |= RowFault.ReturnStuck;
  if (isLeaking(watch, p)) conditions |= RowFault.Leak;
  return conditions;
}

/** Load against what pressure and weight can make of it, as of the last tick. */
function loadConditions(o: PredictorState, probe: RowProbe, p: Parameters): u32 {
  if (o.hasLoad === 0) return 0;
  if (o.load1N > p.freeLoadMaxN) return RowFault.LoadHigh;
  return probe.loadRawN - probe.zeroN < -p.belowZeroN ? RowFault.LoadLow : 0;
}

/** Checks the row's inputs, updates its faults, and takes what is good. Returns what speaks against each channel. */
function sense(row: i32, probe: RowProbe, p: Parameters, c: Coefficients): u32 {
  const input = rowInput(row);
  let conditions = checkChannel(channelState(row, 0), input.loadCounts, channelSetting(Channel.Load), c.frozenTicks, c.rateHoldTicks);
  conditions |=
    checkChannel(channelState(row, 1), input.pressureCounts, channelSetting(Channel.Pressure), c.frozenTicks, c.rateHoldTicks) << CHECKS;
  if (p.accelerationFitted !== 0) {
    const found = checkChannel(
      channelState(row, 2),
      input.accelerationCounts,
      channelSetting(Channel.Acceleration),
      c.frozenTicks,
      c.rateHoldTicks,
    );
    conditions |= found << (2 * CHECKS);
  }
  conditions |= zeroConditions(zeroState(row));
  conditions |= valveConditions(detector(row), valveState(row, 0), valveState(row, 1), p);
  conditions |= loadConditions(predictor(row), probe, p);
  const faults = rowFaults(row);
  updateFaults(faults, conditions, ROW_FAULT_TIMER_AT + <usize>row * ROW_STATE_BYTES, ROW_FAULT_SETTING_AT);
  probe.conditions = conditions;

  takeRowValue(row, 0, conditions, faults.faults, Check.ALL, Channel.Load);
  takeRowValue(row, 1, conditions, faults.faults, Check.ALL << CHECKS, Channel.Pressure);
  if (p.accelerationFitted !== 0) takeRowValue(row, 2, conditions, faults.faults, Check.ALL << (2 * CHECKS), Channel.Acceleration);
  return conditions | faults.faults;
}

/** `mask`: the row's bits that speak of this channel. */
function takeRowValue(row: i32, which: i32, conditions: u32, faults: u32, mask: u32, kind: i32): void {
  takeValue(channelState(row, which), conditions & mask, faults & mask, channelSetting(kind));
}

/** Load after zero, median, notch and low-pass. */
function filterLoad(row: i32, probe: RowProbe, bank: BankState, c: Coefficients): void {
  const channel = channelState(row, 0);
  const loadN = channel.value - probe.zeroN;
  const median = loadMedian(row);
  const notch = lugNotch(row);
  const lowPass = loadLowPass(row);
  if (isFresh(channel)) seedMedian(median, loadN);
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

function filterPressure(row: i32, probe: RowProbe, c: Coefficients): void {
  const channel = channelState(row, 1);
  const median = pressureMedian(row);
  const lowPass = pressureLowPass(row);
  if (isFresh(channel)) seedMedian(median, channel.value);
  if (channel.seeded === 0 && channel.cleanTicks !== 0) {
    channel.seeded = 1;
    seedSecondOrder(lowPass, channel.value);
  }
  probe.pressureRawKpa = nextMedian(median, channel.value);
  probe.pressureKpa = nextLowPass(lowPass, probe.pressureRawKpa, c.pressureA1, c.pressureA2, c.pressureA3);
}

/** What the row may do in this tick: one flat chain, the strictest first. */
export function rowMode(bankMode: u8, isKnown: bool, isEnabled: bool, isVenting: bool, trouble: u32): u8 {
  if (!isKnown) return RowMode.Starting;
  if (isVenting) return RowMode.Venting;
  if (!isEnabled) return RowMode.Off;
  if (bankMode !== BankMode.Working || (trouble & RowFault.ANY_HOLD) !== 0) return RowMode.Holding;
  return (trouble & RowFault.ANY_FREEZE) !== 0 ? RowMode.Frozen : RowMode.Working;
}

/** Sense, zero and filter: from codes to load and pressure. Returns what speaks against the row's channels. */
function estimate(row: i32, probe: RowProbe, bank: BankState, isLifted: bool, p: Parameters, c: Coefficients): u32 {
  const trouble = sense(row, probe, p, c);
  const load = channelState(row, 0);
  const zero = zeroState(row);
  updateZero(zero, load.value, load.valid !== 0, isLifted, p, c);
  probe.loadRawN = load.value;
  probe.zeroN = zero.zeroN;
  probe.zeroResult = zero.result;
  probe.accelerationMps2 = channelState(row, 2).value;
  filterLoad(row, probe, bank, c);
  filterPressure(row, probe, c);
  return trouble;
}

/** Counts what the queue and the energy budget need to know. */
function tally(bank: BankProbe, valve: ValveState): void {
  if (valve.belief !== Belief.Closed) bank.openValves += 1;
  if ((valve.belief !== Belief.Closed || valve.suspected !== 0) && valve.stuck === 0) bank.closesNeeded += 1;
  if (valve.coil !== Order.None) bank.strokesInFlight += 1;
  if (valve.request === Order.Close) bank.closesWaiting += 1;
  if (valve.request === Order.Open) bank.opensWaiting += 1;
}

function showPair(probe: RowProbe, pair: PairState, supply: ValveState, back: ValveState): void {
  probe.supplyBelief = supply.belief;
  probe.returnBelief = back.belief;
  probe.supplyGain = supply.gain;
  probe.returnGain = back.gain;
  probe.openTicks = pair.openWish === Wish.Raise ? supply.openTicks : pair.openWish === Wish.Lower ? back.openTicks : 0;
}

/**
 * Whether the pressure tells of the valves: not before all of them have been closed once, not below precharge, where there is
 * no accumulator to reckon with, and not while the rail is in doubt, as an opening shows nothing then.
 */
function isPressureTelling(isVenting: bool, probe: RowProbe, bank: BankState, bankProbe: BankProbe, p: Parameters, c: Coefficients): bool {
  if (p.missedStrokeDetection === 0 || bank.started === 0 || isVenting) return false;
  return probe.pressureRawKpa > c.floorKpa && probe.supplyStepKpa > 0 && (bankProbe.conditions & RAIL_TROUBLE) === 0;
}

/** A stuck valve's position is not known, but nothing is waited for. */
function isPlaced(valve: ValveState): bool {
  return valve.belief !== Belief.Unknown || valve.stuck !== 0;
}

/** One tick of a row: strokes move on, the inputs become a wish, the wish becomes requests. */
export function updateRow(row: i32, bank: BankState, bankProbe: BankProbe, isLifted: bool, p: Parameters, c: Coefficients): void {
  const probe = rowProbe(row);
  const pair = pairState(row);
  const supply = valveState(row, 0);
  const back = valveState(row, 1);
  if (bank.mode === BankMode.PowerLost) {
    forgetPosition(supply);
    forgetPosition(back);
  }
  advancePair(pair, supply, back, c);
  showPair(probe, pair, supply, back);

  const trouble = estimate(row, probe, bank, isLifted, p, c);
  const isKnown = isPlaced(supply) && isPlaced(back);
  const isVenting = bank.mode === BankMode.ShutDown && p.shutDownVent !== 0 && bank.shutDownTicks < c.ventTicks;
  const output = rowOutput(row);
  output.faults = rowFaults(row).faults;
  output.mode = rowMode(bank.mode, isKnown, rowInput(row).enabled !== 0, isVenting, trouble);
  const isPressure = (trouble & PRESSURE_TROUBLE) === 0;
  const isAcceleration = p.accelerationFitted !== 0 && channelState(row, 2).valid !== 0;
  showSteps(probe, bankProbe, p, c);
  observe(
    predictor(row),
    pair.flowWish,
    probe,
    probe.loadRawN - probe.zeroN,
    output.mode === RowMode.Working,
    isPressure,
    isAcceleration,
    p,
    c,
  );
  const isTelling = isPressureTelling(isVenting, probe, bank, bankProbe, p, c);
  const isStanding = bank.loweredTicks > c.frameSettleTicks;
  watchStrokes(detector(row), predictor(row), pair, supply, back, probe, isPressure, isAcceleration, isTelling, isStanding, p, c);
  probe.wish = decide(output.mode, !isPressure, probe, bankProbe, loopState(row), pair, p, c);

  learnAfterPulse(pair, supply, back, detector(row), probe, trouble, p);
  // When energy is short it is for valves that are open, not for those that have long been closed.
  const isSparing = bank.mode === BankMode.LowSupply || bank.mode === BankMode.ShutDown;
  orderPair(pair, supply, back, probe.wish, isSparing, c);
  prepareLearning(pair, supply, back, detector(row));
  probe.waitTicks = max<u16>(supply.waitTicks, back.waitTicks);
  const open = pair.openWish === Wish.Raise ? supply : back;
  probe.closeWaitTicks = open.belief === Belief.Open && open.request === Order.Close ? open.waitTicks : 0;
  tally(bankProbe, supply);
  tally(bankProbe, back);
}

/** After the queue has given its slots: which coils are driven in this tick. */
export function reportOrders(row: i32): void {
  const output = rowOutput(row);
  output.supplyOrder = valveState(row, 0).coil;
  output.returnOrder = valveState(row, 1).coil;
}
