/** One line of the controller patched so that it does something else. */
export interface SeededBug {
  /** File below assembly/controller. */
  readonly file: string;
  /** Part of one line; it stands in the file once. */
  readonly find: string;
  readonly replace: string;
  /** A vector on which it shows. */
  readonly vector: string;
  /** The first signal that differs, by reading the source; `stop` where an assertion fails. */
  readonly signal: string;
}

const bug = (file: string, find: string, replace: string, vector: string, signal: string): SeededBug => ({
  file,
  find,
  replace,
  vector,
  signal,
});

/**
 * Constants, comparisons, signs, fields, arguments, timers, limits and assertions, in every file of the controller; many lie far
 * from the store in which they first show. Signals were worked out by reading the sources, not by running them.
 */
// biome-ignore format: a table reads best with one bug to a line
export const SEEDED_BUGS: readonly SeededBug[] = [
  bug('bank.ts', 'const WARM_C: f32 = 40;', 'const WARM_C: f32 = 41;', 'target-step', 'flowRatio'),
  bug('bank.ts', 'return isLowered ? BankMode.Working : BankMode.Lifted;', 'return isLowered ? BankMode.Lifted : BankMode.Working;', 'target-step', 'bankState.mode'),
  bug('bank.ts', 'if (probe.closesNeeded === 0) bank.started = 1;', 'if (probe.closesNeeded !== 0) bank.started = 1;', 'target-step', 'bankState.started'),
  bug('bank.ts', 'bank.loweredTicks = input.lowered !== 0 ?', 'bank.loweredTicks = input.lowered === 0 ?', 'target-step', 'bankState.loweredTicks'),
  bug('sense.ts', 'return <f32>counts * setting.unitPerCount + setting.unitAtZero;', 'return <f32>counts * setting.unitPerCount - setting.unitAtZero;', 'target-step', 'railState.value'),
  bug('sense.ts', 'if (counts > setting.openCounts) return Check.Open;', 'if (counts > setting.openCounts) return Check.Range;', 'load-sensor-open-circuit', 'channelState[load].rangeCheck'),
  bug('sense.ts', 'channel.cleanTicks = isClean ? min<u8>(channel.cleanTicks + 1, 2) : 0;', 'channel.cleanTicks = isClean ? min<u8>(channel.cleanTicks + 1, 3) : 0;', 'target-step', 'railState.cleanTicks'),
  bug('filter.ts', 'state.second = 2 * low - state.second;\n  return low;', 'state.second = 2 * low + state.second;\n  return low;', 'target-step', 'loadLowPass.second'),
  bug('filter.ts', 'return 1 / (1 + g * (g + k));', 'return 1 / (1 + g * (g - k));', 'target-step', 'coefficients.loadA1'),
  bug('zero.ts', 'zero.sumN += loadRawN - zero.firstN;', 'zero.sumN += loadRawN + zero.firstN;', 'lift-and-lower-with-new-zero', 'zeroState.sumN'),
  bug('zero.ts', 'const isQuiet = spreadN <= p.zeroSpreadN;', 'const isQuiet = spreadN >= p.zeroSpreadN;', 'lift-and-lower-with-new-zero', 'zeroState.result'),
  bug('learn.ts', 'const weight = spread / (p.gainForgetting + spread * expectedKpa);', 'const weight = spread / (p.gainForgetting - spread * expectedKpa);', 'target-step', 'valveState[supply].gain'),
  bug('learn.ts', 'watch.residualStepKpa = 0;', 'watch.residualStepKpa = 1;', 'target-step', 'detector.residualStepKpa'),
  bug('predictor.ts', 'if (flowing === Wish.Lower) o.meteredKpa -= probe.returnStepKpa;', 'if (flowing === Wish.Lower) o.meteredKpa += probe.returnStepKpa;', 'target-step', 'predictor.meteredKpa'),
  bug('predictor.ts', 'o.load3N += c.band3Weight * (d - o.load3N);', 'o.load3N += c.band2Weight * (d - o.load3N);', 'missed-closes', 'predictor.load3N'),
  bug('predictor.ts', 'p.loadTrend2Weight * probe.loadTrend2N +', 'p.loadTrend2Weight * probe.loadTrend1N +', 'missed-closes', 'predictedN'),
  bug('predictor.ts', 'export const BAND_3_HZ: f32 = 2;', 'export const BAND_3_HZ: f32 = 2.1;', 'target-step', 'coefficients.band3Weight'),
  bug('load-loop.ts', 'loop.integralKpa = loop.setPointKpa - p.loadProportionalKpaPerN * errorN;', 'loop.integralKpa = loop.setPointKpa + p.loadProportionalKpaPerN * errorN;', 'target-step', 'loopState.integralKpa'),
  bug('load-loop.ts', 'const isPushing = (wantedKpa - loop.setPointKpa) * errorN > 0;', 'const isPushing = (wantedKpa - loop.setPointKpa) * errorN >= 0;', 'target-step', 'loopState.integralKpa'),
  bug('pulse.ts', 'return (flowMlPerMs * c.tickMs) / complianceMlPerKpa;', 'return (flowMlPerMs + c.tickMs) / complianceMlPerKpa;', 'target-step', 'supplyStepKpa'),
  bug('pulse.ts', 'return c.flowMlPerMsRootKpa * sqrt<f32>(dropKpa) * flowRatio;', 'return c.flowMlPerMsRootKpa * sqrt<f32>(dropKpa);', 'cold-oil', 'supplyStepKpa'),
  bug('pulse.ts', 'const ticks = wantedKpa / stepKpaPerTick;', 'const ticks = wantedKpa * stepKpaPerTick;', 'target-step', 'loopState.plannedTicks'),
  bug('deadband.ts', 'if (p.deadbandMode === 0) return p.deadbandN;', 'if (p.deadbandMode !== 0) return p.deadbandN;', 'target-step', 'deadbandN'),
  bug('deadband.ts', 'c.noiseWeight * (distanceN * distanceN - loop.varianceN2);', 'c.noiseWeight * (distanceN + distanceN - loop.varianceN2);', 'target-step', 'loopState.varianceN2'),
  bug('diagnose.ts', 'if (timer.ticks < limit) return false;', 'if (timer.ticks <= limit) return false;', 'load-sensor-open-circuit', 'rowFaultTimer[loadOpen].ticks'),
  bug('valve-pair.ts', 'if (hasPulsed) pair.restTicks = <u16>c.restTicks;', 'if (!hasPulsed) pair.restTicks = <u16>c.restTicks;', 'target-step', 'pairState.restTicks'),
  bug('valve-pair.ts', 'valve.coilTicks = <u16>c.strokeTicks;', 'valve.coilTicks = <u16>(c.strokeTicks + 1);', 'target-step', 'valveState[supply].coilTicks'),
  bug('valve-pair.ts', 'valve.belief = Belief.Open;', 'valve.belief = Belief.Closed;', 'target-step', 'valveState[supply].belief'),
  bug('stroke-queue.ts', 'const openSlots = slots > 1 ? slots - 1 : 1;', 'const openSlots = slots;', 'forty-eight-rows-at-once', 'valveState[supply].belief'),
  bug('stroke-queue.ts', 'return max<f32>(0, storedMj - <f32>strokesInFlight * p.strokeMj);', 'return max<f32>(0, storedMj + <f32>strokesInFlight * p.strokeMj);', 'small-reservoir', 'energyMj'),
  bug('row.ts', 'const loadN = channel.value - probe.zeroN;', 'const loadN = channel.value + probe.zeroN;', 'lift-and-lower-with-new-zero', 'loadMedian.old'),
  bug('row.ts', 'if (bankMode !== BankMode.Working || (trouble & RowFault.ANY_HOLD) !== 0)', 'if (bankMode !== BankMode.Working || (trouble & RowFault.ANY_HOLD) === 0)', 'target-step', 'mode'),
  bug('strategy.ts', 'probe.loadErrorN = bank.targetLoadN - probe.loadN;', 'probe.loadErrorN = probe.loadN - bank.targetLoadN;', 'target-step', 'loadErrorN'),
  bug('strategy.ts', 'if (wish === Wish.Raise) return railKpa > pressureKpa ?', 'if (wish === Wish.Raise) return railKpa < pressureKpa ?', 'threshold-over-soil-patches', 'wish'),
  bug('detector.ts', 'w.cusumDownKpa = max<f32>(0, w.cusumDownKpa - driftKpa - fallAllowedKpa - doubtKpa);', 'w.cusumDownKpa = max<f32>(0, w.cusumDownKpa + driftKpa - fallAllowedKpa - doubtKpa);', 'missed-closes', 'detector.cusumDownKpa'),
  bug('detector.ts', 'return w.noVelocityTicks !== 0 || w.frameSettled === 0;', 'return w.noVelocityTicks !== 0 && w.frameSettled === 0;', 'missed-closes', 'detector.smoothMps'),
  bug('detector.ts', 'w.leakMlPerMin += c.leakWeight * ((driftKpa + warmKpa) * toMlPerMin - w.leakMlPerMin);', 'w.leakMlPerMin += c.leakWeight * ((driftKpa - warmKpa) * toMlPerMin - w.leakMlPerMin);', 'valve-leaks', 'detector.leakMlPerMin'),
  bug('configure.ts', 's.unitAtZero = atTenPercent - (atNinetyPercent - atTenPercent) / 8;', 's.unitAtZero = atTenPercent - (atNinetyPercent - atTenPercent) / 9;', 'target-step', 'channelSetting[load].unitAtZero'),
  bug('time.ts', 'return ticks === u16.MAX_VALUE ? ticks : ticks + 1;', 'return ticks === u16.MAX_VALUE ? ticks : ticks + 2;', 'target-step', 'bankState.loweredTicks'),
  bug('valve-pair.ts', 'assert(valve.request !== Order.None);', 'assert(valve.request === Order.None);', 'target-step', 'stop'),
];

