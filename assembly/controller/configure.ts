import { CONTACT_MARGIN_S, TOUCH_S } from './contact';
import { BUDGET_TIME_S, RATE_TIME_S, SLOW_ERROR_HZ } from './deadband';
import { LEAK_TIME_S } from './detector';
import { EARLY_S, JUDGE_FROM_S, JUDGE_TO_S, NOISE_TIME_S } from './doubt';
import {
  DETECTOR_HZ,
  FRAME_FORGET_S,
  FRAME_HOLD_S,
  FRAME_HZ,
  FRAME_LEARN_S,
  FRAME_MIN_ML_PER_S,
  FRAME_S,
  NO_VELOCITY_S,
  VELOCITY_HZ,
} from './drift';
import { BUTTERWORTH_K, firstCoefficient, tangent } from './filter';
import { Channel } from './generated/enums';
import { firstBadParameter, needsRestart, PARAMETER_COUNT, writeDefaults, writeFaultSettings } from './generated/parameters';
import {
  ACCEPTED_PARAMETERS_AT,
  ATMOSPHERE_KPA,
  BANK_OUTPUT_AT,
  bankState,
  ChannelSetting,
  ChannelState,
  Coefficients,
  channelSetting,
  coefficients,
  PARAMETERS_AT,
  PARAMETERS_BYTES,
  Parameters,
  PREVIEW_S,
  PREVIEW_SAMPLES,
  parameters,
  RECORDS_END,
  ROWS_MAX,
  railState,
  ValveState,
} from './generated/records';
import { COVARIANCE_MAX } from './learn';
import { clamp } from './load-loop';
import { BAND_FROM_HZ, BAND_TO_HZ, COMPARE_HZ, COMPARE_TIME_S, COMPARE_WAIT_S, SLOW_HZ } from './motion';
import { FLAT_MAX_S, FLAT_S, LOW_S, OFFSET_HZ, OFFSET_LEAD_MAX, RISE_S } from './offset';
import { BAND_1_HZ, BAND_2_HZ, BAND_3_HZ, BAND_4_HZ, BAND_5_HZ, firstOrderWeight } from './predictor';
import { PREVIEW_WAIT_S } from './preview';
import { Row, rowAt } from './row-records';
import { RELATED_COUNTS, RELATED_KPA, RELATED_LOAD_N, RELATED_METERED_N, RELATED_SUPPLY_MS } from './sense';
import { SET_POINT_S } from './strategy';

const PI: f32 = <f32>Math.PI;

/** Nearest number of ticks, at least 1 for a time above 0. All times except relatchS are limited to fit 16 bits. */
function ticksOf(timeMs: f32, tickMs: f32): u32 {
  const ticks = <u32>nearest<f32>(timeMs / tickMs);
  return timeMs > 0 ? max<u32>(ticks, 1) : 0;
}

/** Number of ticks, rounded up: for strokes, and for times that are minimums. */
function minTicksOf(timeMs: f32, tickMs: f32): u32 {
  // A rounding error of f32 must not add a tick.
  return <u32>ceil<f32>(timeMs / tickMs - <f32>1e-4);
}

function setChannel(s: ChannelSetting, atTenPercent: f32, atNinetyPercent: f32, ratePerMs: f32, p: Parameters, c: Coefficients): void {
  const full = <f32>p.adcFullScaleCounts;
  s.unitPerCount = (atNinetyPercent - atTenPercent) / (<f32>0.8 * full);
  s.unitAtZero = atTenPercent - (atNinetyPercent - atTenPercent) / 8;
  s.shortCounts = <u32>nearest<f32>(p.shortRatio * full);
  s.openCounts = <u32>nearest<f32>(p.openRatio * full);
  s.lowCounts = max<u32>(<u32>nearest<f32>((<f32>0.1 - p.rangeMarginRatio) * full), s.shortCounts);
  s.highCounts = min<u32>(<u32>nearest<f32>((<f32>0.9 + p.rangeMarginRatio) * full), s.openCounts);
  s.flipCounts = <u32>nearest<f32>(<f32>0.05 * full);
  s.rateCounts = <u32>ceil<f32>(min<f32>((ratePerMs * c.tickMs) / s.unitPerCount, 65535));
  s.steadyCounts = min<u32>(s.flipCounts, s.rateCounts);
}

