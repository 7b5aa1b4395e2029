import { coilAt, energyMj, pullInV } from './coil.js';
import { strokesPerS } from './duty.js';
import { agedCapacitor } from './reservoir.js';
import type { SizingInput } from './sizing-input.js';
import { type Branch, bankV, type Feed, type StrokeEnd, strokeEnd } from './stroke-circuit.js';
import { coilsAtOnce } from './strokes-at-once.js';
import { ampacityA, awgMm2, gaugeFor, ohmPerM, THICKEST_AWG } from './wire.js';

/** Returns the number of rows in the longer arm of the harness. */
export const armRows = ({ rowCount, harnessArms }: SizingInput): number => Math.ceil(rowCount / harnessArms);

/**
 * Returns the coils driven in each row of the longer arm, first row first, in the worst case: two in the last row, two in the row before,
 * until all are placed or the arm is full. Source: the stroke queue may drive any strokesAtOnce coils.
 */
export function worstCoils(rows: number, coils: number): number[] {
  return Array.from({ length: rows }, (_, row) => Math.max(0, Math.min(2, coils - 2 * (rows - 1 - row))));
}

/** Returns the same for a row of a star: two there, and the others in the rows nearest to the bank, where coils draw most. */
export function worstStarCoils(rows: number, row: number, coils: number): number[] {
  const there = Math.min(2, coils);
  return Array.from({ length: rows }, (_, index) => {
    if (index === row) return there;
    const before = index < row ? index : index - 1;
    return Math.max(0, Math.min(2, coils - there - 2 * before));
  });
}

/**
 * Returns the same for the other arm: what the longer one has no rows for, in the rows nearest to the bank, where coils draw most from
 * the common feed.
 */
export const otherCoils = (rows: number, coils: number): number[] => worstCoils(rows, coils).reverse();

/** Returns the one-way lengths of the segments of an arm, m: from row to row in a chain, from the bank to each row in a star. */
export function segmentsM(rows: number, { starWired, leadM, rowSpacingM }: SizingInput): number[] {
  return Array.from({ length: rows }, (_, row) => {
    if (starWired === 1) return leadM + row * rowSpacingM;
    return row === 0 ? leadM : rowSpacingM;
  });
}

/** An arm of the harness: driven coils by row, and the circuit that they form. */
interface Arm {
  readonly coils: readonly number[];
  readonly branches: readonly Branch[];
}

/** Returns an arm's circuit: one chain, or in a star a branch for each row. Stretches without driven coils are joined to the next. */
function armOf(coils: readonly number[], mm2: number, celsius: number, input: SizingInput): Arm {
  const ohms = segmentsM(coils.length, input).map((length) => 2 * length * ohmPerM(mm2, celsius));
  const stretches = coils.map((count, row) => ({ ohm: ohms[row] ?? 0, coils: count }));
  if (input.starWired === 1) return { coils, branches: stretches.filter((one) => one.coils > 0).map((one) => [one]) };
  let bareOhm = 0;
  const chain = stretches.flatMap((one) => {
    bareOhm += one.ohm;
    const joined = one.coils > 0 ? [{ ...one, ohm: bareOhm }] : [];
    if (one.coils > 0) bareOhm = 0;
    return joined;
  });
  return { coils, branches: [chain] };
}

/** The end of the worst-case strokes: of the whole circuit, and the current into each row of the longer arm. */
export interface WorstStrokes extends StrokeEnd {
  readonly rowA: readonly number[];
  readonly rowCoils: readonly number[];
}

/**
 * Returns the end of the worst-case strokes at a temperature (°C) with wires of an area (mm²): the worst for the last row, or in a star
 * for `row` (from 0). Source: `strokeEnd`.
 */
function worstStrokes(feed: Feed, mm2: number, celsius: number, input: SizingInput, row = armRows(input) - 1): WorstStrokes {
  const [rows, all] = [armRows(input), coilsAtOnce(input)];
  const long = armOf(input.starWired === 1 ? worstStarCoils(rows, row, all) : worstCoils(rows, all), mm2, celsius, input);
  const otherRows = input.rowCount - rows;
  const other = armOf(otherCoils(otherRows, Math.max(0, all - 2 * rows)), mm2, celsius, input);
  const end = strokeEnd([...long.branches, ...other.branches], feed, coilAt(celsius, input), input.strokeMs);
  const drivenA = end.stretchA.slice(0, long.branches.length).flat();
  const rowA = long.coils.map((count) => (count > 0 ? (drivenA.shift() ?? 0) : 0));
  return { ...end, rowCoils: long.coils, rowA };
}