/** A harmless edit: what it changes is not what is computed. */
export type HarmlessEdit = Pick<SeededBug, 'file' | 'find' | 'replace'>;

const edit = (file: string, find: string, replace: string): HarmlessEdit => ({ file, find, replace });

/**
 * What else a change may hold besides its bug: renamed locals, a function taken out, lines in another order, operands exchanged, a
 * statement taken apart. Every file gets some lines of comment on top as well, so that no line keeps its number.
 */
export const HARMLESS_EDITS: readonly HarmlessEdit[] = [
  edit(
    'bank.ts',
    'return clamp(coldFlowRatio + (1 - coldFlowRatio) * share, coldFlowRatio, 1);',
    'const warmPart: f32 = (<f32>1 - coldFlowRatio) * share;\n  return clamp(coldFlowRatio + warmPart, coldFlowRatio, 1);',
  ),
  edit('sense.ts', 'const isClean = conditions === 0;', 'const isInOrder = conditions === 0;\n  const isClean = isInOrder;'),
  edit('filter.ts', '  state.older = value;\n  state.old = value;', '  state.old = value;\n  state.older = value;'),
  edit(
    'zero.ts',
    'return isNear && isPossible ? ZeroResult.Accepted : ZeroResult.Implausible;',
    'if (isNear && isPossible) return ZeroResult.Accepted;\n  return ZeroResult.Implausible;',
  ),
  edit(
    'predictor.ts',
    '  o.inertia1N += c.band1Weight * (inertiaN - o.inertia1N);\n  o.inertia2N += c.band2Weight * (inertiaN - o.inertia2N);',
    '  o.inertia2N += c.band2Weight * (inertiaN - o.inertia2N);\n  o.inertia1N += c.band1Weight * (inertiaN - o.inertia1N);',
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
    'const isFrozen = mode === RowMode.Frozen && loop.seeded !== 0;',
    'const isSeeded = loop.seeded !== 0;\n  const isFrozen = isSeeded && mode === RowMode.Frozen;',
  ),
  edit(
    'detector.ts',
    'const doubtKpa = MOTION_SHARE * abs<f32>(w.motionKpa);',
    'const motionKpa = abs<f32>(w.motionKpa);\n  const doubtKpa = motionKpa * MOTION_SHARE;',
  ),
  edit(
    'row.ts',
    'const isKnown = isPlaced(supply) && isPlaced(back);',
    'const isSupplyPlaced = isPlaced(supply);\n  const isKnown = isSupplyPlaced && isPlaced(back);',
  ),
];

/** Lines on top of every file. */
export const HARMLESS_HEAD = '// A comment,\n// of some lines\n// on top.\n';
