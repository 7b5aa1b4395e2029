import type { SourceEdit } from './patched-controller.js';

/** One line of the controller patched so that it does something else, to be found by a review. */
export interface SeededBug extends SourceEdit {
  /** A vector on which it shows. */
  readonly vector: string;
  /** The first signal that differs; `stop` if an assertion fails. */
  readonly signal: string;
}

const bug = (file: string, find: string, replace: string, vector: string, signal: string): SeededBug => ({
  file,
  find,
  replace,
  vector,
  signal,
});

/** A constant, a sign, a sum, a comparison and an assertion: what the fast tests find. */
// biome-ignore format: a table reads best with one bug to a line
export const SAMPLE_BUGS: readonly SeededBug[] = [
  bug('bank.ts', 'const WARM_C: f32 = 40;', 'const WARM_C: f32 = 41;', 'target-step', 'flowRatio'),
  bug('predictor.ts', 'if (flowWish === Wish.Lower) state.meteredKpa -= probe.returnStepKpa;', 'if (flowWish === Wish.Lower) state.meteredKpa += probe.returnStepKpa;', 'target-step', 'predictor.meteredKpa'),
  bug('learn.ts', 'const weight = spread / (p.gainForgetting + spread * expectedKpa);', 'const weight = spread / (p.gainForgetting - spread * expectedKpa);', 'target-step', 'valveState[supply].gain'),
  bug('diagnose.ts', 'if (timer.ticks < limit) return false;', 'if (timer.ticks <= limit) return false;', 'load-sensor-open-circuit', 'rowFaultTimer[loadOpen].ticks'),
  bug('valve-pair.ts', 'assert(valve.request !== Order.None);', 'assert(valve.request === Order.None);', 'target-step', 'stop'),
];

/**
 * Constants, comparisons, signs, fields, arguments, timers, limits and assertions, in every file of the controller; many are far
 * from the store in which they first show. The signals come from reading the sources, not from running them.
 */
