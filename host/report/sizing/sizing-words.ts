/** Names of metrics in words. Paths are those of the sizing; units are in the names, and said beside the numbers. */
export type Labels = readonly (readonly [path: string, label: string])[];

/** Metrics that stand one to a line. */
export interface ListWords {
  readonly id: string;
  readonly title: string;
  readonly note?: string;
  readonly labels: Labels;
}

export const FORCE: ListWords = {
  id: 'force',
  title: 'Force',
  note: 'Pressures are gauge where nothing else is said. Level, raised and lowered: the row in the middle and at both ends of its travel.',
  labels: [
    ['force.leverRatio', 'lever ratio, level'],
    ['force.leverRatioRaised', 'lever ratio, raised'],
    ['force.leverRatioLowered', 'lever ratio, lowered'],
    ['force.newtonPerBar', 'down force per pressure, level'],
    ['force.newtonPerBarRaised', 'down force per pressure, raised'],
    ['force.newtonPerBarLowered', 'down force per pressure, lowered'],
    ['force.cylinderStrokeNeededMm', 'cylinder stroke needed'],
    ['force.downForceLeastN', 'down force at no pressure'],
    ['force.downForceMostN', 'down force at rail pressure'],
    ['force.wheelLoadLeastN', 'wheel load at no pressure, usual soil'],
    ['force.wheelLoadMostN', 'wheel load at rail pressure, usual soil'],
    ['force.workLeastKpa', 'lowest working pressure'],
    ['force.workUsualKpa', 'usual working pressure'],
    ['force.workMostKpa', 'highest working pressure'],
    ['force.workLeastUnboundedKpa', 'lowest, were there pressures below zero'],
    ['deadbandN', 'deadband, half width'],
  ],
};

export const GAS: ListWords = {
  id: 'gas',
  title: 'Gas and stiffness',
  labels: [
    ['accumulator.prechargeColdKpa', 'precharge with cold gas, absolute'],
    ['accumulator.prechargeHotKpa', 'precharge with hot gas, absolute'],
    ['accumulator.prechargeAdvisedKpa', 'highest precharge advised, absolute at 20 °C (68 °F)'],
    ['accumulator.gasUsualMl', 'gas at usual pressure'],
    ['accumulator.gasSpringNPerM', 'spring of the gas at the row'],
    ['accumulator.gasDriftNPerK', 'drift of down force with gas temperature'],
    ['accumulator.usableSlowMl', 'usable oil, slow change'],
    ['accumulator.usableFastMl', 'usable oil, fast change'],
    ['accumulator.floatOilMl', 'oil moved over the float travel'],
    ['accumulator.floatLeastKpa', 'lowest pressure over the float, absolute'],
    ['accumulator.floatMostKpa', 'highest pressure over the float, absolute'],
    ['accumulator.floatSwingN', 'change of down force over the float'],
    ['accumulator.volumeNeededMl', 'gas volume needed for the swing allowed'],
    ['compliance.leastMlPerBar', 'compliance at highest working pressure'],
    ['compliance.usualMlPerBar', 'compliance at usual working pressure'],
    ['compliance.mostMlPerBar', 'compliance at lowest working pressure'],
    ['compliance.effectiveBulkMpa', 'bulk modulus of the oil with its air'],
    ['compliance.springNPerM', 'spring of oil and gas at the row'],
    ['compliance.barPerMm', 'pressure per travel, valves closed'],
    ['compliance.newtonPerMl', 'down force per oil'],
    ['resonance.hangingHz', 'row’s frequency, wheels off the ground'],
    ['resonance.standingHz', 'row’s frequency on its wheels'],
    ['resonance.lugLeastHz', 'lugs at lowest speed'],
    ['resonance.lugUsualHz', 'lugs at usual speed'],
    ['resonance.lugMostHz', 'lugs at highest speed'],
    ['resonance.lugDistance', 'row’s frequencies off the lugs’ band, times'],
  ],
};