/** Returns the voltage at each row of the longer arm. Source: Kirchhoff's laws. */
function rowVolts({ feedV, rowA }: WorstStrokes, ohms: readonly number[], isStar: boolean): number[] {
  if (isStar) return rowA.map((amperes, row) => feedV - (ohms[row] ?? 0) * amperes);
  let volts = feedV;
  return rowA.map((_, row) => {
    volts -= (ohms[row] ?? 0) * beyond(rowA, row);
    return volts;
  });
}

/** Returns what the segment to a row of a chain carries: the sum of that row and those beyond. */
const beyond = (of: readonly number[], row: number): number => of.slice(row).reduce((sum, one) => sum + one, 0);

const ohmsOf = (celsius: number, input: SizingInput): number[] =>
  segmentsM(armRows(input), input).map((length) => 2 * length * ohmPerM(awgMm2(input.wireAwg), celsius));

/** Wires and coils as seen from the bank at the end of the strokes: last-row voltage over bank voltage, and total conductance, S. */
export interface WirePath {
  readonly ratio: number;
  readonly siemens: number;
}

/** A feed of 1 V that nothing pulls down. */
const FIRM: Feed = { volts: 1, ohm: 0, watt: 0, farad: Number.POSITIVE_INFINITY };

/** Lowest ratio that is calculated with: coils that keep their current can pull the last row below zero. */
const RATIO_MIN = 1e-3;

