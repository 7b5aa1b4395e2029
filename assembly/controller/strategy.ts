import { deadbandOf, nextActing, updateNoise } from './deadband';
import { RowMode, Strategy, Wish } from './generated/enums';
import { BankProbe, Coefficients, LoopState, PairState, Parameters, RowProbe } from './generated/records';
import { clamp, resumeLoadLoop, stepLoadLoop } from './load-loop';
import { complianceAt, complianceBetween, flowAt, pulseTicks, stepPerTick } from './pulse';

/*
 * From load and pressure to a wish. Strategies differ in the error that the deadband judges and in when a pulse ends:
 *   threshold  load error; the valve stays open until the load is inside
 *   cascade    pressure error behind a load loop, as load; the pulse's length is worked out before it begins
 *   predictive load error expected for the next moments; the valve stays open until little of it is left
 */

/** Stopped at the floor, pressure must come this far above it before it is let out again: several times its ripple on a rough field (our choice). */
const FLOOR_MARGIN_KPA: f32 = 500;

/** *cascade*: the load loop moves the set point while the row works. Until it first does, the set point is the pressure found. */
function updateSetPoint(probe: RowProbe, bank: BankProbe, loop: LoopState, p: Parameters, c: Coefficients): void {
  if (loop.running === 0) resumeLoadLoop(loop, probe.loadErrorN, p);
  // A sagging rail limits what can be added, not what is there already.
  const reachableKpa = max<f32>(bank.railKpa, probe.pressureKpa);
  const highestKpa = max<f32>(c.floorKpa, min<f32>(p.setPointMaxKpa, reachableKpa));
  stepLoadLoop(loop, probe.loadErrorN, highestKpa, p, c);
}

/** *predictive*: the pressure at which the load would be right, slowly followed; what a row goes on with while its load is in doubt. */
function followSetPoint(probe: RowProbe, bank: BankProbe, loop: LoopState, p: Parameters, c: Coefficients): void {
  const rightKpa = probe.pressureKpa + (bank.targetLoadN - probe.predictedN) / c.areaNPerKpa;
  loop.setPointKpa += c.slowWeight * (clamp(rightKpa, c.floorKpa, p.setPointMaxKpa) - loop.setPointKpa);
}

/** Until a row first works, its set point is the pressure found. */
function moveSetPoint(mode: u8, probe: RowProbe, bank: BankProbe, loop: LoopState, p: Parameters, c: Coefficients): void {
  if (loop.seeded === 0) loop.setPointKpa = max<f32>(c.floorKpa, probe.pressureKpa);
  loop.running = mode === RowMode.Working ? loop.running : 0;
  if (mode !== RowMode.Working || p.strategy === Strategy.Threshold) return;
  if (p.strategy === Strategy.Cascade) updateSetPoint(probe, bank, loop, p, c);
  else followSetPoint(probe, bank, loop, p, c);
  loop.seeded = 1;
  loop.running = 1;
}

/** The error that the deadband judges, N. */
function judgedError(mode: u8, probe: RowProbe, bank: BankProbe, loop: LoopState, p: Parameters, c: Coefficients): f32 {
  if (p.strategy === Strategy.Threshold) return probe.loadErrorN;
  if (p.strategy === Strategy.Cascade) return (loop.setPointKpa - probe.pressureKpa) * c.areaNPerKpa;
  if (mode === RowMode.Working) return bank.targetLoadN - probe.predictedN;
  return (loop.setPointKpa - probe.smoothKpa) * c.areaNPerKpa;
}

/** Expected pressure change per open tick at gain 1, kPa, for a wish from this row's pressure to `endKpa`. */
function expectedStep(wish: u8, endKpa: f32, probe: RowProbe, bank: BankProbe, p: Parameters, c: Coefficients): f32 {
  const dropKpa = wish === Wish.Raise ? bank.railKpa - probe.pressureRawKpa : probe.pressureRawKpa - p.returnKpa;
  const compliance = complianceBetween(probe.pressureRawKpa, endKpa, p.prechargeAbsoluteKpa, c);
  return stepPerTick(flowAt(dropKpa, bank.flowRatio, c), compliance, c);
}

/** Pressure is raised only below the rail, and let out only above `lowestKpa`: otherwise Hold. */
export function withinPressure(wish: u8, pressureKpa: f32, railKpa: f32, lowestKpa: f32): u8 {
  if (wish === Wish.Raise) return railKpa > pressureKpa ? Wish.Raise : Wish.Hold;
  if (wish === Wish.Lower) return pressureKpa > lowestKpa ? Wish.Lower : Wish.Hold;
  return Wish.Hold;
}

/** *cascade*: works the pulse out while it waits, and holds to it once it runs. */
function pulseWish(acting: u8, gain: f32, probe: RowProbe, loop: LoopState, pair: PairState, c: Coefficients): u8 {
  if (pair.openWish !== Wish.Hold) return probe.openTicks < loop.plannedTicks ? pair.openWish : Wish.Hold;
  if (acting === Wish.Hold) return Wish.Hold;
  const errorKpa = loop.setPointKpa - probe.pressureKpa;
  const wantedKpa = acting === Wish.Raise ? errorKpa : min<f32>(-errorKpa, probe.pressureRawKpa - c.floorKpa);
  loop.plannedTicks = pulseTicks(wantedKpa, pair.stepKpaPerTick * gain, c);
  probe.pulseMs = <f32>loop.plannedTicks * c.tickMs;
  return loop.plannedTicks !== 0 ? acting : Wish.Hold;
}