export const VALVE: ListWords = {
  id: 'valve',
  title: 'Valve and slew',
  labels: [
    ['valve.orificeMm', 'orifice that passes the valve’s flow'],
    ['valve.coldViscosityMm2PerS', 'viscosity, oil at its coldest'],
    ['valve.warmViscosityMm2PerS', 'viscosity, oil at 40 °C (104 °F)'],
    ['valve.hotViscosityMm2PerS', 'viscosity, oil at its hottest'],
    ['valve.coldLpm', 'flow at nominal drop, oil at its coldest'],
    ['valve.warmLpm', 'flow at nominal drop, oil at 40 °C (104 °F)'],
    ['valve.hotLpm', 'flow at nominal drop, oil at its hottest'],
  ],
};

export const SENSORS: ListWords = {
  id: 'sensors',
  title: 'Sensors',
  labels: [
    ['sensors.loadSpanN', 'load sensor’s span'],
    ['sensors.loadNPerCount', 'load of one code'],
    ['sensors.loadNoiseN', 'noise of a load reading, 1 σ'],
    ['sensors.loadNoiseCounts', 'the same in codes'],
    ['sensors.loadPeakN', 'highest load to be read: mean and 3 σ'],
    ['sensors.loadRoomN', 'room above it'],
    ['sensors.loadBelowZeroN', 'room below zero for an offset'],
    ['sensors.pressureKpaPerCount', 'pressure of one code'],
    ['sensors.pressureNoiseN', 'noise of a pressure reading, as load'],
    ['sensors.pressureRoomKpa', 'pressure sensor’s room above rail and work'],
  ],
};

export const DUTY: ListWords = {
  id: 'duty',
  title: 'Duty and current',
  labels: [
    ['duty.strokesPerMinPerRow', 'strokes of a row'],
    ['duty.rowW', 'mean coil power of a row'],
    ['duty.rowMeanA', 'mean coil current of a row'],
    ['duty.rowPeakA', 'peak coil current of a row'],
    ['duty.bankW', 'mean coil power of the bank'],
    ['duty.bankMeanA', 'mean coil current of the bank'],
    ['duty.bankPeakA', 'peak coil current of the bank'],
    ['duty.bankMostW', 'bank’s power, highest voltage, cold coils'],
    ['duty.bankMostPeakA', 'bank’s peak, highest voltage, cold coils'],
    ['duty.queueShare', 'share of the stroke queue’s time'],
    ['duty.closeWaitMs', 'longest wait for a closing stroke'],
    ['coilHeat.coilMeanW', 'mean power of a coil, worst case'],
    ['coilHeat.coilRiseK', 'its steady rise'],
    ['coilHeat.coilHottestC', 'its hottest'],
    ['coilHeat.stuckOnW', 'power of a coil that a fault leaves driven'],
  ],
};

export const HARNESS: ListWords = {
  id: 'harness',
  title: 'Harness by segment',
  labels: [
    ['harness.armRows', 'rows of the longer arm'],
    ['harness.wireMm2', 'area of the wires'],
    ['harness.wireOhmPerM', 'their resistance, one way, at the worse temperature'],
    ['harness.lastRowColdV', 'voltage at the last row, cold'],
    ['harness.lastRowHotV', 'voltage at the last row, hot'],
    ['harness.surelyMovesColdV', 'voltage at which a stroke is sure, cold'],
    ['harness.surelyMovesHotV', 'voltage at which a stroke is sure, hot'],
    ['harness.voltageRatio', 'the former over the latter, the worse case'],
    ['harness.sourcePeakA', 'peak current from the source'],
  ],
};

export const RESERVOIR: ListWords = {
  id: 'reservoir',
  title: 'Reservoir',
  note: 'A capacitor that closes every open valve after a loss of power, at the end of its life.',
  labels: [
    ['reservoir.fittedUf', 'capacitance fitted'],
    ['reservoir.neededUf', 'capacitance needed when new'],
    ['reservoir.closesPaid', 'closing strokes that the fitted one pays for'],
    ['reservoir.chargeTimeConstantS', 'time constant of charging'],
  ],
};

