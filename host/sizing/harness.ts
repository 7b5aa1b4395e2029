import { coilAt, currentA, energyMj, surelyMovesV } from './coil.js';
import { strokesPerS } from './duty.js';
import type { Given } from './given.js';
import { agedCapacitor } from './reservoir.js';
import { awgMm2, gaugeFor, ohmPerM, THICKEST_AWG } from './wire.js';

/** Rows of the longer arm of the harness. */
export const armRows = ({ rowCount, harnessArms }: Given): number => Math.ceil(rowCount / harnessArms);

/**
 * Coils driven in each row of an arm, the first row first, in the worst case: two in the last row, two in the one before, until
 * strokesAtOnce are given out or the arm is full. Source: the stroke queue allows any strokesAtOnce coils.
 */
export function worstCoils(rows: number, strokesAtOnce: number): number[] {
  return Array.from({ length: rows }, (_, row) => Math.max(0, Math.min(2, strokesAtOnce - 2 * (rows - 1 - row))));
}

/** Ratio of voltage at the last row to that at the source, and conductance that the source sees, S. */
export interface Path {
  readonly ratio: number;
  readonly siemens: number;
}

/**
 * A daisy chain: from the last row on, voltage and current of each segment, its coils being taken as conductances. `ohms` are the
 * segments' resistances there and back, `loads` the conductances at their ends, S. Source: Kirchhoff's laws for a ladder.
 */
export function chainPath(ohms: readonly number[], loads: readonly number[]): Path {
  let [volts, amperes] = [1, 0];
  for (let row = ohms.length - 1; row >= 0; row--) {
    amperes += (loads[row] ?? 0) * volts;
    volts += (ohms[row] ?? 0) * amperes;
  }
  return { ratio: 1 / volts, siemens: amperes / volts };
}

/** A star: every row has wires of its own; the ratio is the last row's. Source: Ohm's law. */
export function starPath(ohms: readonly number[], loads: readonly number[]): Path {
  const path = ohms.map((ohm, row) => {
    const load = loads[row] ?? 0;
    return { ratio: 1 / (1 + ohm * load), siemens: load / (1 + ohm * load) };
  });
  return { ratio: path.at(-1)?.ratio ?? 1, siemens: path.reduce((sum, { siemens }) => sum + siemens, 0) };
}

/** Lengths of an arm's segments, one way, m: chain from row to row, star from the bank to each row. */
export function segmentsM({ starWired, leadM, rowSpacingM, ...given }: Given): number[] {
  const rows = armRows({ starWired, leadM, rowSpacingM, ...given });
  return Array.from({ length: rows }, (_, row) => (starWired === 1 ? leadM + row * rowSpacingM : row === 0 ? leadM : rowSpacingM));
}

/** Coil as conductance at the end of a stroke, S: (1 − e^(−t·R/L))/R. As if its voltage had been the lowest all the time. */
const coilSiemens = (celsius: number, given: Given): number => currentA(1, given.strokeMs, coilAt(celsius, given));

/** The machine's wires with its worst strokes at a temperature, °C. */
export function wirePath(celsius: number, given: Given): Path {
  const ohms = segmentsM(given).map((length) => 2 * length * ohmPerM(awgMm2(given.wireAwg), celsius));
  const loads = worstCoils(ohms.length, given.strokesAtOnce).map((coils) => coils * coilSiemens(celsius, given));
  return given.starWired === 1 ? starPath(ohms, loads) : chainPath(ohms, loads);
}

/**
 * Voltage at the bank, V: source behind its resistance, feeding a constant power (W) and a conductance (S): the larger root of
 * (1 + R·G)·U² − U0·U + R·P = 0; 0 where the source cannot feed them. Source: Kirchhoff's laws.
 */
export function bankV(sourceV: number, ohm: number, watt: number, siemens: number): number {
  const a = 1 + ohm * siemens;
  const root = sourceV ** 2 - 4 * a * ohm * watt;
  return root < 0 ? 0 : (sourceV + Math.sqrt(root)) / (2 * a);
}

