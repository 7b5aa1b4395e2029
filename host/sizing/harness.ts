import { coilAt, currentA, energyMj, pullInV } from './coil.js';
import { strokesPerS } from './duty.js';
import { agedCapacitor } from './reservoir.js';
import type { SizingInput } from './sizing-input.js';
import { awgMm2, gaugeFor, ohmPerM, THICKEST_AWG } from './wire.js';

/** Returns the number of rows in the longer arm of the harness. */
export const armRows = ({ rowCount, harnessArms }: SizingInput): number => Math.ceil(rowCount / harnessArms);

/**
 * Returns the coils driven in each row of an arm, first row first, in the worst case: two in the last row, two in the row before, until
 * strokesAtOnce are placed or the arm is full. Source: the stroke queue may drive any strokesAtOnce coils.
 */
export function worstCoils(rows: number, strokesAtOnce: number): number[] {
  return Array.from({ length: rows }, (_, row) => Math.max(0, Math.min(2, strokesAtOnce - 2 * (rows - 1 - row))));
}

/** Wires and coils as seen from the source: voltage at the last row over source voltage, and total conductance, S. */
export interface WirePath {
  readonly ratio: number;
  readonly siemens: number;
}

/**
 * Solves a daisy chain from the last row to the first, with coils as conductances. `ohms` are the segments' resistances, both conductors;
 * `loads` the conductances at their ends, S. Source: Kirchhoff's laws for a ladder.
 */
export function chainPath(ohms: readonly number[], loads: readonly number[]): WirePath {
  let [volts, amperes] = [1, 0];
  for (let row = ohms.length - 1; row >= 0; row--) {
    amperes += (loads[row] ?? 0) * volts;
    volts += (ohms[row] ?? 0) * amperes;
  }
  return { ratio: 1 / volts, siemens: amperes / volts };
}

/** Solves a star with separate wires to each row; the ratio is that of the last row. Source: Ohm's law. */
export function starPath(ohms: readonly number[], loads: readonly number[]): WirePath {
  const branches = ohms.map((ohm, row) => {
    const load = loads[row] ?? 0;
    return { ratio: 1 / (1 + ohm * load), siemens: load / (1 + ohm * load) };
  });
  return { ratio: branches.at(-1)?.ratio ?? 1, siemens: branches.reduce((sum, { siemens }) => sum + siemens, 0) };
}

/** Returns the one-way lengths of an arm's segments, m: from row to row in a chain, from the bank to each row in a star. */
export function segmentsM(input: SizingInput): number[] {
  const { starWired, leadM, rowSpacingM } = input;
  const rows = Array.from({ length: armRows(input) }, (_, row) => row);
  if (starWired === 1) return rows.map((row) => leadM + row * rowSpacingM);
  return rows.map((row) => (row === 0 ? leadM : rowSpacingM));
}

/** Returns a coil's conductance at the end of a stroke, S: (1 − e^(−t·R/L))/R, as if it had had its lowest voltage from the start. */
const coilSiemens = (celsius: number, input: SizingInput): number => currentA(1, input.strokeMs, coilAt(celsius, input));

/** Returns the machine's wires with the worst-case strokes at a temperature, °C. */
export function wirePath(celsius: number, input: SizingInput): WirePath {
  const ohms = segmentsM(input).map((length) => 2 * length * ohmPerM(awgMm2(input.wireAwg), celsius));
  const loads = worstCoils(ohms.length, input.strokesAtOnce).map((coils) => coils * coilSiemens(celsius, input));
  return input.starWired === 1 ? starPath(ohms, loads) : chainPath(ohms, loads);
}

/**
 * Returns the voltage at the bank, V: a source with a series resistance feeds a constant power (W) and a conductance (S). The larger root
 * of (1 + R·G)·U² − U0·U + R·P = 0; 0 if the source cannot supply them. Source: Kirchhoff's laws.
 */
export function bankV(sourceV: number, ohm: number, watt: number, siemens: number): number {
  const a = 1 + ohm * siemens;
  const root = sourceV ** 2 - 4 * a * ohm * watt;
  return root < 0 ? 0 : (sourceV + Math.sqrt(root)) / (2 * a);
}