export const OIL: ListWords = {
  id: 'oil',
  title: 'Oil of down force',
  labels: [
    ['oil.rowLpm', 'mean oil of a row'],
    ['oil.rowW', 'mean hydraulic power of a row'],
    ['oil.machineLpm', 'mean oil of the machine'],
    ['oil.machineW', 'mean hydraulic power of the machine'],
    ['oil.valvesOpenPeak', 'supply valves open at once, peak'],
    ['oil.peakLpm', 'peak flow in the supply hose'],
    ['oil.supplyHoseDropKpa', 'drop of the supply hose at it'],
    ['oil.supplyHoseDropColdKpa', 'the same with oil at its coldest'],
    ['oil.returnHoseDropKpa', 'drop of the return hose'],
    ['oil.rowHoseDropKpa', 'drop of a row’s hose, one valve open'],
    ['oil.rowHoseDropColdKpa', 'the same with oil at its coldest'],
    ['oil.railPeakKpa', 'rail pressure at peak flow'],
    ['oil.returnPeakKpa', 'return pressure at peak flow'],
    ['oil.railMarginKpa', 'rail at peak over highest working pressure'],
  ],
};

export const HEAT: ListWords = {
  id: 'heat',
  title: 'Heat of rebound damping',
  labels: [
    ['heat.reboundNs2PerM2', 'rebound damping at the row'],
    ['heat.verticalRmsMps', 'vertical speed of a row, rms'],
    ['heat.reboundW', 'heat of a row at usual speed'],
    ['heat.reboundMostW', 'heat of a row at highest speed'],
    ['heat.cylinderRiseK', 'cylinder’s steady rise'],
    ['heat.cylinderHottestC', 'cylinder’s hottest'],
    ['heat.machineReboundW', 'heat of all rows'],
  ],
};

export const LIFE: ListWords = {
  id: 'life',
  title: 'Life',
  labels: [
    ['life.widthM', 'working width'],
    ['life.hectaresPerHour', 'area rate, turns not counted'],
    ['life.plantingHoursPerYear', 'planting'],
    ['life.strokesPerYear', 'strokes of a valve'],
    ['life.strokesInService', 'strokes of a valve in its service'],
    ['life.lifeYears', 'years that a valve lasts'],
    ['life.lifeRatio', 'strokes that it lasts over those of its service'],
  ],
};

export const PROPORTIONAL: ListWords = {
  id: 'proportional',
  title: 'Compared with proportional valves',
  note: 'V·I is what the supply gives with a linear driver; I²R is what the coil itself needs, with a switching driver without losses.',
  labels: [
    ['proportional.proportionalA', 'current of a proportional valve at usual pressure'],
    ['proportional.rowViW', 'its power, V·I'],
    ['proportional.rowI2rW', 'its power, I²R'],
    ['proportional.machineViW', 'all rows, V·I'],
    ['proportional.machineI2rW', 'all rows, I²R'],
    ['proportional.latchingRowsPerViRow', 'latching rows in the power of one, V·I'],
    ['proportional.latchingRowsPerI2rRow', 'latching rows in the power of one, I²R'],
    ['proportional.ruleHoldsToViPulsesPerMin', 'pulses of a row up to which that is 24, V·I'],
    ['proportional.ruleHoldsToI2rPulsesPerMin', 'pulses of a row up to which that is 24, I²R'],
    ['proportional.shareOfVi', 'latching over proportional power, V·I'],
    ['proportional.shareOfI2r', 'latching over proportional power, I²R'],
  ],
};

/** Metrics that stand in a table, one to a line; a column is a case. */
export const SLEW_LABELS: Labels = [
  ['chamberKpa', 'chamber pressure'],
  ['oilC', 'oil'],
  ['upBarPerS', 'slew up, pressure'],
  ['downBarPerS', 'slew down, pressure'],
  ['upNPerS', 'slew up, down force'],
  ['downNPerS', 'slew down, down force'],
  ['leastPulseUpBar', 'shortest pulse up, pressure'],
  ['leastPulseDownBar', 'shortest pulse down, pressure'],
  ['leastPulseUpN', 'shortest pulse up, down force'],
  ['leastPulseDownN', 'shortest pulse down, down force'],
  ['pulsesInDeadband', 'shortest pulses in the deadband'],
];