/** Returns the machine's wires with the worst-case strokes at a temperature, °C. */
export function wirePath(celsius: number, input: SizingInput): WirePath {
  const end = worstStrokes(FIRM, awgMm2(input.wireAwg), celsius, input);
  const lastV = rowVolts(end, ohmsOf(celsius, input), input.starWired === 1).at(-1) ?? 1;
  return { ratio: Math.max(RATIO_MIN, lastV), siemens: end.coilsA };
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
 * Returns what feeds the strokes at the lowest supply voltage: the reservoir at the end of its life, whose recharging during a stroke is
 * neglected, or without one the source with its wires, which feeds the electronics too.
 */
export function feedOf(celsius: number, input: SizingInput): Feed {
  const { supplyMinV, harnessOhm, electronicsW } = input;
  if (!(input.reservoirUf > 0)) return { volts: supplyMinV, ohm: harnessOhm, watt: electronicsW, farad: Number.POSITIVE_INFINITY };
  const { farad, esrOhm } = agedCapacitor(input.reservoirUf, celsius, input);
  return { volts: chargedV(celsius, input), ohm: esrOhm, watt: 0, farad };
}

/** Returns the end of the worst-case strokes with the machine's own wires and feed at a temperature, °C. */
export const machineStrokes = (celsius: number, input: SizingInput): WorstStrokes =>
  worstStrokes(feedOf(celsius, input), awgMm2(input.wireAwg), celsius, input);

/**
 * Returns the peak current from the source, A, at the lowest supply voltage: electronics plus the worst-case strokes or, with a reservoir,
 * plus the current that recharges it after them. Source: Ohm's law.
 */
export function sourcePeakA(end: WorstStrokes, input: SizingInput): number {
  const idleV = bankV(input.supplyMinV, input.harnessOhm, input.electronicsW, 0);
  const hasReservoir = input.reservoirUf > 0;
  const volts = hasReservoir ? idleV : end.feedV;
  if (volts === 0) return 0;
  return (hasReservoir ? (idleV - end.storedV) / input.chargeOhm : end.coilsA) + input.electronicsW / volts;
}

/** Returns the voltage at the last row at the end of the worst-case strokes at a temperature (°C), V. */
const lastRowV = (end: WorstStrokes, celsius: number, input: SizingInput): number =>
  Math.max(0, rowVolts(end, ohmsOf(celsius, input), input.starWired === 1).at(-1) ?? 0);

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

/** What the segments have to carry: the voltage at the bank, and the current of one coil there at the end of a stroke. */
export interface SegmentLoad {
  readonly feedV: number;
  readonly coilA: number;
  readonly lastRowMinV: number;
}

/**
 * Returns the area of each segment, mm², that keeps the last row at or above `lastRowMinV`. Each segment may drop in proportion to its
 * length, so area = 2·ρ·i·(total length)/(allowed drop). If no drop is allowed, the area is 100 times that of the thickest gauge.
 * Source: R = ρ·l/A.
 */
export function segmentsMm2({ feedV, coilA, lastRowMinV }: SegmentLoad, celsius: number, input: SizingInput): number[] {
  const lengths = segmentsM(armRows(input), input);
  const totalM = lengths.reduce((sum, one) => sum + one, 0);
  const maxMm2 = 100 * awgMm2(THICKEST_AWG);
  const dropV = feedV - lastRowMinV;
  return segmentCoils(input).map((coils, row) => {
    const lengthM = input.starWired === 1 ? (lengths[row] ?? 0) : totalM;
    return dropV > 0 ? Math.min(maxMm2, (2 * ohmPerM(1, celsius) * coils * coilA * lengthM) / dropV) : maxMm2;
  });
}

/** Returns the driven coils that each segment has to feed. In a star the two driven coils may be in any row. */
function segmentCoils(input: SizingInput): number[] {
  const coils = worstCoils(armRows(input), coilsAtOnce(input));
  return coils.map((_, row) => (input.starWired === 1 ? Math.min(2, input.strokesAtOnce) : beyond(coils, row)));
}

/**
 * Returns the segments of the longer arm. They are designed for the currents with wires of no resistance, the largest possible, and listed
 * with their actual ones; in a star each with both coils of that row driven. Source: `segmentsMm2`, `strokeEnd`.
 */
function segmentsOf(end: WorstStrokes, celsius: number, input: SizingInput): Segment[] {
  const [feed, isStar, ohms] = [feedOf(celsius, input), input.starWired === 1, ohmsOf(celsius, input)];
  const ideal = worstStrokes(feed, Number.POSITIVE_INFINITY, celsius, input);
  const coilA = (ideal.rowA.at(-1) ?? 0) / (ideal.rowCoils.at(-1) ?? 1);
  const load = { feedV: ideal.feedV, coilA, lastRowMinV: VOLTAGE_RESERVE * pullInV(celsius, input) };
  const areas = segmentsMm2(load, celsius, input);
  const ends = ohms.map((_, row) => (isStar ? worstStrokes(feed, awgMm2(input.wireAwg), celsius, input, row) : end));
  const segmentA = ends.map(({ rowA }, row) => (isStar ? (rowA[row] ?? 0) : beyond(rowA, row)));
  const volts = ends.map((one, row) => rowVolts(one, ohms, isStar)[row] ?? 0);
  return segmentsM(armRows(input), input).map((lengthM, index) => {
    const [neededMm2, fittedA] = [areas[index] ?? 0, segmentA[index] ?? 0];
    return {
      row: index + 1,
      lengthM,
      peakA: (segmentCoils(input)[index] ?? 0) * coilA,
      neededMm2,
      neededAwg: Math.min(input.wireSmallestAwg, gaugeFor(neededMm2)),
      fittedA,
      fittedDropV: fittedA * (ohms[index] ?? 0),
      farEndV: volts[index] ?? 0,
    };
  });
}

export interface HarnessSize {
  readonly armRows: number;
  readonly wireMm2: number;
  readonly wireOhmPerM: number;
  /** Steady current that the insulation of the wires withstands in surroundings as hot as the hottest coil. */
  readonly ampacityA: number;
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
  const [cold, hot] = [machineStrokes(coilColdC, input), machineStrokes(coilHotC, input)];
  const [coldV, hotV] = [lastRowV(cold, coilColdC, input), lastRowV(hot, coilHotC, input)];
  const [pullInColdV, pullInHotV] = [pullInV(coilColdC, input), pullInV(coilHotC, input)];
  const [worst, worstC] = coldV / pullInColdV < hotV / pullInHotV ? ([cold, coilColdC] as const) : ([hot, coilHotC] as const);
  return {
    armRows: armRows(input),
    wireMm2: awgMm2(input.wireAwg),
    wireOhmPerM: ohmPerM(awgMm2(input.wireAwg), worstC),
    ampacityA: ampacityA(input.wireAwg, coilHotC, input.wireLimitC),
    lastRowColdV: coldV,
    lastRowHotV: hotV,
    pullInColdV,
    pullInHotV,
    voltageRatio: Math.min(coldV / pullInColdV, hotV / pullInHotV),
    sourcePeakA: Math.max(sourcePeakA(cold, input), sourcePeakA(hot, input)),
    segments: segmentsOf(worst, worstC, input),
  };
}
