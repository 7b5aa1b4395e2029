import { deadbandOf, nextActing, updateNoise } from './deadband';
import { RowMode, Strategy, Wish } from './generated/enums';
import { BankProbe, Coefficients, LoopState, Parameters, RowProbe } from './generated/records';
import { clamp, limitMax, limitMin, resumeLoadLoop, stepLoadLoop } from './load-loop';
import { complianceAt, complianceBetween, flowAt, pulseTicks, stepPerTick } from './pulse';
import { Row } from './row-records';

/*
 * From load and pressure to a wish. Strategies differ in the control error and in when a pulse ends:
 *   threshold  load error; the valve stays open until the load is inside the deadband
 *   cascade    pressure error of a load loop, as load; the pulse's length is computed before it begins
 *   predictive predicted load error; the valve stays open until little of it is left
 */

/** After the floor stopped a pulse, pressure must rise this far above it before the next: several times its ripple on a rough field (our choice). */
const FLOOR_MARGIN_KPA: f32 = 500;
/** Averaging time of the set point, s: some soil patches. */
export const SET_POINT_S: f32 = 10;

/** *cascade*: the load loop moves the set point while the row works. */
function updateSetPoint(probe: RowProbe, bank: BankProbe, loop: LoopState, p: Parameters, c: Coefficients): void {
  if (loop.running === 0) resumeLoadLoop(loop, probe.loadErrorN, p);
  // A sagging rail limits what can be added, not what is in the chamber.
  const reachableKpa = limitMin(bank.railKpa, probe.pressureKpa);
  const highestKpa = limitMin(limitMax(reachableKpa, p.setPointMaxKpa), c.floorKpa);
  stepLoadLoop(loop, probe.loadErrorN, highestKpa, p, c);
}

/**
 * *predictive*: mean pressure at which the load would be on target; the row holds it while its load is invalid. It is slow, because a
 * load may have been wrong for a while before that is found.
 */
function followSetPoint(probe: RowProbe, bank: BankProbe, loop: LoopState, p: Parameters, c: Coefficients): void {
  const targetKpa = probe.pressureKpa + (bank.targetLoadN - probe.predictedN) / c.areaNPerKpa;
  loop.setReadings = min<u16>(loop.setReadings + 1, <u16>c.setPointReadings);
  loop.setPointKpa += (<f32>1 / <f32>loop.setReadings) * (clamp(targetKpa, c.floorKpa, p.setPointMaxKpa) - loop.setPointKpa);
}

/** Until a row first works, its set point is its pressure. */
function moveSetPoint(row: Row, mode: u8, isDue: bool, bank: BankProbe, p: Parameters, c: Coefficients): void {
  const probe = row.probe;
  const loop = row.loop;
  if (loop.setReadings === 0) loop.setPointKpa = max<f32>(c.floorKpa, probe.pressureKpa);
  loop.running = mode === RowMode.Working ? loop.running : 0;
  if (mode !== RowMode.Working || p.strategy === Strategy.Threshold) return;
  if (p.strategy === Strategy.Predictive) {
    if (isDue) followSetPoint(probe, bank, loop, p, c);
  } else {
    updateSetPoint(probe, bank, loop, p, c);
    loop.setReadings = 1;
  }
  loop.running = 1;
}

/** The control error, N. */
function controlError(mode: u8, probe: RowProbe, bank: BankProbe, loop: LoopState, p: Parameters, c: Coefficients): f32 {
  if (p.strategy === Strategy.Threshold) return probe.loadErrorN;
  if (p.strategy === Strategy.Cascade) return (loop.setPointKpa - probe.pressureKpa) * c.areaNPerKpa;
  if (mode === RowMode.Working) return bank.targetLoadN - probe.predictedN;
  return (loop.setPointKpa - probe.smoothKpa) * c.areaNPerKpa;
}

