/** Labels of values by their paths in the sizing. Units follow from the names and are printed beside the values. */
export type Labels = readonly (readonly [path: string, label: string])[];

/** A section of single values, one to a line. */
export interface ListLabels {
  readonly id: string;
  readonly title: string;
  readonly note?: string;
  readonly labels: Labels;
}

export const FORCE: ListLabels = {
  id: 'force',
  title: 'Force',
  note: 'Pressures are gauge unless stated otherwise. Level: the row at mid travel; upper and lower stop: the ends of its travel.',
  labels: [
    ['force.leverRatio', 'linkage ratio, level'],
    ['force.leverRatioRaised', 'linkage ratio, upper stop'],
    ['force.leverRatioLowered', 'linkage ratio, lower stop'],
    ['force.newtonPerBar', 'down force per pressure, level'],
    ['force.newtonPerBarRaised', 'down force per pressure, upper stop'],
    ['force.newtonPerBarLowered', 'down force per pressure, lower stop'],
    ['force.cylinderStrokeNeededMm', 'cylinder stroke needed'],
    ['force.downForceMinN', 'down force at zero pressure'],
    ['force.downForceMaxN', 'down force at rail pressure'],
    ['force.wheelLoadMinN', 'gauge-wheel load at zero pressure, average soil'],
    ['force.wheelLoadMaxN', 'gauge-wheel load at rail pressure, average soil'],
    ['force.workMinKpa', 'lowest working pressure'],
    ['force.workTypicalKpa', 'typical working pressure'],
    ['force.workMaxKpa', 'highest working pressure'],
    ['force.workMinUnclampedKpa', 'lowest working pressure, negative if the row is too heavy'],
    ['deadbandN', 'deadband, half width'],
  ],
};

export const GAS: ListLabels = {
  id: 'gas',
  title: 'Gas and stiffness',
  labels: [
    ['accumulator.prechargeColdKpa', 'precharge with cold gas, absolute'],
    ['accumulator.prechargeHotKpa', 'precharge with hot gas, absolute'],
    ['accumulator.prechargeMaxKpa', 'highest recommended precharge, absolute at 20 °C (68 °F)'],
    ['accumulator.gasTypicalMl', 'gas volume at typical pressure'],
    ['accumulator.gasSpringNPerM', 'spring rate of the gas at the row'],
    ['accumulator.gasDriftNPerK', 'drift of down force with gas temperature'],
    ['accumulator.usableIsothermalMl', 'usable oil volume, isothermal'],
    ['accumulator.usableAdiabaticMl', 'usable oil volume, adiabatic'],
    ['accumulator.gasRatio', 'highest working pressure / precharge, both absolute'],
    ['float.oilMl', 'oil displaced over the float travel'],
    ['float.minKpa', 'lowest pressure over the float travel, absolute'],
    ['float.maxKpa', 'highest pressure over the float travel, absolute'],
    ['float.swingN', 'change of down force over the float travel'],
    ['accumulator.volumeNeededMl', 'gas volume needed for the allowed change'],
    ['compliance.minMlPerBar', 'compliance at highest working pressure'],
    ['compliance.typicalMlPerBar', 'compliance at typical working pressure'],
    ['compliance.maxMlPerBar', 'compliance at lowest working pressure'],
    ['compliance.effectiveBulkMpa', 'bulk modulus of the oil with free air'],
    ['compliance.springNPerM', 'spring rate of the chamber at the row'],
    ['compliance.barPerMm', 'pressure per row travel, valves closed'],
    ['compliance.newtonPerMl', 'down force per oil volume'],
    ['resonance.wheelsOffHz', 'natural frequency, wheels off the ground'],
    ['resonance.wheelsOnHz', 'natural frequency, wheels on the ground'],
    ['resonance.lugMinHz', 'lug frequency at lowest speed'],
    ['resonance.lugTypicalHz', 'lug frequency at typical speed'],
    ['resonance.lugMaxHz', 'lug frequency at highest speed'],
    ['resonance.lugRatio', 'lowest lug frequency / highest natural frequency'],
  ],
};