// biome-ignore format: a table reads best with one bug to a line
export const MORE_BUGS: readonly SeededBug[] = [
  bug('bank.ts', 'return isLowered ? BankMode.Working : BankMode.Lifted;', 'return isLowered ? BankMode.Lifted : BankMode.Working;', 'target-step', 'bankState.mode'),
  bug('bank.ts', 'if (probe.closesNeeded === 0) bank.started = 1;', 'if (probe.closesNeeded !== 0) bank.started = 1;', 'target-step', 'bankState.started'),
  bug('bank.ts', 'bank.loweredTicks = bank.lowered !== 0 ?', 'bank.loweredTicks = bank.lowered === 0 ?', 'target-step', 'bankState.loweredTicks'),
  bug('sense.ts', 'return <f32>counts * setting.unitPerCount + setting.unitAtZero;', 'return <f32>counts * setting.unitPerCount - setting.unitAtZero;', 'target-step', 'railState.value'),
  bug('sense.ts', 'return counts > setting.openCounts ? Check.Open : Check.Range;', 'return counts > setting.openCounts ? Check.Range : Check.Range;', 'load-sensor-open-circuit', 'channelState[load].rangeCheck'),
  bug('sense.ts', 'if (channel.cleanTicks < 2) channel.cleanTicks += 1;', 'if (channel.cleanTicks < 3) channel.cleanTicks += 1;', 'target-step', 'railState.cleanTicks'),
  bug('filter.ts', 'state.second = 2 * low - state.second;\n  return low;', 'state.second = 2 * low + state.second;\n  return low;', 'target-step', 'loadLowPass.second'),
  bug('filter.ts', 'return 1 / (1 + g * (g + k));', 'return 1 / (1 + g * (g - k));', 'target-step', 'coefficients.loadA1'),
  bug('zero.ts', 'zero.sumN += loadRawN - zero.firstN;', 'zero.sumN += loadRawN + zero.firstN;', 'lift-and-lower-with-new-zero', 'zeroState.sumN'),
  bug('zero.ts', 'const isQuiet = spreadN <= p.zeroSpreadN;', 'const isQuiet = spreadN >= p.zeroSpreadN;', 'lift-and-lower-with-new-zero', 'zeroState.result'),
  bug('learn.ts', 'row.detector.residualStepKpa = 0;', 'row.detector.residualStepKpa = 1;', 'target-step', 'detector.residualStepKpa'),
  bug('predictor.ts', 'state.load3N += c.band3Weight * (d - state.load3N);', 'state.load3N += c.band2Weight * (d - state.load3N);', 'missed-closes', 'predictor.load3N'),
  bug('predictor.ts', 'p.loadTrend2Weight * probe.loadTrend2N +', 'p.loadTrend2Weight * probe.loadTrend1N +', 'missed-closes', 'predictedN'),
  bug('predictor.ts', 'export const BAND_3_HZ: f32 = 2;', 'export const BAND_3_HZ: f32 = 2.1;', 'target-step', 'coefficients.band3Weight'),
  bug('load-loop.ts', 'loop.integralKpa = loop.setPointKpa - p.loadProportionalKpaPerN * errorN;', 'loop.integralKpa = loop.setPointKpa + p.loadProportionalKpaPerN * errorN;', 'target-step', 'loopState.integralKpa'),
  bug('load-loop.ts', 'const isPushing = (unlimitedKpa - loop.setPointKpa) * errorN > 0;', 'const isPushing = (unlimitedKpa - loop.setPointKpa) * errorN >= 0;', 'target-step', 'loopState.integralKpa'),
  bug('pulse.ts', 'return (flowMlPerMs * c.tickMs) / complianceMlPerKpa;', 'return (flowMlPerMs + c.tickMs) / complianceMlPerKpa;', 'target-step', 'supplyStepKpa'),
  bug('pulse.ts', 'return c.flowMlPerMsRootKpa * sqrt<f32>(dropKpa) * flowRatio;', 'return c.flowMlPerMsRootKpa * sqrt<f32>(dropKpa);', 'cold-oil', 'supplyStepKpa'),
  bug('pulse.ts', 'const ticks = changeKpa / stepKpaPerTick;', 'const ticks = changeKpa * stepKpaPerTick;', 'target-step', 'loopState.plannedTicks'),
  bug('deadband.ts', 'if (p.deadbandMode === 0) return p.deadbandN;', 'if (p.deadbandMode !== 0) return p.deadbandN;', 'target-step', 'deadbandN'),
  bug('deadband.ts', 'c.noiseWeight * (distanceN * distanceN - loop.varianceN2);', 'c.noiseWeight * (distanceN + distanceN - loop.varianceN2);', 'target-step', 'loopState.varianceN2'),
  bug('valve-pair.ts', 'if (hasPulsed) pair.restTicks = <u16>c.restTicks;', 'if (!hasPulsed) pair.restTicks = <u16>c.restTicks;', 'target-step', 'pairState.restTicks'),
  bug('valve-pair.ts', 'valve.coilTicks = <u16>c.strokeTicks;', 'valve.coilTicks = <u16>(c.strokeTicks + 1);', 'target-step', 'valveState[supply].coilTicks'),
  bug('valve-pair.ts', '    valve.belief = Belief.Open;', '    valve.belief = Belief.Closed;', 'target-step', 'valveState[supply].belief'),
  bug('stroke-queue.ts', 'const openSlots = slots > 1 ? slots - 1 : 1;', 'const openSlots = slots;', 'forty-eight-rows-at-once', 'valveState[supply].belief'),
  bug('stroke-queue.ts', 'return max<f32>(0, storedMj - <f32>strokesInFlight * p.strokeMj);', 'return max<f32>(0, storedMj + <f32>strokesInFlight * p.strokeMj);', 'small-reservoir', 'energyMj'),
  bug('row-inputs.ts', 'const loadN = channel.value - probe.zeroN;', 'const loadN = channel.value + probe.zeroN;', 'lift-and-lower-with-new-zero', 'loadMedian.old'),
  bug('row.ts', 'if (bankMode !== BankMode.Working || (activeFaults & RowFault.ANY_HOLD) !== 0)', 'if (bankMode !== BankMode.Working || (activeFaults & RowFault.ANY_HOLD) === 0)', 'target-step', 'mode'),
  bug('strategy.ts', 'probe.loadErrorN = bank.targetLoadN - probe.loadN;', 'probe.loadErrorN = probe.loadN - bank.targetLoadN;', 'target-step', 'loadErrorN'),
  bug('strategy.ts', 'if (wish === Wish.Raise) return highestKpa > pressureKpa ?', 'if (wish === Wish.Raise) return highestKpa < pressureKpa ?', 'threshold-over-soil-patches', 'wish'),
  bug('detector.ts', 'const downKpa = detector.cusumDownKpa - evidenceKpa - fallAllowedKpa - motionErrorKpa;', 'const downKpa = detector.cusumDownKpa + evidenceKpa - fallAllowedKpa - motionErrorKpa;', 'missed-closes', 'detector.cusumDownKpa'),
  bug('drift.ts', 'return detector.noVelocityTicks !== 0 || detector.frameSettled === 0;', 'return detector.noVelocityTicks !== 0 && detector.frameSettled === 0;', 'missed-closes', 'detector.motionKpa'),
  bug('detector.ts', 'detector.leakMlPerMin += c.leakWeight * ((driftKpa + coolingKpa) * toMlPerMin - detector.leakMlPerMin);', 'detector.leakMlPerMin += c.leakWeight * ((driftKpa - coolingKpa) * toMlPerMin - detector.leakMlPerMin);', 'valve-leaks', 'detector.leakMlPerMin'),
  bug('configure.ts', 's.unitAtZero = atTenPercent - (atNinetyPercent - atTenPercent) / 8;', 's.unitAtZero = atTenPercent - (atNinetyPercent - atTenPercent) / 9;', 'target-step', 'channelSetting[load].unitAtZero'),
  bug('time.ts', 'return ticks === u16.MAX_VALUE ? ticks : ticks + 1;', 'return ticks === u16.MAX_VALUE ? ticks : ticks + 2;', 'target-step', 'bankState.loweredTicks'),
];