/** Returns the energy of a stroke per voltage squared, J/V², at a temperature, °C. Source: `energyMj`, which is proportional to U². */
const strokeJPerV2 = (celsius: number, input: SizingInput): number => energyMj(1, input.strokeMs, coilAt(celsius, input)) / 1000;

/**
 * Returns the mean voltage of a charged reservoir at the lowest supply voltage, V: strokes of h·U² each draw the mean current of a
 * conductance, h times their rate, through the charging resistor. Source: Ohm's law.
 */
export function chargedV(celsius: number, input: SizingInput): number {
  const idleV = bankV(input.supplyMinV, input.harnessOhm, input.electronicsW, 0);
  const meanSiemens = strokeJPerV2(celsius, input) * input.rowCount * strokesPerS(input.dutyPulsesPerMin);
  return idleV / (1 + input.chargeOhm * meanSiemens);
}

/**
 * Returns the voltage of the reservoir at the end of its life after strokesAtOnce simultaneous strokes at a temperature (°C), V: each
 * stroke takes h·U², which reduces U² by the factor 1 − 2·h/C. The drop over the series resistance is added. Source: ½·C·U²; `chargedV`.
 */
function reservoirV(celsius: number, siemens: number, input: SizingInput): number {
  const { farad, esrOhm } = agedCapacitor(input.reservoirUf, celsius, input);
  const left = Math.max(0, 1 - (2 * strokeJPerV2(celsius, input)) / farad) ** input.strokesAtOnce;
  return (chargedV(celsius, input) * Math.sqrt(left)) / (1 + esrOhm * siemens);
}

/**
 * Returns the peak current from the source, A, at the lowest supply voltage and a temperature (°C): electronics plus the worst-case
 * strokes or, with a reservoir, plus the current that recharges it after them. Source: Ohm's law.
 */
export function sourcePeakA(celsius: number, input: SizingInput): number {
  const { siemens } = wirePath(celsius, input);
  const hasReservoir = input.reservoirUf > 0;
  const volts = bankV(input.supplyMinV, input.harnessOhm, input.electronicsW, hasReservoir ? 0 : siemens);
  if (volts === 0) return 0;
  const coilsA = hasReservoir ? (volts - reservoirV(celsius, 0, input)) / input.chargeOhm : volts * siemens;
  return coilsA + input.electronicsW / volts;
}

/** Returns the voltage at the last row at the end of the worst-case strokes, V, at the lowest supply voltage and a temperature (°C). */
export function lastRowV(celsius: number, input: SizingInput): number {
  const { ratio, siemens } = wirePath(celsius, input);
  const feedV =
    input.reservoirUf > 0 ? reservoirV(celsius, siemens, input) : bankV(input.supplyMinV, input.harnessOhm, input.electronicsW, siemens);
  return feedV * ratio;
}

/** One segment of the harness. */
export interface Segment {
  /** Row at the far end, counted along the arm from 1. */
  readonly row: number;
  readonly lengthM: number;
  readonly peakA: number;
  readonly neededMm2: number;
  readonly neededAwg: number;
  /** With the machine's own wires: current, voltage drop over both conductors, and voltage at the far end. */
  readonly fittedA: number;
  readonly fittedDropV: number;
  readonly farEndV: number;
}

/** A segment's resistance and current, and the voltage at its far end, for a source of 1 V. */
interface Node {
  readonly ohm: number;
  readonly volts: number;
  readonly amperes: number;
}

/** Returns the machine's wires at a temperature (°C) segment by segment: as `wirePath`, but in a star each row drives as many coils as it can. */
function wireNodes(celsius: number, input: SizingInput): Node[] {
  const ohms = segmentsM(input).map((length) => 2 * length * ohmPerM(awgMm2(input.wireAwg), celsius));
  const siemens = coilSiemens(celsius, input);
  if (input.starWired === 1) {
    const load = Math.min(2, input.strokesAtOnce) * siemens;
    return ohms.map((ohm) => ({ ohm, volts: 1 / (1 + ohm * load), amperes: load / (1 + ohm * load) }));
  }
  const coils = worstCoils(ohms.length, input.strokesAtOnce);
  let [volts, amperes] = [1, 0];
  const nodes: Node[] = [];
  for (const [row, ohm] of [...ohms.entries()].reverse()) {
    amperes += (coils[row] ?? 0) * siemens * volts;
    nodes.unshift({ ohm, volts, amperes });
    volts += ohm * amperes;
  }
  return nodes.map((node) => ({ ohm: node.ohm, volts: node.volts / volts, amperes: node.amperes / volts }));
}