/** Energy of a stroke per square of its voltage, J/V², at a temperature, °C. Source: `energyMj`, which goes with U². */
const strokeJPerV2 = (celsius: number, given: Given): number => energyMj(1, given.strokeMs, coilAt(celsius, given)) / 1000;

/**
 * Voltage to which a reservoir is charged on average at the lowest supply, V: strokes that each take h·U² draw the mean current of a
 * conductance, h times their rate, through the charging resistor. Source: Ohm's law.
 */
export function chargedV(celsius: number, given: Given): number {
  const idleV = bankV(given.supplyLeastV, given.harnessOhm, given.electronicsW, 0);
  const meanSiemens = strokeJPerV2(celsius, given) * given.rowCount * strokesPerS(given.dutyPulsesPerMin);
  return idleV / (1 + given.chargeOhm * meanSiemens);
}

/**
 * Voltage of the reservoir after strokesAtOnce strokes at once, V, capacitor at the end of its life at a temperature, °C: each stroke
 * takes h·U², so that U² falls by 2·h/C times itself. Its series resistance comes on top. Source: ½·C·U²; `chargedV`.
 */
function reservoirV(celsius: number, siemens: number, given: Given): number {
  const { farad, esrOhm } = agedCapacitor(given.reservoirUf, celsius, given);
  const left = Math.max(0, 1 - (2 * strokeJPerV2(celsius, given)) / farad) ** given.strokesAtOnce;
  return (chargedV(celsius, given) * Math.sqrt(left)) / (1 + esrOhm * siemens);
}

/**
 * Most current from the source, A, at the lowest supply and a temperature, °C: electronics and the worst strokes, or, where a reservoir
 * feeds the coils, what charges it once they have been made. Source: Ohm's law.
 */
export function sourcePeakA(celsius: number, given: Given): number {
  const { siemens } = wirePath(celsius, given);
  const hasReservoir = given.reservoirUf > 0;
  const volts = bankV(given.supplyLeastV, given.harnessOhm, given.electronicsW, hasReservoir ? 0 : siemens);
  if (volts === 0) return 0;
  const coilsA = hasReservoir ? (volts - reservoirV(celsius, 0, given)) / given.chargeOhm : volts * siemens;
  return coilsA + given.electronicsW / volts;
}

/** Voltage at the last row while the worst strokes end, V, at the lowest supply and a temperature, °C. */
export function lastRowV(celsius: number, given: Given): number {
  const { ratio, siemens } = wirePath(celsius, given);
  const fed =
    given.reservoirUf > 0 ? reservoirV(celsius, siemens, given) : bankV(given.supplyLeastV, given.harnessOhm, given.electronicsW, siemens);
  return fed * ratio;
}

/** One segment of the harness. */
export interface Segment {
  /** Row at its far end, counted along the arm from 1. */
  readonly row: number;
  readonly lengthM: number;
  readonly peakA: number;
  readonly neededMm2: number;
  readonly neededAwg: number;
  /** With the machine's own wires: current, what is lost there and back, and what is left at its far end. */
  readonly fittedA: number;
  readonly fittedDropV: number;
  readonly farV: number;
}

/** What a segment carries and what is left behind it, of a source of 1 V. */
interface Node {
  readonly ohm: number;
  readonly volts: number;
  readonly amperes: number;
}