/** Bugs that no vector shows. */
// biome-ignore format: a table reads best with one bug to a line
export const HIDDEN_BUGS: readonly SourceEdit[] = [
  { file: 'bank.ts', find: 'bank.mode === BankMode.LowSupply || bank.mode', replace: 'bank.mode === BankMode.LowSupply && bank.mode' },
  { file: 'row-inputs.ts', find: 'abs<f32>(probe.loadRawN - probe.zeroN) < p.belowZeroN', replace: 'probe.loadRawN - probe.zeroN < p.belowZeroN' },
  { file: 'bank.ts', find: 'input.oilTemperatureC <= 150', replace: 'input.oilTemperatureC <= 155' },
  { file: 'doubt.ts', find: '  row.valve(<u8>(detector.doubt - 1)).repeats = 0;', replace: '' },
];

/** Kinds of difference that a failure shows. */
export type FailureKind = 'outputsDiffer' | 'stateDiffers' | 'stopped';

/** One mistake in one line of the controller, which shows late and among much else: a failure to shrink. */
export interface PlantedFailure extends SourceEdit {
  readonly name: string;
  /** Vector on which it shows; `pass` is a run of tests/support/eventful-pass.yaml. */
  readonly vector: string;
  readonly kind: FailureKind;
}

const failure = (name: string, kind: FailureKind, file: string, find: string, replace: string, vector: string): PlantedFailure => ({
  name,
  kind,
  file,
  find,
  replace,
  vector,
});

/** What the fast tests shrink: a difference in outputs, and a stop. */
// biome-ignore format: a table reads best with one mistake to a line
export const SAMPLE_FAILURES: readonly PlantedFailure[] = [
  failure('low supply counts as critical', 'outputsDiffer', 'bank.ts', '<f32>input.supplyMv < p.supplyCriticalMv', '<f32>input.supplyMv < p.supplyLowMv', 'supply-low-with-valves-open'),
  failure('a close is assumed to be repeated only once', 'stopped', 'valve-pair.ts', 'valve.repeats = countUp(valve.repeats);', 'assert(valve.repeats === 0);\n  valve.repeats = countUp(valve.repeats);', 'valve-stuck-open'),
];