export const CLOSING_LABELS: Labels = [
  ['celsius', 'temperature'],
  ['fromV', 'charged to'],
  ['downToV', 'usable down to'],
  ['strokeMj', 'energy of a stroke'],
  ['neededUf', 'capacitance needed when new'],
  ['leftUf', 'fitted one at the end of its life'],
  ['closesPaid', 'closing strokes that it pays for'],
  ['endV', 'voltage after the last'],
];

export const BUDGET_LABELS: Labels = [
  ['rows', 'rows'],
  ['downForceLpm', 'down force, mean'],
  ['downForcePeakLpm', 'down force, peak'],
  ['cleanersLpm', 'row cleaners'],
  ['fertiliserLpm', 'fertiliser openers'],
  ['fansLpm', 'fans'],
  ['totalLpm', 'oil in all, mean'],
  ['peakLpm', 'oil in all, peak'],
  ['pumpLpm', 'pump gives'],
  ['leftLpm', 'left, mean'],
  ['leftAtPeakLpm', 'left at the peak'],
  ['liftingLpm', 'while lifting'],
  ['leftLiftingLpm', 'left while lifting'],
  ['hydraulicW', 'hydraulic power'],
  ['downForceHydraulicW', 'of it down force'],
  ['coilsW', 'coils'],
  ['electronicsW', 'electronics'],
  ['othersW', 'meters, monitors and others'],
  ['electricalW', 'electrical power in all'],
  ['alternatorW', 'alternator gives'],
  ['tractorW', 'tractor draws'],
  ['leftW', 'left'],
  ['leftWithProportionalW', 'left with proportional valves'],
];

/** Metrics that stand in a table, one to a column. */
export const STROKE_LABELS: Labels = [
  ['supplyV', 'supply'],
  ['coilC', 'coil'],
  ['coilOhm', 'resistance'],
  ['timeConstantMs', 'time constant'],
  ['endA', 'current at end'],
  ['pullMs', 'pulls after'],
  ['energyMj', 'energy'],
  ['windingMj', 'in winding'],
  ['surelyMovesV', 'sure from'],
];

export const SEGMENT_LABELS: Labels = [
  ['row', 'at row'],
  ['lengthM', 'length'],
  ['peakA', 'design current'],
  ['neededMm2', 'area needed'],
  ['neededAwg', 'gauge needed'],
  ['fittedA', 'current as laid'],
  ['fittedDropV', 'drop as laid'],
  ['farV', 'left at its end'],
];

/** What is moved in the table of sensitivity, in short words. */
export const SENSITIVE_WORDS: Readonly<Record<string, string>> = {
  newtonPerBar: 'force per pressure',
  workUsualKpa: 'usual pressure',
  springNPerM: 'spring of row',
  floatSwingN: 'float swing',
  upNPerS: 'slew up',
  downNPerS: 'slew down',
  leastPulseUpN: 'shortest pulse',
  railMarginKpa: 'rail margin',
  machineLpm: 'oil',
  machineOilW: 'oil power',
  bankCoilW: 'coil power',
  bankPeakA: 'peak current',
  surelyMovesHotV: 'sure voltage',
  lastRowHotV: 'last row’s voltage',
  reservoirNeededUf: 'reservoir needed',
  reboundW: 'rebound heat',
  lifeYears: 'life',
};

/** What stands on every sheet. */
export const CAUTIONS: readonly string[] = [
  'Engineering aid, not a certified design: every metric is a closed form on numbers that somebody wrote down. A qualified person checks it against the real parts’ data. Local codes, the standards that apply and licensed practice come before this sheet.',
  'Stored energy: accumulators and trapped oil stay under pressure with the engine off, and a latching valve keeps its position without power. Release the pressure and verify that it is gone before any work. A jet of oil pierces the skin: never search for leaks by hand; an injection injury is a surgical emergency.',
  'Gas charging is for trained people with the maker’s instructions and dry nitrogen only; never oxygen or air.',
  'Electrical work: disconnect the battery first, fuse every feed at its source for its wire, and discharge reservoir capacitors. Batteries give explosive gas and very high currents.',
  'Support and block a raised machine before anybody works under it.',
];