function setRelated(which: u8, first: f32, second: f32): void {
  const setting = channelSetting(which);
  setting.related1 = first;
  setting.related2 = second;
}

/** What each sensor would have shown: signals as in sense.ts and bank.ts. */
function setRelatedSignals(c: Coefficients): void {
  const countsKpa = RELATED_COUNTS * channelSetting(Channel.Pressure).unitPerCount;
  setRelated(Channel.Load, RELATED_KPA, RELATED_METERED_N / c.areaNPerKpa);
  setRelated(Channel.Pressure, countsKpa, RELATED_LOAD_N);
  setRelated(Channel.Acceleration, RELATED_KPA, f32.MAX_VALUE);
  setRelated(Channel.Rail, RELATED_SUPPLY_MS / c.tickMs, f32.MAX_VALUE);
}

function setChannels(p: Parameters, c: Coefficients): void {
  setChannel(channelSetting(Channel.Load), p.loadAtTenPercentN, p.loadAtNinetyPercentN, p.loadRateNPerMs, p, c);
  setChannel(channelSetting(Channel.Pressure), p.pressureAtTenPercentKpa, p.pressureAtNinetyPercentKpa, p.pressureRateKpaPerMs, p, c);
  const acceleration = channelSetting(Channel.Acceleration);
  setChannel(acceleration, p.accelerationAtTenPercentMps2, p.accelerationAtNinetyPercentMps2, p.accelerationRateMps2PerMs, p, c);
  setChannel(channelSetting(Channel.Rail), p.railAtTenPercentKpa, p.railAtNinetyPercentKpa, p.railRateKpaPerMs, p, c);
}

function setFilters(p: Parameters, c: Coefficients): void {
  const load = tangent(PI * p.loadFilterHz * c.tickS);
  c.loadA1 = firstCoefficient(load, BUTTERWORTH_K);
  c.loadA2 = load * c.loadA1;
  c.loadA3 = load * c.loadA2;
  const pressure = tangent(PI * p.pressureFilterHz * c.tickS);
  c.pressureA1 = firstCoefficient(pressure, BUTTERWORTH_K);
  c.pressureA2 = pressure * c.pressureA1;
  c.pressureA3 = pressure * c.pressureA2;
  c.notchK = 1 / p.lugNotchQ;
}

function setMachine(p: Parameters, c: Coefficients): void {
  c.areaNPerKpa = p.capAreaCm2 * <f32>0.1 * p.linkageRatio;
  c.floorKpa = p.prechargeAbsoluteKpa - ATMOSPHERE_KPA + 100;
  c.oilMlPerKpa = p.chamberOilMl / (p.bulkModulusMpa * 1000);
  c.gasMlKpa = (p.accumulatorMl * p.prechargeAbsoluteKpa) / p.gasExponent;
  // 1 L/min = 1/60 mL/ms
  c.flowMlPerMsRootKpa = p.valveFlowLpm / 60 / sqrt<f32>(p.valveFlowDropKpa);
  // ½·C·V²: 1 µF·V² = 0.001 mJ
  c.energyMjPerV2 = p.reservoirVoltageFitted !== 0 ? p.reservoirUf * <f32>0.0005 : 0;
  const minV = p.strokeMinMv * <f32>0.001;
  c.energyFloorMj = c.energyMjPerV2 * minV * minV;
  // 1 W for 1 ms is 1 mJ: strokesAtOnce closes are served in each time slot of this bank.
  c.waitMj = p.reservoirLoadW * p.strokeMs * <f32>p.slotCount;
  c.closeMj = p.strokeMj + c.waitMj / <f32>p.strokesAtOnce;
}

function setPredictor(p: Parameters, c: Coefficients): void {
  c.sensorWeight = firstOrderWeight(p.loadLagHz, c.tickS);
  c.offsetWeight = firstOrderWeight(OFFSET_HZ, c.tickS);
  c.offsetLead = min<f32>(c.offsetWeight / c.sensorWeight, OFFSET_LEAD_MAX);
  c.band1Weight = firstOrderWeight(BAND_1_HZ, c.tickS);
  c.band2Weight = firstOrderWeight(BAND_2_HZ, c.tickS);
  c.band3Weight = firstOrderWeight(BAND_3_HZ, c.tickS);
  c.band4Weight = firstOrderWeight(BAND_4_HZ, c.tickS);
  c.band5Weight = firstOrderWeight(BAND_5_HZ, c.tickS);
}

