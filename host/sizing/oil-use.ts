import { WARM_OIL_C } from './constants.js';
import type { ForceRange } from './geometry.js';
import type { Given } from './given.js';
import { hoseDropKpa } from './hose.js';
import { valveLpm } from './valve-flow.js';
import { viscosityAt } from './viscosity.js';

/** Hydraulic power, W, of a flow, L/min, at a pressure, kPa: p·Q. Source: definition; 1 L/min · 1 kPa = 1/60 W exactly. */
export const hydraulicW = (lpm: number, kpa: number): number => (lpm * kpa) / 60;

/**
 * Oil that a row takes from the rail on average, L/min: half of its pulses let oil in, for dutyOpenMs each, and the closed supply valve
 * leaks in proportion to its drop. Chamber at the usual working pressure, oil at 40 °C. Source: rate times volume.
 */
export function rowLpm(given: Given, force: ForceRange): number {
  const dropKpa = Math.max(0, given.railNominalKpa - force.workUsualKpa);
  const openShare = ((given.dutyPulsesPerMin / 2) * given.dutyOpenMs) / 60000;
  const leakLpm = ((given.valveLeakMlPerMin / 1000) * dropKpa) / 10000;
  return Math.min(1, openShare) * valveLpm(dropKpa, WARM_OIL_C, given) + leakLpm;
}

/** Supply valves open at once, mean and mean with three standard deviations, not above all. Source: Poisson's law, σ = √mean. */
export function openAtOnce(rows: number, given: Given): { mean: number; peak: number } {
  const mean = Math.min(1, ((given.dutyPulsesPerMin / 2) * given.dutyOpenMs) / 60000) * rows;
  return { mean, peak: Math.min(rows, mean + 3 * Math.sqrt(mean)) };
}

export interface OilSize {
  readonly rowLpm: number;
  readonly rowW: number;
  readonly machineLpm: number;
  readonly machineW: number;
  readonly valvesOpenPeak: number;
  /** Down force with that many valves open, cleaners and fertiliser openers, which share its hose. */
  readonly peakLpm: number;
  readonly supplyHoseDropKpa: number;
  readonly supplyHoseDropColdKpa: number;
  readonly returnHoseDropKpa: number;
  readonly rowHoseDropKpa: number;
  readonly rowHoseDropColdKpa: number;
  /** Rail at that peak, at the machine's end of its hose. */
  readonly railPeakKpa: number;
  readonly returnPeakKpa: number;
  /** Rail at the peak over the highest working pressure. */
  readonly railMarginKpa: number;
}

/**
 * Oil, power and pressure drops of the machine's down force; units as named. Mean power is all oil at the rail's pressure: what a row
 * does not use of it becomes heat in the valve. Rail at the peak: nominal less the pump's droop and the hose, not below zero.
 * Source: as the functions above and `hoseDropKpa`.
 */
export function oilSize(given: Given, force: ForceRange): OilSize {
  const { rowCount, oilKgPerM3: density, supplyHoseMm, supplyHoseM, returnHoseMm, returnHoseM, rowHoseMm, rowHoseM } = given;
  const row = rowLpm(given, force);
  const dropKpa = Math.max(0, given.railNominalKpa - force.workUsualKpa);
  const openLpm = valveLpm(dropKpa, WARM_OIL_C, given);
  const coldLpm = valveLpm(dropKpa, given.oilColdC, given);
  const { peak } = openAtOnce(rowCount, given);
  const besidesLpm = rowCount * (given.cleanerLpm + given.fertiliserLpm);
  const peakLpm = peak * openLpm + besidesLpm;
  const [warm, cold] = [viscosityAt(WARM_OIL_C, given), viscosityAt(given.oilColdC, given)];
  const supplyDropKpa = hoseDropKpa(peakLpm, supplyHoseMm, supplyHoseM, warm, density);
  const railPeakKpa = Math.max(0, given.railNominalKpa - given.railDroopKpaPerLpm * peakLpm - supplyDropKpa);
  const returnDropKpa = hoseDropKpa(peakLpm, returnHoseMm, returnHoseM, warm, density);
  return {
    rowLpm: row,
    rowW: hydraulicW(row, given.railNominalKpa),
    machineLpm: rowCount * row,
    machineW: hydraulicW(rowCount * row, given.railNominalKpa),
    valvesOpenPeak: peak,
    peakLpm,
    supplyHoseDropKpa: supplyDropKpa,
    supplyHoseDropColdKpa: hoseDropKpa(peak * coldLpm + besidesLpm, supplyHoseMm, supplyHoseM, cold, density),
    returnHoseDropKpa: returnDropKpa,
    rowHoseDropKpa: hoseDropKpa(openLpm, rowHoseMm, rowHoseM, warm, density),
    rowHoseDropColdKpa: hoseDropKpa(coldLpm, rowHoseMm, rowHoseM, cold, density),
    railPeakKpa,
    returnPeakKpa: given.returnKpa + given.returnRiseKpaPerLpm * peakLpm + returnDropKpa,
    railMarginKpa: railPeakKpa - force.workMostKpa,
  };
}