/** The machine's wires at a temperature, °C, segment by segment: as `wirePath`, but in a star every row drives as many coils as it may. */
function wireNodes(celsius: number, given: Given): Node[] {
  const ohms = segmentsM(given).map((length) => 2 * length * ohmPerM(awgMm2(given.wireAwg), celsius));
  const siemens = coilSiemens(celsius, given);
  if (given.starWired === 1) {
    const load = Math.min(2, given.strokesAtOnce) * siemens;
    return ohms.map((ohm) => ({ ohm, volts: 1 / (1 + ohm * load), amperes: load / (1 + ohm * load) }));
  }
  const coils = worstCoils(ohms.length, given.strokesAtOnce);
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
 * Wires that keep the last row's voltage above `wantedV` from `fedV` at the bank: each segment may drop in proportion to its length,
 * so that area = 2·ρ·i·(whole length)/(allowed drop). Where nothing may drop, the thickest gauge and a hundred times its area.
 * Source: R = ρ·l/A.
 */
export function sizeSegments(fedV: number, wantedV: number, celsius: number, given: Given): Segment[] {
  const lengths = segmentsM(given);
  const coils = worstCoils(lengths.length, given.strokesAtOnce);
  const isStar = given.starWired === 1;
  const wholeM = isStar ? 0 : lengths.reduce((sum, one) => sum + one, 0);
  const coilA = fedV * coilSiemens(celsius, given);
  const mostMm2 = 100 * awgMm2(THICKEST_AWG);
  const nodes = wireNodes(celsius, given);
  return lengths.map((lengthM, index) => {
    // In a star any row may be the one whose two coils are driven.
    const beyond = isStar ? Math.min(2, given.strokesAtOnce) : coils.slice(index).reduce((sum, one) => sum + one, 0);
    const peakA = beyond * coilA;
    const dropV = fedV - wantedV;
    const needed = (2 * ohmPerM(1, celsius) * peakA * (isStar ? lengthM : wholeM)) / dropV;
    const neededMm2 = dropV > 0 ? Math.min(mostMm2, needed) : mostMm2;
    const { ohm, volts, amperes } = nodes[index] as Node;
    const fitted = { fittedA: fedV * amperes, fittedDropV: fedV * amperes * ohm, farV: fedV * volts };
    return { row: index + 1, lengthM, peakA, neededMm2, neededAwg: Math.min(given.thinnestAwg, gaugeFor(neededMm2)), ...fitted };
  });
}

export interface HarnessSize {
  readonly armRows: number;
  readonly wireMm2: number;
  readonly wireOhmPerM: number;
  readonly lastRowColdV: number;
  readonly lastRowHotV: number;
  readonly surelyMovesColdV: number;
  readonly surelyMovesHotV: number;
  /** Least of both: voltage at the last row over the voltage at which a stroke is sure. */
  readonly voltageRatio: number;
  /** Most current through harnessOhm. */
  readonly sourcePeakA: number;
  readonly segments: readonly Segment[];
}

/** Voltage that the last row should have over that at which a stroke is sure: common practice, no source. */
export const VOLTAGE_RESERVE = 1.1;

/** The harness from the bank to the rows, wires as warm as the coils; units as named. Source: as the functions above. */
export function harnessSize(given: Given): HarnessSize {
  const { coilColdC, coilHotC } = given;
  const [cold, hot] = [lastRowV(coilColdC, given), lastRowV(coilHotC, given)];
  const [sureCold, sureHot] = [surelyMovesV(coilColdC, given), surelyMovesV(coilHotC, given)];
  const worstC = cold / sureCold < hot / sureHot ? coilColdC : coilHotC;
  const fedV = lastRowV(worstC, given) / wirePath(worstC, given).ratio;
  return {
    armRows: armRows(given),
    wireMm2: awgMm2(given.wireAwg),
    wireOhmPerM: ohmPerM(awgMm2(given.wireAwg), worstC),
    lastRowColdV: cold,
    lastRowHotV: hot,
    surelyMovesColdV: sureCold,
    surelyMovesHotV: sureHot,
    voltageRatio: Math.min(cold / sureCold, hot / sureHot),
    sourcePeakA: Math.max(sourcePeakA(coilColdC, given), sourcePeakA(coilHotC, given)),
    segments: sizeSegments(fedV, VOLTAGE_RESERVE * surelyMovesV(worstC, given), worstC, given),
  };
}