/**
 * Error and deadband: which way the strategy would act. *predictive* begins outside the deadband and, once a valve is open,
 * goes on until pulseEndRatio of the deadband is left: it would rather hold a valve a little longer than fire again.
 */
function judge(mode: u8, probe: RowProbe, bank: BankProbe, loop: LoopState, pair: PairState, p: Parameters, c: Coefficients): void {
  probe.errorN = judgedError(mode, probe, bank, loop, p, c);
  if (loop.hasError === 0) loop.slowErrorN = probe.errorN;
  loop.hasError = 1;
  updateNoise(loop, probe.errorN, c);
  probe.noiseN = sqrt<f32>(loop.varianceN2);
  probe.deadbandN = deadbandOf(probe.noiseN, p);
  pair.needN = max<f32>(0, abs<f32>(probe.errorN) - probe.deadbandN);
  const isPredictive = p.strategy === Strategy.Predictive;
  const acting = isPredictive ? pair.openWish : loop.acting;
  const stepN = c.areaNPerKpa * (probe.errorN > 0 ? probe.supplyStepKpa : probe.returnStepKpa);
  const innerN = isPredictive ? max<f32>(<f32>0.5 * stepN, p.pulseEndRatio * probe.deadbandN) : probe.deadbandN * (1 - p.hysteresisRatio);
  // An error that even the shortest pulse would more than turn over is better left alone.
  const leastN = isPredictive ? <f32>0.5 * <f32>c.minPulseTicks * stepN : 0;
  loop.acting = nextActing(acting, probe.errorN, max<f32>(probe.deadbandN, leastN), innerN);
}

/** Pressure at which the pulse for this error ends. */
function endOfPulse(probe: RowProbe, loop: LoopState, p: Parameters, c: Coefficients): f32 {
  if (p.strategy === Strategy.Threshold) return probe.pressureRawKpa;
  if (p.strategy === Strategy.Cascade) return loop.setPointKpa;
  return max<f32>(c.floorKpa, probe.pressureRawKpa + probe.errorN / c.areaNPerKpa);
}

function controlWish(mode: u8, probe: RowProbe, bank: BankProbe, loop: LoopState, pair: PairState, p: Parameters, c: Coefficients): u8 {
  judge(mode, probe, bank, loop, pair, p, c);
  const gain = loop.acting === Wish.Lower ? probe.returnGain : probe.supplyGain;
  if (loop.acting !== Wish.Hold) pair.stepKpaPerTick = expectedStep(loop.acting, endOfPulse(probe, loop, p, c), probe, bank, p, c);
  // The shortest pulse, or the close of one under way, still has to end above the floor.
  const shortestKpa = <f32>c.minPulseTicks * pair.stepKpaPerTick * gain;
  const marginKpa = loop.atFloor !== 0 ? FLOOR_MARGIN_KPA : 0;
  const acting = withinPressure(loop.acting, probe.pressureRawKpa, bank.railKpa, c.floorKpa + shortestKpa + marginKpa);
  // Kept while the error comes and goes at the deadband's edge: else each of its peaks would let out a little more.
  if (loop.acting === Wish.Lower && acting === Wish.Hold) loop.atFloor = 1;
  else if (pair.openWish === Wish.Raise || acting === Wish.Lower) loop.atFloor = 0;
  return p.strategy === Strategy.Cascade ? pulseWish(acting, gain, probe, loop, pair, c) : acting;
}

/** What each valve would do to the pressure in this tick if it were open, by what has been learned of it. */
export function showSteps(probe: RowProbe, bank: BankProbe, p: Parameters, c: Coefficients): void {
  probe.compliance = complianceAt(probe.pressureRawKpa, p.prechargeAbsoluteKpa, c);
  const supplyMlPerMs = flowAt(bank.railKpa - probe.pressureRawKpa, bank.flowRatio, c);
  const returnMlPerMs = flowAt(probe.pressureRawKpa - p.returnKpa, bank.flowRatio, c);
  probe.supplyStepKpa = probe.supplyGain * stepPerTick(supplyMlPerMs, probe.compliance, c);
  probe.returnStepKpa = probe.returnGain * stepPerTick(returnMlPerMs, probe.compliance, c);
}

/** What the row wants in this tick. `isBlind`: its pressure is in doubt. */
export function decide(
  mode: u8,
  isBlind: bool,
  probe: RowProbe,
  bank: BankProbe,
  loop: LoopState,
  pair: PairState,
  p: Parameters,
  c: Coefficients,
): u8 {
  pair.stepKpaPerTick = 0;
  probe.loadErrorN = bank.targetLoadN - probe.loadN;
  moveSetPoint(mode, probe, bank, loop, p, c);
  probe.setPointKpa = loop.setPointKpa;

  // Without a pressure to go by, the vent lasts its whole time.
  if (mode === RowMode.Venting) return isBlind || probe.pressureRawKpa > p.ventToKpa ? Wish.Lower : Wish.Hold;
  const isFrozen = mode === RowMode.Frozen && loop.seeded !== 0;
  if (mode === RowMode.Working || isFrozen) return controlWish(mode, probe, bank, loop, pair, p, c);
  loop.acting = Wish.Hold;
  loop.hasError = 0;
  return Wish.Hold;
}