// biome-ignore format: a table reads best with one mistake to a line
export const MORE_FAILURES: readonly PlantedFailure[] = [
  failure('a suspect channel stays suspect', 'outputsDiffer', 'sense.ts', 'countDown(channel.rateTicks)', 'channel.rateTicks', 'pass'),
  failure('an open circuit passes as a value', 'outputsDiffer', 'sense.ts', 'counts > setting.openCounts', 'counts > setting.openCounts + 400', 'accelerometer-breaks'),
  failure('a missed close is not reported', 'outputsDiffer', 'doubt.ts', 'detector.missedValve = detector.doubt;', '', 'missed-closes'),
  failure('recovery uses the debounce time', 'outputsDiffer', 'diagnose.ts', 'isRising ? setting.debounceTicks : setting.recoveryTicks', 'setting.debounceTicks', 'garbage-then-recovery'),
  failure('a NaN temperature passes', 'outputsDiffer', 'bank.ts', 'input.oilTemperatureC >= -50 && input.oilTemperatureC <= 150', '!(input.oilTemperatureC < -50) && !(input.oilTemperatureC > 150)', 'garbage-then-recovery'),
  failure('a suspect target is used', 'stateDiffers', 'bank.ts', '(activeFaults & BankFault.TargetInvalid) === 0', '(faults.faults & BankFault.TargetInvalid) === 0', 'pass'),
  failure('a target is assumed to be a number', 'stopped', 'bank.ts', 'probe.targetLoadN = bank.targetLoadN;', 'assert(input.targetLoadN >= 0);\n  probe.targetLoadN = bank.targetLoadN;', 'pass'),
  failure('low rail pressure is detected too late', 'outputsDiffer', 'bank.ts', 'rail.value < p.railLowKpa', 'rail.value < <f32>0.9 * p.railLowKpa', 'pass'),
  failure('the operator switch is ignored', 'outputsDiffer', 'bank.ts', '!isEnabled || (activeFaults', '(activeFaults', 'pass'),
  failure('nothing is closed again after power was lost', 'outputsDiffer', 'bank.ts', 'if (bank.inhibited !== 0) bank.started = 0;', '', 'pass'),
  failure('counts are assumed to change within a second', 'stopped', 'sense.ts', 'channel.sameTicks = change === 0', 'assert(channel.sameTicks < 1000);\n  channel.sameTicks = change === 0', 'pass'),
  failure('a zero is taken a tick early', 'outputsDiffer', 'zero.ts', 'zero.waitTicks <= c.liftSettleTicks', 'zero.waitTicks < c.liftSettleTicks', 'pass'),
  failure('a zero is assumed to be found at once', 'stopped', 'zero.ts', 'if (zero.result !== ZeroResult.Accepted) {', 'assert(zero.result === ZeroResult.Accepted);\n  if (zero.result !== ZeroResult.Accepted) {', 'pass'),
  failure('a load that is too high is ignored', 'outputsDiffer', 'row-inputs.ts', 'predictor.load1N - p.freeLoadMaxN', 'predictor.load1N - 2 * p.freeLoadMaxN', 'load-sensor-off'),
  failure('the count of valid samples is not reset', 'outputsDiffer', 'predictor.ts', 'else state.hasLoad = 0;', '', 'pass'),
  failure('a pulse lasts a tick too long', 'outputsDiffer', 'valve-pair.ts', 'const isTooLong = valve.openTicks >= c.maxPulseTicks;', 'const isTooLong = valve.openTicks > c.maxPulseTicks;', 'pass'),
  failure('the deadband has no inner edge', 'outputsDiffer', 'deadband.ts', 'acting === Wish.Lower ? innerN : deadbandN', 'deadbandN', 'threshold-over-soil-patches'),
  failure('the load loop winds up', 'outputsDiffer', 'load-loop.ts', 'if (!isPushing) loop', 'loop', 'cold-oil'),
];