/** Expected pressure change per open tick at gain 1, kPa, for a wish from this row's pressure to `endKpa`. */
function expectedStep(wish: u8, endKpa: f32, gasRatio: f32, probe: RowProbe, bank: BankProbe, p: Parameters, c: Coefficients): f32 {
  const dropKpa = wish === Wish.Raise ? bank.railKpa - probe.pressureRawKpa : probe.pressureRawKpa - p.returnKpa;
  const compliance = complianceBetween(probe.pressureRawKpa, endKpa, p.prechargeAbsoluteKpa, gasRatio * c.gasMlKpa, c.oilMlPerKpa);
  return stepPerTick(flowAt(dropKpa, bank.flowRatio, c), compliance, c);
}

/** Raise only below `highestKpa`, Lower only above `lowestKpa`: otherwise Hold. */
export function withinPressure(wish: u8, pressureKpa: f32, highestKpa: f32, lowestKpa: f32): u8 {
  if (wish === Wish.Raise) return highestKpa > pressureKpa ? Wish.Raise : Wish.Hold;
  if (wish === Wish.Lower) return pressureKpa > lowestKpa ? Wish.Lower : Wish.Hold;
  return Wish.Hold;
}

/** *cascade*: plans the pulse while it waits, and keeps to the plan once it runs. */
function pulseWish(row: Row, acting: u8, gain: f32, c: Coefficients): u8 {
  const probe = row.probe;
  const loop = row.loop;
  const pair = row.pair;
  if (pair.openWish !== Wish.Hold) return probe.openTicks < loop.plannedTicks ? pair.openWish : Wish.Hold;
  if (acting === Wish.Hold) return Wish.Hold;
  const errorKpa = loop.setPointKpa - probe.pressureKpa;
  const neededKpa = acting === Wish.Raise ? errorKpa : min<f32>(-errorKpa, probe.pressureRawKpa - c.floorKpa);
  loop.plannedTicks = pulseTicks(neededKpa, pair.stepKpaPerTick * gain, c);
  probe.pulseMs = <f32>loop.plannedTicks * c.tickMs;
  return loop.plannedTicks !== 0 ? acting : Wish.Hold;
}

/**
 * Compares the control error with the deadband: in which direction would the strategy act? *predictive* acts outside the deadband
 * and, once a valve is open, until pulseEndRatio of the deadband is left: it prefers a longer pulse to a second one.
 */
function judge(row: Row, mode: u8, bank: BankProbe, p: Parameters, c: Coefficients): void {
  const probe = row.probe;
  const loop = row.loop;
  const pair = row.pair;
  const errorN = controlError(mode, probe, bank, loop, p, c);
  if (loop.hasError === 0) loop.slowErrorN = errorN;
  loop.hasError = 1;
  if (mode !== RowMode.Lowering) updateNoise(loop, errorN, c);
  const noiseN = sqrt<f32>(loop.varianceN2);
  const deadbandN = bank.deadbandScale * deadbandOf(noiseN, p);
  probe.errorN = errorN;
  probe.noiseN = noiseN;
  probe.deadbandN = deadbandN;
  pair.needN = limitMin(abs<f32>(errorN) - deadbandN, 0);
  const isPredictive = p.strategy === Strategy.Predictive;
  const acting = isPredictive ? pair.openWish : loop.acting;
  const stepN = c.areaNPerKpa * (errorN > 0 ? probe.supplyStepKpa : probe.returnStepKpa);
  // A pulse ends when half of what its next possible end would still add is left.
  const endStepN = <f32>0.5 * <f32>c.pulseStepTicks * stepN;
  const innerN = isPredictive ? limitMin(p.pulseEndRatio * deadbandN, endStepN) : deadbandN * (1 - p.hysteresisRatio);
  // An error that even the shortest pulse would reverse and enlarge is better left alone.
  const shortestN = isPredictive ? <f32>0.5 * <f32>c.minPulseTicks * stepN : 0;
  loop.acting = nextActing(acting, errorN, limitMin(deadbandN, shortestN), innerN);
}