export const VALVE: ListLabels = {
  id: 'valve',
  title: 'Valve and slew',
  labels: [
    ['valve.orificeMm', 'equivalent orifice diameter'],
    ['valve.coldViscosityMm2PerS', 'viscosity, coldest oil'],
    ['valve.warmViscosityMm2PerS', 'viscosity, oil at 40 °C (104 °F)'],
    ['valve.hotViscosityMm2PerS', 'viscosity, hottest oil'],
    ['valve.coldLpm', 'flow at nominal drop, coldest oil'],
    ['valve.warmLpm', 'flow at nominal drop, oil at 40 °C (104 °F)'],
    ['valve.hotLpm', 'flow at nominal drop, hottest oil'],
  ],
};

export const SENSORS: ListLabels = {
  id: 'sensors',
  title: 'Sensors',
  labels: [
    ['sensors.loadSpanN', 'span of the load sensor'],
    ['sensors.loadNPerCount', 'load per count'],
    ['sensors.loadNoiseN', 'noise of a load reading, 1 σ'],
    ['sensors.loadNoiseCounts', 'noise of a load reading, 1 σ, in counts'],
    ['sensors.loadPeakN', 'peak load to measure: mean plus 3 σ'],
    ['sensors.loadHeadroomN', 'headroom above the peak load'],
    ['sensors.loadBelowZeroN', 'range below zero for an offset'],
    ['sensors.pressureKpaPerCount', 'pressure per count'],
    ['sensors.pressureNoiseN', 'noise of a pressure reading, 1 σ, as load'],
    ['sensors.pressureHeadroomKpa', 'headroom above rail and working pressure'],
  ],
};

export const DUTY: ListLabels = {
  id: 'duty',
  title: 'Duty and current',
  labels: [
    ['duty.strokesPerMinPerRow', 'strokes per row'],
    ['duty.rowW', 'mean coil power per row'],
    ['duty.rowMeanA', 'mean coil current per row'],
    ['duty.rowPeakA', 'peak coil current per row'],
    ['duty.bankW', 'mean coil power of the bank'],
    ['duty.bankMeanA', 'mean coil current of the bank'],
    ['duty.bankPeakA', 'peak coil current of the bank'],
    ['duty.bankMaxW', 'mean coil power of the bank, highest voltage, cold'],
    ['duty.bankMaxPeakA', 'peak coil current of the bank, highest voltage, cold'],
    ['duty.bankMaxRmsA', 'RMS coil current of the bank, highest voltage, cold'],
    ['duty.queueUtilisation', 'utilisation of the stroke queue'],
    ['duty.closeWaitMs', 'longest wait for a closing stroke'],
    ['coilHeat.coilMeanW', 'mean power of one coil, worst case'],
    ['coilHeat.coilRiseK', 'steady-state temperature rise of a coil'],
    ['coilHeat.coilMaxC', 'highest coil temperature'],
    ['coilHeat.stuckOnW', 'power of a coil stuck on'],
  ],
};

export const HARNESS: ListLabels = {
  id: 'harness',
  title: 'Harness by segment',
  labels: [
    ['harness.armRows', 'rows in the longer branch'],
    ['harness.wireMm2', 'cross-section of the wires'],
    ['harness.wireOhmPerM', 'resistance per wire length, worst-case temperature'],
    ['harness.ampacityA', 'steady current that the wires withstand'],
    ['harness.lastRowColdV', 'voltage at the last row, cold'],
    ['harness.lastRowHotV', 'voltage at the last row, hot'],
    ['harness.pullInColdV', 'pull-in voltage, cold'],
    ['harness.pullInHotV', 'pull-in voltage, hot'],
    ['harness.voltageRatio', 'last-row voltage / pull-in voltage, worst case'],
    ['harness.sourcePeakA', 'peak current from the source'],
  ],
};

export const RESERVOIR: ListLabels = {
  id: 'reservoir',
  title: 'Reservoir capacitor',
  note: 'A capacitor that closes every open valve after a loss of power, at the end of its life.',
  labels: [
    ['reservoir.fittedUf', 'capacitance fitted'],
    ['reservoir.neededUf', 'capacitance needed when new'],
    ['reservoir.closesAvailable', 'closing strokes available'],
    ['reservoir.chargeTimeConstantS', 'charging time constant'],
  ],
};