/**
 * Returns the wires that keep the last row at or above `lastRowMinV` with `feedV` at the bank. Each segment may drop in proportion to its
 * length, so area = 2·ρ·i·(total length)/(allowed drop). If no drop is allowed, the area is 100 times that of the thickest gauge.
 * Source: R = ρ·l/A.
 */
export function sizeSegments(feedV: number, lastRowMinV: number, celsius: number, input: SizingInput): Segment[] {
  const lengths = segmentsM(input);
  const coils = worstCoils(lengths.length, input.strokesAtOnce);
  const isStar = input.starWired === 1;
  const totalM = isStar ? 0 : lengths.reduce((sum, one) => sum + one, 0);
  const coilA = feedV * coilSiemens(celsius, input);
  const maxMm2 = 100 * awgMm2(THICKEST_AWG);
  const nodes = wireNodes(celsius, input);
  return lengths.map((lengthM, index) => {
    // In a star the two driven coils may be in any row.
    const beyond = isStar ? Math.min(2, input.strokesAtOnce) : coils.slice(index).reduce((sum, one) => sum + one, 0);
    const peakA = beyond * coilA;
    const dropV = feedV - lastRowMinV;
    const needed = (2 * ohmPerM(1, celsius) * peakA * (isStar ? lengthM : totalM)) / dropV;
    const neededMm2 = dropV > 0 ? Math.min(maxMm2, needed) : maxMm2;
    const { ohm, volts, amperes } = nodes[index] as Node;
    const fitted = { fittedA: feedV * amperes, fittedDropV: feedV * amperes * ohm, farEndV: feedV * volts };
    return { row: index + 1, lengthM, peakA, neededMm2, neededAwg: Math.min(input.wireSmallestAwg, gaugeFor(neededMm2)), ...fitted };
  });
}

export interface HarnessSize {
  readonly armRows: number;
  readonly wireMm2: number;
  readonly wireOhmPerM: number;
  readonly lastRowColdV: number;
  readonly lastRowHotV: number;
  readonly pullInColdV: number;
  readonly pullInHotV: number;
  /** Voltage at the last row over pull-in voltage, the lower of cold and hot. */
  readonly voltageRatio: number;
  /** Peak current through harnessOhm. */
  readonly sourcePeakA: number;
  readonly segments: readonly Segment[];
}

/** Required ratio of the voltage at the last row to the pull-in voltage: common practice, no source. */
export const VOLTAGE_RESERVE = 1.1;

/** Returns the harness from the bank to the rows, wires at the temperature of the coils. Source: as the functions above. */
export function harnessSize(input: SizingInput): HarnessSize {
  const { coilColdC, coilHotC } = input;
  const [coldV, hotV] = [lastRowV(coilColdC, input), lastRowV(coilHotC, input)];
  const [pullInColdV, pullInHotV] = [pullInV(coilColdC, input), pullInV(coilHotC, input)];
  const worstC = coldV / pullInColdV < hotV / pullInHotV ? coilColdC : coilHotC;
  const feedV = lastRowV(worstC, input) / wirePath(worstC, input).ratio;
  return {
    armRows: armRows(input),
    wireMm2: awgMm2(input.wireAwg),
    wireOhmPerM: ohmPerM(awgMm2(input.wireAwg), worstC),
    lastRowColdV: coldV,
    lastRowHotV: hotV,
    pullInColdV,
    pullInHotV,
    voltageRatio: Math.min(coldV / pullInColdV, hotV / pullInHotV),
    sourcePeakA: Math.max(sourcePeakA(coilColdC, input), sourcePeakA(coilHotC, input)),
    segments: sizeSegments(feedV, VOLTAGE_RESERVE * pullInV(worstC, input), worstC, input),
  };
}