function setDetector(p: Parameters, c: Coefficients): void {
  c.detectorWeight = firstOrderWeight(DETECTOR_HZ, c.tickS);
  c.velocityDecay = 2 * PI * VELOCITY_HZ * c.tickS;
  // 1 cm² · 1 m/s · 1 ms = 0.1 mL
  c.strokeVolumeMlPerMps = p.capAreaCm2 * p.linkageRatio * <f32>0.1 * c.tickMs;
  c.mlPerTickToMin = 60000 / c.tickMs;
  c.gasWeight = c.tickS / (p.gasThermalS + c.tickS);
  c.gasShare = 1 - 1 / p.gasExponent;
  c.leakWeight = c.tickS / LEAK_TIME_S;
  c.frameWeight = firstOrderWeight(FRAME_HZ, c.tickS);
  c.frameRate = c.tickS / FRAME_LEARN_S;
  const minMl = FRAME_MIN_ML_PER_S * c.tickS;
  c.frameMinMl2 = minMl * minMl;
  c.frameForget = c.tickS / FRAME_FORGET_S;
  c.noiseForget = c.tickS / NOISE_TIME_S;
}

function setMotion(p: Parameters, c: Coefficients): void {
  const compareS: f32 = 1 / COMPARE_HZ;
  c.slowAccelerationWeight = firstOrderWeight(SLOW_HZ, c.tickS);
  c.slowTicks = <u32>nearest<f32>(1 / c.slowAccelerationWeight);
  c.compareTicks = max<u32>(<u32>nearest<f32>(<f32>p.tickHz / COMPARE_HZ), 1);
  c.bandFromWeight = firstOrderWeight(BAND_FROM_HZ, compareS);
  c.bandToWeight = firstOrderWeight(BAND_TO_HZ, compareS);
  c.compareWaitTicks = ticksOf(COMPARE_WAIT_S * 1000, c.tickMs);
  c.compareWeight = compareS / COMPARE_TIME_S;
}

function setPreview(p: Parameters, c: Coefficients): void {
  c.previewTicks = max<u32>(<u32>nearest<f32>((<f32>p.tickHz * PREVIEW_S) / <f32>PREVIEW_SAMPLES), 1);
  c.previewWaitTicks = ticksOf((PREVIEW_S + PREVIEW_WAIT_S) * 1000, c.tickMs);
}

function setLoops(p: Parameters, c: Coefficients): void {
  c.integralKpaPerNTick = p.loadIntegralKpaPerNS * c.tickS;
  c.setPointStepKpa = p.setPointRateKpaPerS * c.tickS;
  c.slowWeight = firstOrderWeight(SLOW_ERROR_HZ, c.tickS);
  c.noiseWeight = c.tickS / (p.noiseTimeS + c.tickS);
}

function setOffsetTicks(c: Coefficients): void {
  c.flatTicks = ticksOf(FLAT_S * 1000, c.tickMs);
  c.flatMaxTicks = ticksOf(FLAT_MAX_S * 1000, c.tickMs);
  c.riseTicks = ticksOf(RISE_S * 1000, c.tickMs);
  c.lowTicks = ticksOf(LOW_S * 1000, c.tickMs);
}

function setBudget(rowCount: i32, c: Coefficients): void {
  const compareS = <f32>c.compareTicks * c.tickS;
  c.rateWeight = compareS / RATE_TIME_S;
  c.budgetGain = compareS / BUDGET_TIME_S;
  c.setPointReadings = <u32>nearest<f32>(SET_POINT_S / compareS);
  c.pulsesToPerMin = 60 / (compareS * <f32>max<i32>(rowCount, 1));
}