export const OIL: ListLabels = {
  id: 'oil',
  title: 'Oil for down force',
  labels: [
    ['oil.rowLpm', 'mean oil flow per row'],
    ['oil.rowW', 'mean hydraulic power per row'],
    ['oil.machineLpm', 'mean oil flow of the machine'],
    ['oil.machineW', 'mean hydraulic power of the machine'],
    ['oil.valvesOpenPeak', 'supply valves open at once, peak'],
    ['oil.railMarginKpa', 'rail at peak flow minus highest working pressure, worse of cold and 40 °C (104 °F)'],
    ['oil.returnMarginKpa', 'lowest working pressure minus return at peak flow, worse of both'],
    ['oil.supplyHoseMps', 'velocity in the supply hose'],
    ['oil.returnHoseMps', 'velocity in the return hose'],
    ['oil.rowHoseMps', 'velocity in the row hose'],
  ],
};

export const HEAT: ListLabels = {
  id: 'heat',
  title: 'Heat from rebound damping',
  labels: [
    ['heat.reboundNs2PerM2', 'rebound damping at the row'],
    ['heat.verticalRmsMps', 'vertical speed of a row and the frame, RMS, without stones'],
    ['heat.stoneJ', 'heat of a stone'],
    ['heat.reboundW', 'heat per row at typical speed'],
    ['heat.reboundMaxW', 'heat per row at highest speed'],
    ['heat.cylinderRiseK', 'steady-state temperature rise of the cylinder'],
    ['heat.cylinderMaxC', 'highest cylinder temperature'],
    ['heat.machineReboundW', 'heat of all rows'],
  ],
};

export const LIFE: ListLabels = {
  id: 'life',
  title: 'Life',
  labels: [
    ['life.widthM', 'working width'],
    ['life.hectaresPerHour', 'area rate without turns'],
    ['life.plantingHoursPerYear', 'planting time'],
    ['life.strokesPerYear', 'strokes per valve'],
    ['life.serviceStrokes', 'strokes per valve in service'],
    ['life.lifeYears', 'life of a valve'],
    ['life.lifeRatio', 'rated strokes / strokes in service'],
  ],
};

export const PROPORTIONAL: ListLabels = {
  id: 'proportional',
  title: 'Comparison with proportional valves',
  note: 'V·I is the power from the supply with a linear driver; I²R is the power in the coil, as with a lossless switching driver.',
  labels: [
    ['proportional.proportionalA', 'current of a proportional valve at typical pressure'],
    ['proportional.rowViW', 'power of a proportional valve, V·I'],
    ['proportional.rowI2rW', 'power of a proportional valve, I²R'],
    ['proportional.machineViW', 'power of proportional valves in all rows, V·I'],
    ['proportional.machineI2rW', 'power of proportional valves in all rows, I²R'],
    ['proportional.latchingRowsPerViRow', 'latching rows per proportional valve at equal power, V·I'],
    ['proportional.latchingRowsPerI2rRow', 'latching rows per proportional valve at equal power, I²R'],
    ['proportional.breakEvenViPulsesPerMin', 'pulse rate where 24 latching rows equal one valve, V·I'],
    ['proportional.breakEvenI2rPulsesPerMin', 'pulse rate where 24 latching rows equal one valve, I²R'],
    ['proportional.powerRatioVi', 'power, latching / proportional, V·I'],
    ['proportional.powerRatioI2r', 'power, latching / proportional, I²R'],
  ],
};

/** Values of tables with one value to a line and one case to a column. */
export const SLEW_LABELS: Labels = [
  ['chamberKpa', 'chamber pressure'],
  ['oilC', 'oil temperature'],
  ['upBarPerS', 'slew up, pressure'],
  ['downBarPerS', 'slew down, pressure'],
  ['upNPerS', 'slew up, down force'],
  ['downNPerS', 'slew down, down force'],
  ['minPulseUpBar', 'minimum pulse up, pressure'],
  ['minPulseDownBar', 'minimum pulse down, pressure'],
  ['minPulseUpN', 'minimum pulse up, down force'],
  ['minPulseDownN', 'minimum pulse down, down force'],
  ['pulsesInDeadband', 'minimum pulses across the deadband'],
];

export const PEAK_LABELS: Labels = [
  ['oilC', 'oil temperature'],
  ['openLpm', 'flow of an open supply valve'],
  ['returnOpenLpm', 'flow of an open return valve'],
  ['supplyLpm', 'flow in the supply hose'],
  ['returnLpm', 'flow in the return hose'],
  ['supplyHoseDropKpa', 'supply hose drop'],
  ['returnHoseDropKpa', 'return hose drop'],
  ['rowHoseDropKpa', 'row hose drop, one valve open'],
  ['railKpa', 'rail pressure'],
  ['returnKpa', 'return pressure'],
  ['railMarginKpa', 'rail minus highest working pressure'],
  ['returnMarginKpa', 'lowest working pressure minus return'],
];

