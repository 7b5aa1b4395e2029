import { WARM_OIL_C } from './constants.js';
import type { ForceRange } from './geometry.js';
import { hoseDropKpa } from './hose.js';
import type { SizingInput } from './sizing-input.js';
import { valveLpm } from './valve-flow.js';
import { viscosityAt } from './viscosity.js';

/** Returns the hydraulic power, W, of a flow (L/min) at a pressure (kPa): p·Q. Source: definition; 1 L/min · 1 kPa = 1/60 W exactly. */
export const hydraulicW = (lpm: number, kpa: number): number => (lpm * kpa) / 60;

/**
 * Returns the mean oil flow of a row from the rail, L/min: half of the pulses open the supply valve for dutyOpenMs each; when closed it
 * leaks in proportion to its pressure drop. Chamber at the typical working pressure, oil at 40 °C. Source: rate times volume.
 */
export function rowLpm(input: SizingInput, force: ForceRange): number {
  const dropKpa = Math.max(0, input.railNominalKpa - force.workTypicalKpa);
  const openShare = ((input.dutyPulsesPerMin / 2) * input.dutyOpenMs) / 60000;
  const leakLpm = ((input.valveLeakMlPerMin / 1000) * dropKpa) / 10000;
  return Math.min(1, openShare) * valveLpm(dropKpa, WARM_OIL_C, input) + leakLpm;
}

/** Returns the supply valves open at once: mean, and mean plus three standard deviations up to all rows. Source: Poisson's law, σ = √mean. */
export function openAtOnce(rows: number, input: SizingInput): { mean: number; peak: number } {
  const mean = Math.min(1, ((input.dutyPulsesPerMin / 2) * input.dutyOpenMs) / 60000) * rows;
  return { mean, peak: Math.min(rows, mean + 3 * Math.sqrt(mean)) };
}

export interface OilSize {
  readonly rowLpm: number;
  readonly rowW: number;
  readonly machineLpm: number;
  readonly machineW: number;
  readonly valvesOpenPeak: number;
  /** Down force with that many valves open, plus row cleaners and fertiliser openers on the same hose. */
  readonly peakLpm: number;
  readonly supplyHoseDropKpa: number;
  readonly supplyHoseDropColdKpa: number;
  readonly returnHoseDropKpa: number;
  readonly rowHoseDropKpa: number;
  readonly rowHoseDropColdKpa: number;
  /** Rail pressure at that peak, at the machine's end of the hose. */
  readonly railPeakKpa: number;
  readonly returnPeakKpa: number;
  /** Rail pressure at the peak less the highest working pressure. */
  readonly railMarginKpa: number;
}

/**
 * Returns oil flow, power and pressure drops of the machine's down force. Mean power counts all oil at rail pressure; what the row does
 * not use becomes heat in the valve. Rail pressure at the peak is nominal less the pump's droop and the hose, not below zero.
 * Source: as the functions above and `hoseDropKpa`.
 */
export function oilSize(input: SizingInput, force: ForceRange): OilSize {
  const { rowCount, oilKgPerM3: density, supplyHoseMm, supplyHoseM, returnHoseMm, returnHoseM, rowHoseMm, rowHoseM } = input;
  const row = rowLpm(input, force);
  const dropKpa = Math.max(0, input.railNominalKpa - force.workTypicalKpa);
  const openLpm = valveLpm(dropKpa, WARM_OIL_C, input);
  const coldLpm = valveLpm(dropKpa, input.oilColdC, input);
  const { peak } = openAtOnce(rowCount, input);
  const otherLpm = rowCount * (input.cleanerLpm + input.fertiliserLpm);
  const peakLpm = peak * openLpm + otherLpm;
  const [warm, cold] = [viscosityAt(WARM_OIL_C, input), viscosityAt(input.oilColdC, input)];
  const supplyDropKpa = hoseDropKpa(peakLpm, supplyHoseMm, supplyHoseM, warm, density);
  const railPeakKpa = Math.max(0, input.railNominalKpa - input.railDroopKpaPerLpm * peakLpm - supplyDropKpa);
  const returnDropKpa = hoseDropKpa(peakLpm, returnHoseMm, returnHoseM, warm, density);
  return {
    rowLpm: row,
    rowW: hydraulicW(row, input.railNominalKpa),
    machineLpm: rowCount * row,
    machineW: hydraulicW(rowCount * row, input.railNominalKpa),
    valvesOpenPeak: peak,
    peakLpm,
    supplyHoseDropKpa: supplyDropKpa,
    supplyHoseDropColdKpa: hoseDropKpa(peak * coldLpm + otherLpm, supplyHoseMm, supplyHoseM, cold, density),
    returnHoseDropKpa: returnDropKpa,
    rowHoseDropKpa: hoseDropKpa(openLpm, rowHoseMm, rowHoseM, warm, density),
    rowHoseDropColdKpa: hoseDropKpa(coldLpm, rowHoseMm, rowHoseM, cold, density),
    railPeakKpa,
    returnPeakKpa: input.returnKpa + input.returnRiseKpaPerLpm * peakLpm + returnDropKpa,
    railMarginKpa: railPeakKpa - force.workMaxKpa,
  };
}