const edit = (file: string, find: string, replace: string): SourceEdit => ({ file, find, replace });

/**
 * What else a change may contain besides its bug: renamed locals, an extracted function, lines in another order, exchanged operands,
 * a split statement. Every file also gets HARMLESS_HEAD, so that no line keeps its number.
 */
export const HARMLESS_EDITS: readonly SourceEdit[] = [
  edit(
    'bank.ts',
    'return clamp(coldFlowRatio + (1 - coldFlowRatio) * share, coldFlowRatio, 1);',
    'const warmPart: f32 = (<f32>1 - coldFlowRatio) * share;\n  return clamp(coldFlowRatio + warmPart, coldFlowRatio, 1);',
  ),
  edit('sense.ts', 'channel.valid = faults === 0 ? 1 : 0;', 'const isSound = faults === 0;\n  channel.valid = isSound ? 1 : 0;'),
  edit('filter.ts', '  state.older = value;\n  state.old = value;', '  state.old = value;\n  state.older = value;'),
  edit(
    'zero.ts',
    'return isNear && isPossible ? ZeroResult.Accepted : ZeroResult.Implausible;',
    'if (isNear && isPossible) return ZeroResult.Accepted;\n  return ZeroResult.Implausible;',
  ),
  edit(
    'predictor.ts',
    '  state.inertia1N += c.band1Weight * (inertiaN - state.inertia1N);\n  state.inertia2N += c.band2Weight * (inertiaN - state.inertia2N);',
    '  state.inertia2N += c.band2Weight * (inertiaN - state.inertia2N);\n  state.inertia1N += c.band1Weight * (inertiaN - state.inertia1N);',
  ),
  edit('pulse.ts', 'const absoluteKpa = pressureKpa + ATMOSPHERE_KPA;', 'const absoluteKpa = ATMOSPHERE_KPA + pressureKpa;'),
  edit(
    'deadband.ts',
    'export function deadbandOf(noiseN: f32, p: Parameters): f32 {',
    'function byNoise(noiseN: f32, p: Parameters): f32 {\n  return clamp(p.deadbandSigmas * noiseN, p.deadbandMinN, p.deadbandMaxN);\n}\n\nexport function deadbandOf(noiseN: f32, p: Parameters): f32 {',
  ),
  edit(
    'deadband.ts',
    '  return clamp(p.deadbandSigmas * noiseN, p.deadbandMinN, p.deadbandMaxN);\n}\n\n/**',
    '  return byNoise(noiseN, p);\n}\n\n/**',
  ),
  edit(
    'valve-pair.ts',
    '  valve.coilTicks = countDown(valve.coilTicks);\n  if (valve.coilTicks !== 0) return false;',
    '  const leftTicks = countDown(valve.coilTicks);\n  valve.coilTicks = leftTicks;\n  if (leftTicks !== 0) return false;',
  ),
  edit(
    'stroke-queue.ts',
    'const volts: f32 = <f32>reservoirMv * 0.001;',
    'const reservoirV: f32 = <f32>reservoirMv * 0.001;\n  const volts = reservoirV;',
  ),
  edit(
    'strategy.ts',
    'const isHeld = (mode === RowMode.Frozen || mode === RowMode.Lowering) && loop.setReadings !== 0;',
    'const isSet = loop.setReadings !== 0;\n  const isHeld = isSet && (mode === RowMode.Frozen || mode === RowMode.Lowering);',
  ),
  edit(
    'detector.ts',
    'const motionErrorKpa = MOTION_SHARE * abs<f32>(detector.motionKpa);',
    'const motionKpa = abs<f32>(detector.motionKpa);\n  const motionErrorKpa = motionKpa * MOTION_SHARE;',
  ),
  edit(
    'row.ts',
    'const isKnown = isPositionKnown(supply) && isPositionKnown(returnValve);',
    'const isSupplyKnown = isPositionKnown(supply);\n  const isKnown = isSupplyKnown && isPositionKnown(returnValve);',
  ),
];

export const HARMLESS_HEAD = '// A comment\n// of three lines\n// on top.\n';