export const CLOSING_LABELS: Labels = [
  ['celsius', 'temperature'],
  ['chargedV', 'charged to'],
  ['minV', 'usable down to'],
  ['strokeMj', 'energy per stroke'],
  ['neededUf', 'capacitance needed when new'],
  ['agedUf', 'fitted capacitance at end of life'],
  ['closesAvailable', 'closing strokes available'],
  ['endV', 'voltage after closing every row'],
];

export const BUDGET_LABELS: Labels = [
  ['rows', 'rows'],
  ['downForceLpm', 'down force, mean'],
  ['downForcePeakLpm', 'down force, peak'],
  ['cleanersLpm', 'row cleaners'],
  ['fertiliserLpm', 'fertiliser openers'],
  ['fansLpm', 'fans'],
  ['totalLpm', 'total oil, mean'],
  ['peakLpm', 'total oil, peak'],
  ['pumpLpm', 'pump'],
  ['spareLpm', 'spare oil, mean'],
  ['spareAtPeakLpm', 'spare oil, peak'],
  ['liftingLpm', 'total oil while lifting'],
  ['spareWhileLiftingLpm', 'spare oil while lifting'],
  ['hydraulicW', 'hydraulic power'],
  ['downForceHydraulicW', 'of which down force'],
  ['coilsW', 'coils'],
  ['electronicsW', 'electronics'],
  ['otherW', 'meters, monitors and others'],
  ['electricalW', 'total electrical power'],
  ['alternatorW', 'alternator'],
  ['tractorW', 'tractor'],
  ['spareW', 'spare power'],
  ['spareWithProportionalW', 'spare power with proportional valves'],
];

/** Values of tables with one value to a column. */
export const STROKE_LABELS: Labels = [
  ['supplyV', 'supply'],
  ['coilC', 'coil'],
  ['coilOhm', 'resistance'],
  ['timeConstantMs', 'time constant'],
  ['endA', 'end current'],
  ['pullInMs', 'pull-in after'],
  ['energyMj', 'energy'],
  ['windingMj', 'heat in winding'],
  ['pullInV', 'pull-in voltage'],
];

export const SEGMENT_LABELS: Labels = [
  ['row', 'to row'],
  ['lengthM', 'length'],
  ['peakA', 'design current'],
  ['neededMm2', 'area needed'],
  ['neededAwg', 'gauge needed'],
  ['fittedA', 'actual current'],
  ['fittedDropV', 'actual drop'],
  ['farEndV', 'voltage at far end'],
];

/** Short labels of the results in the sensitivity tables. */
export const SENSITIVITY_LABELS: Readonly<Record<string, string>> = {
  newtonPerBar: 'force per pressure',
  workTypicalKpa: 'typical pressure',
  springNPerM: 'spring rate',
  floatSwingN: 'float swing',
  upNPerS: 'slew up',
  downNPerS: 'slew down',
  minPulseUpN: 'minimum pulse',
  railMarginKpa: 'rail margin',
  machineLpm: 'oil flow',
  machineOilW: 'oil power',
  bankCoilW: 'coil power',
  bankPeakA: 'peak current',
  pullInHotV: 'pull-in voltage',
  lastRowHotV: 'last-row voltage',
  reservoirNeededUf: 'reservoir needed',
  reboundW: 'rebound heat',
  lifeYears: 'valve life',
};

/** Printed on every sheet. */
export const CAUTIONS: readonly string[] = [
  'Engineering aid, not a certified design: every value is a closed form applied to the numbers in the machine file. A qualified person must check it against the data of the real parts. Local codes, applicable standards and licensed practice take precedence over this sheet.',
  'Stored energy: accumulators and trapped oil stay under pressure with the engine off, and a latching valve keeps its position without power. Release the pressure and verify that it is gone before any work. An oil jet pierces skin: never search for leaks by hand; an injection injury is a surgical emergency.',
  "Gas charging is for trained people with the manufacturer's instructions and dry nitrogen only; never use oxygen or air.",
  'Electrical work: disconnect the battery first, fuse every feed at its source to suit its wire, and discharge reservoir capacitors. Batteries give off explosive gas and deliver very high currents.',
  'Support and block a raised machine before anyone works under it.',
];