function setTicks(rowCount: i32, p: Parameters, c: Coefficients): void {
  c.strokeTicks = minTicksOf(p.strokeMs, c.tickMs);
  c.deadTicks = minTicksOf(p.deadMs, c.tickMs);
  c.slotCycleTicks = p.slotCount > 1 ? p.slotCount * c.strokeTicks : 0;
  c.slotStartTicks = p.slotPhase * c.strokeTicks;
  // A pulse begins and ends in the bank's own time slot.
  c.pulseStepTicks = max<u32>(c.slotCycleTicks, 1);
  const shortestTicks = max<u32>(minTicksOf(p.minPulseMs, c.tickMs), c.strokeTicks);
  c.minPulseTicks = c.pulseStepTicks * ((shortestTicks + c.pulseStepTicks - 1) / c.pulseStepTicks);
  const longestTicks = ticksOf(p.maxPulseMs, c.tickMs);
  c.maxPulseTicks = max<u32>(c.pulseStepTicks * (longestTicks / c.pulseStepTicks), c.minPulseTicks);
  c.restTicks = minTicksOf(p.restMs, c.tickMs);
  c.settleTicks = ticksOf(p.settleMs, c.tickMs);
  c.liftDebounceTicks = ticksOf(p.liftDebounceMs, c.tickMs);
  setOffsetTicks(c);
  c.liftTicks = ticksOf(p.liftS * 1000, c.tickMs);
  c.contactTicks = ticksOf((p.liftS + CONTACT_MARGIN_S) * 1000, c.tickMs);
  c.touchTicks = ticksOf(TOUCH_S * 1000, c.tickMs);
  c.liftSettleTicks = ticksOf(p.liftS * 1000 + p.liftSettleMs, c.tickMs);
  c.zeroWindowTicks = ticksOf(p.zeroWindowMs, c.tickMs);
  c.frozenTicks = ticksOf(p.frozenMs, c.tickMs);
  c.rateHoldTicks = ticksOf(p.rateHoldMs, c.tickMs);
  // Rarely enough that re-latching every valve takes at most a quarter of the queue's time.
  const sweepTicks = c.strokeTicks * p.slotCount * (1 + (<u32>rowCount * 2) / p.strokesAtOnce);
  c.relatchTicks = max<u32>(ticksOf(p.relatchS * 1000, c.tickMs), 4 * sweepTicks);
  c.noVelocityTicks = ticksOf(NO_VELOCITY_S * 1000, c.tickMs);
  c.frameHoldTicks = ticksOf(FRAME_HOLD_S * 1000, c.tickMs);
  c.earlyTicks = c.strokeTicks + ticksOf(EARLY_S * 1000, c.tickMs);
  c.judgeFromTicks = c.strokeTicks + ticksOf(JUDGE_FROM_S * 1000, c.tickMs);
  c.judgeToTicks = c.strokeTicks + ticksOf(JUDGE_TO_S * 1000, c.tickMs);
  c.frameSettleTicks = ticksOf((p.liftS + FRAME_S) * 1000, c.tickMs);
  c.missedWindowTicks = ticksOf(p.missedWindowMs, c.tickMs);
  // A stuck valve gets closing strokes at least as often as one that is not.
  c.retryTicks = min<u32>(ticksOf(p.retryS * 1000, c.tickMs), c.relatchTicks);
  c.ventTicks = ticksOf(p.ventMs, c.tickMs);
}

function resetGain(valve: ValveState): void {
  valve.gain = 1;
  valve.covariance = COVARIANCE_MAX;
}

/** Outputs, probes and state are last in memory: all of it is set to 0, which means unknown for every valve. */
function clearState(p: Parameters): void {
  for (let at = BANK_OUTPUT_AT; at < RECORDS_END; at += 4) store<u32>(at, 0);
  // The noise starts large: the deadband shrinks from its largest, instead of growing from its smallest.
  bankState().deadbandScale = 1;
  const noiseN = p.deadbandMaxN / p.deadbandSigmas;
  for (let index = 0; index < ROWS_MAX; index++) {
    const row = rowAt(index);
    row.loop.varianceN2 = noiseN * noiseN;
    row.motion.slope = 1;
    row.motion.scale = 1;
    row.motion.gasRatio = 1;
    resetGain(row.supply);
    resetGain(row.returnValve);
  }
}

/** Everything that is computed from the parameters. */
function setCoefficients(rowCount: i32, p: Parameters, c: Coefficients): void {
  c.tickMs = <f32>1000 / <f32>p.tickHz;
  c.tickS = <f32>1 / <f32>p.tickHz;
  setChannels(p, c);
  setFilters(p, c);
  setMachine(p, c);
  setRelatedSignals(c);
  setPredictor(p, c);
  setDetector(p, c);
  setMotion(p, c);
  setPreview(p, c);
  setLoops(p, c);
  setBudget(rowCount, c);
  setTicks(rowCount, p, c);
  writeFaultSettings(c.tickMs);
}

