import { WARM_OIL_C } from './constants.js';
import type { ForceRange } from './geometry.js';
import { boreMps } from './hose.js';
import { hoseCurve, pathLpm, railCurve, returnCurve } from './oil-path.js';
import type { SizingInput } from './sizing-input.js';
import { valveCurve, valveLpm } from './valve-flow.js';

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

/** Returns the most valves of `rows` that are open at once, of a mean number: mean plus three standard deviations. Source: Poisson's law, σ = √mean. */
const peakOpen = (mean: number, rows: number): number => Math.min(rows, mean + 3 * Math.sqrt(mean));

/** Returns the supply valves open at once: mean, and mean plus three standard deviations up to all rows. Source: Poisson's law, σ = √mean. */
export function openAtOnce(rows: number, input: SizingInput): { mean: number; peak: number } {
  const mean = Math.min(1, ((input.dutyPulsesPerMin / 2) * input.dutyOpenMs) / 60000) * rows;
  return { mean, peak: peakOpen(mean, rows) };
}

/** Returns what the hoses carry on average, L/min: down force of all rows, row cleaners and fertiliser openers. Source: sum. */
export const sharedLpm = (input: SizingInput, force: ForceRange): number => input.rowCount * rowLpm(input, force) + othersLpm(input);

/** Returns what row cleaners and fertiliser openers draw through the hoses, L/min. */
const othersLpm = ({ rowCount, cleanerLpm, fertiliserLpm }: SizingInput): number => rowCount * (cleanerLpm + fertiliserLpm);

/** Flows and pressures at the peak of the down force, at one oil temperature. */
export interface OilPeak {
  readonly oilC: number;
  /** Through an open supply valve, and an open return valve, at the typical pressure. */
  readonly openLpm: number;
  readonly returnOpenLpm: number;
  /** With that many supply valves open, plus row cleaners and fertiliser openers on the same hose. */
  readonly supplyLpm: number;
  readonly returnLpm: number;
  readonly supplyHoseDropKpa: number;
  readonly returnHoseDropKpa: number;
  /** Row hose with its valve open. */
  readonly rowHoseDropKpa: number;
  /** Rail and return pressure at the machine's end of the hoses. */
  readonly railKpa: number;
  readonly returnKpa: number;
  /** Rail pressure less the highest working pressure. */
  readonly railMarginKpa: number;
  /** Lowest working pressure less the return pressure. */
  readonly returnMarginKpa: number;
}

/**
 * Returns the peak at an oil temperature, °C. Valves pass what they would at nominal rail and return pressure and without hoses, so the
 * flows are upper estimates. Return valves are open longer than supply valves, as long as it takes to pass the same oil.
 * Source: as the functions above; `openAtOnce` for both.
 */
export function oilPeakAt(oilC: number, input: SizingInput, force: ForceRange): OilPeak {
  const valve = valveCurve(oilC, input);
  const openLpm = valve(input.railNominalKpa - force.workTypicalKpa);
  const returnOpenLpm = input.returnFlowRatio * valve(force.workTypicalKpa - input.returnKpa);
  const { mean, peak } = openAtOnce(input.rowCount, input);
  const returnMean = returnOpenLpm > 0 ? Math.min(input.rowCount, (mean * openLpm) / returnOpenLpm) : 0;
  const supplyLpm = peak * openLpm + othersLpm(input);
  const returnLpm = peakOpen(returnMean, input.rowCount) * returnOpenLpm + othersLpm(input);
  const [railKpa, returnKpa] = [railCurve(oilC, input)(supplyLpm), returnCurve(oilC, input)(returnLpm)];
  return {
    oilC,
    openLpm,
    returnOpenLpm,
    supplyLpm,
    returnLpm,
    supplyHoseDropKpa: hoseCurve('supplyHose', oilC, input)(supplyLpm),
    returnHoseDropKpa: hoseCurve('returnHose', oilC, input)(returnLpm),
    rowHoseDropKpa: hoseCurve('rowHose', oilC, input)(openLpm),
    railKpa,
    returnKpa,
    railMarginKpa: railKpa - force.workMaxKpa,
    returnMarginKpa: force.workMinUnclampedKpa - returnKpa,
  };
}

export interface OilSize {
  readonly rowLpm: number;
  readonly rowW: number;
  readonly machineLpm: number;
  readonly machineW: number;
  readonly valvesOpenPeak: number;
  /** With oil at 40 °C and with the coldest oil. */
  readonly warm: OilPeak;
  readonly cold: OilPeak;
  /** The lower of warm and cold. */
  readonly railMarginKpa: number;
  readonly returnMarginKpa: number;
  /** Highest velocities in the hoses, oil at 40 °C; in the row hose at the lowest working pressure. */
  readonly supplyHoseMps: number;
  readonly returnHoseMps: number;
  readonly rowHoseMps: number;
}

/**
 * Returns oil flow, power, pressures and velocities of the machine's down force. Mean power counts all oil at rail pressure; what the row
 * does not use becomes heat in the valve. Source: as the functions above and `boreMps`.
 */
export function oilSize(input: SizingInput, force: ForceRange): OilSize {
  const { rowCount } = input;
  const row = rowLpm(input, force);
  const [warm, cold] = [oilPeakAt(WARM_OIL_C, input, force), oilPeakAt(input.oilColdC, input, force)];
  return {
    rowLpm: row,
    rowW: hydraulicW(row, input.railNominalKpa),
    machineLpm: rowCount * row,
    machineW: hydraulicW(rowCount * row, input.railNominalKpa),
    valvesOpenPeak: openAtOnce(rowCount, input).peak,
    warm,
    cold,
    railMarginKpa: Math.min(warm.railMarginKpa, cold.railMarginKpa),
    returnMarginKpa: Math.min(warm.returnMarginKpa, cold.returnMarginKpa),
    supplyHoseMps: boreMps(warm.supplyLpm, input.supplyHoseMm),
    returnHoseMps: boreMps(warm.returnLpm, input.returnHoseMm),
    rowHoseMps: boreMps(pathLpm(force.workMinKpa, WARM_OIL_C, 'up', sharedLpm(input, force), input), input.rowHoseMm),
  };
}