/** Pressure at which the pulse for this error ends. */
function endOfPulse(probe: RowProbe, loop: LoopState, p: Parameters, c: Coefficients): f32 {
  if (p.strategy === Strategy.Threshold) return probe.pressureRawKpa;
  if (p.strategy === Strategy.Cascade) return loop.setPointKpa;
  return limitMin(probe.pressureRawKpa + probe.errorN / c.areaNPerKpa, c.floorKpa);
}

function controlWish(row: Row, mode: u8, bank: BankProbe, p: Parameters, c: Coefficients): u8 {
  judge(row, mode, bank, p, c);
  const probe = row.probe;
  const loop = row.loop;
  const pair = row.pair;
  const gain = loop.acting === Wish.Lower ? probe.returnGain : probe.supplyGain;
  if (loop.acting !== Wish.Hold)
    pair.stepKpaPerTick = expectedStep(loop.acting, endOfPulse(probe, loop, p, c), row.motion.gasRatio, probe, bank, p, c);
  // Even the shortest pulse, or the close of the present one, must end above the floor.
  const shortestKpa = <f32>c.minPulseTicks * pair.stepKpaPerTick * gain;
  const marginKpa = loop.atFloor !== 0 ? FLOOR_MARGIN_KPA : 0;
  // A raise that the rail cannot let remove half the deadband is not worth its strokes; one that has begun uses the whole rail.
  const usefulKpa: f32 = pair.openWish === Wish.Raise ? 0 : (<f32>0.5 * probe.deadbandN) / c.areaNPerKpa;
  const highestKpa = limitMax(bank.railKpa - usefulKpa, p.setPointMaxKpa);
  const lowestKpa = c.floorKpa + shortestKpa + marginKpa;
  const acting = withinPressure(loop.acting, probe.pressureRawKpa, highestKpa, lowestKpa);
  // Kept while the error crosses the deadband's edge: otherwise each peak would lower the pressure a little more.
  if (loop.acting === Wish.Lower && acting === Wish.Hold) loop.atFloor = 1;
  else if (pair.openWish === Wish.Raise || acting === Wish.Lower) loop.atFloor = 0;
  return p.strategy === Strategy.Cascade ? pulseWish(row, acting, gain, c) : acting;
}

/** What each valve would do to the pressure in this tick if it were open, by its learned gain. */
export function probeSteps(probe: RowProbe, gasRatio: f32, bank: BankProbe, p: Parameters, c: Coefficients): void {
  probe.compliance = complianceAt(probe.pressureRawKpa, p.prechargeAbsoluteKpa, gasRatio * c.gasMlKpa, c.oilMlPerKpa);
  const supplyMlPerMs = flowAt(bank.railKpa - probe.pressureRawKpa, bank.flowRatio, c);
  const returnMlPerMs = flowAt(probe.pressureRawKpa - p.returnKpa, bank.flowRatio, c);
  probe.supplyStepKpa = probe.supplyGain * stepPerTick(supplyMlPerMs, probe.compliance, c);
  probe.returnStepKpa = probe.returnGain * stepPerTick(returnMlPerMs, probe.compliance, c);
}

/** Returns the wish of a row for this tick. @param isDue what is slow is updated in this tick */
export function decide(row: Row, mode: u8, isDue: bool, isPressureValid: bool, bank: BankProbe, p: Parameters, c: Coefficients): u8 {
  const probe = row.probe;
  const loop = row.loop;
  row.pair.stepKpaPerTick = 0;
  probe.loadErrorN = bank.targetLoadN - probe.loadN;
  moveSetPoint(row, mode, isDue, bank, p, c);
  probe.setPointKpa = loop.setPointKpa;

  // Without a valid pressure the vent lasts for ventMs.
  if (mode === RowMode.Venting) return !isPressureValid || probe.pressureRawKpa > p.ventToKpa ? Wish.Lower : Wish.Hold;
  const isHeld = (mode === RowMode.Frozen || mode === RowMode.Lowering) && loop.setReadings !== 0;
  if (mode === RowMode.Working || isHeld) return controlWish(row, mode, bank, p, c);
  loop.acting = Wish.Hold;
  loop.hasError = 0;
  return Wish.Hold;
}