function copyParameters(from: usize, to: usize): void {
  for (let at: usize = 0; at < PARAMETERS_BYTES; at += 4) store<u32>(to + at, load<u32>(from + at));
}

/**
 * (Re)starts the controller with the parameters in memory. Returns 0, or the number of the first parameter that is outside its
 * limits or breaks a rule, or -1 for a row count that this build does not support. After a refusal the defaults are in memory and
 * only closing strokes are made; after a refused row count there are no rows, and no coil is driven.
 */
export function configureBank(rowCount: i32): i32 {
  if (RECORDS_END > 65536) ERROR('the records do not fit into one page of memory');
  const p = parameters();
  const isRowCount = rowCount >= 1 && rowCount <= ROWS_MAX;
  const bad = isRowCount ? firstBadParameter(p) : -1;
  if (bad !== 0) writeDefaults(p);
  setCoefficients(isRowCount ? rowCount : 0, p, coefficients());
  clearState(p);
  copyParameters(PARAMETERS_AT, ACCEPTED_PARAMETERS_AT);
  bankState().rowCount = isRowCount ? rowCount : 0;
  bankState().refused = bad === 0 ? 0 : 1;
  return bad;
}

/** reconfigure() was called without a running bank. */
export const NOT_CONFIGURED: i32 = -1000;

/** Number of the first parameter that differs from the one in force and needs a restart, 0 if there is none. */
function firstRestartParameter(): i32 {
  for (let number = 1; number <= PARAMETER_COUNT; number++) {
    const at = <usize>(number - 1) * 4;
    const isSame = load<u32>(PARAMETERS_AT + at) === load<u32>(ACCEPTED_PARAMETERS_AT + at);
    if (!isSame && needsRestart(number)) return number;
  }
  return 0;
}

function limitChannel(channel: ChannelState, c: Coefficients): void {
  channel.rateTicks = min<u16>(channel.rateTicks, <u16>c.rateHoldTicks);
}

function limitGain(valve: ValveState, p: Parameters): void {
  valve.gain = clamp(valve.gain, p.gainMin, p.gainMax);
}

/** Timers that run down, and learned gains, are limited to what the new parameters allow. */
function limitRow(row: Row, p: Parameters, c: Coefficients): void {
  const pair = row.pair;
  pair.restTicks = min<u16>(pair.restTicks, <u16>c.restTicks);
  pair.deadTicks = min<u16>(pair.deadTicks, <u16>c.deadTicks);
  pair.settleTicks = min<u16>(pair.settleTicks, <u16>c.settleTicks);
  for (let which: u8 = 0; which < Channel.Rail; which++) limitChannel(row.channel(which), c);
  limitGain(row.supply, p);
  limitGain(row.returnValve, p);
  // The load loop resumes from the present set point, so that new gains do not move it by a jump.
  row.loop.running = 0;
}

/**
 * Puts the parameters in memory into force while the bank runs: zeros, gains and beliefs stay, and strokes in progress are not
 * disturbed. Returns 0; or the number of the first parameter that is refused; or, negative, the number of the first one whose
 * change needs a restart; or NOT_CONFIGURED. If the result is not 0, the parameters in force are in memory again and nothing has changed.
 */
export function reconfigureBank(): i32 {
  const p = parameters();
  const c = coefficients();
  const bank = bankState();
  const rows = <i32>bank.rowCount;
  if (rows === 0 || bank.refused !== 0) return NOT_CONFIGURED;
  const bad = firstBadParameter(p);
  const result = bad !== 0 ? bad : -firstRestartParameter();
  if (result !== 0) {
    copyParameters(ACCEPTED_PARAMETERS_AT, PARAMETERS_AT);
    return result;
  }
  setCoefficients(rows, p, c);
  copyParameters(PARAMETERS_AT, ACCEPTED_PARAMETERS_AT);
  limitChannel(railState(), c);
  for (let index = 0; index < rows; index++) limitRow(rowAt(index), p, c);
  return 0;
}
