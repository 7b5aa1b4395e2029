import { coilAt, energyMj } from './coil.js';
import { REFERENCE_C } from './constants.js';
import type { Given } from './given.js';

/** Shares that tolerance, age and, below 20 °C, cold leave of a capacitance. Source: a capacitor's derating, common practice. */
export function leftOfCapacitance(celsius: number, given: Given): number {
  const cold = celsius < REFERENCE_C ? 1 - given.capacitorColdRatio : 1;
  return (1 - given.capacitorToleranceRatio) * (1 - given.capacitorAgeingRatio) * cold;
}

/** A capacitor of `uf` when new at the end of its life at a temperature, °C. Source: `leftOfCapacitance`. */
export function agedCapacitor(uf: number, celsius: number, given: Given): { farad: number; esrOhm: number } {
  const cold = celsius < REFERENCE_C ? given.esrColdTimes : 1;
  return { farad: uf * 1e-6 * leftOfCapacitance(celsius, given), esrOhm: given.capacitorEsrOhm * given.esrAgeingTimes * cold };
}

/** Most capacitance that is told, µF: the largest that a machine may have. */
export const MOST_UF = 1e6;

/**
 * Capacitance, F, that makes `strokes` from a voltage and still has `toV` after the last: a stroke takes h·U², so that each leaves
 * 1 − 2·h/C of U² and C = 2·h/(1 − (toV/fromV)^(2/strokes)). `perV2` is h, J/V². Infinite where fromV is not above toV.
 * Source: ½·C·U², a geometric series.
 */
export function faradFor(strokes: number, perV2: number, fromV: number, toV: number): number {
  if (!(fromV > toV)) return Number.POSITIVE_INFINITY;
  return (-2 * perV2) / Math.expm1((2 / strokes) * Math.log(toV / fromV));
}

/** Whole strokes that a capacitance, F, makes from a voltage down to `toV`, at most `most`. Source: as `faradFor`. */
export function strokesFrom(farad: number, perV2: number, fromV: number, toV: number, most: number): number {
  if (!(fromV > toV) || !(farad > 2 * perV2)) return 0;
  return Math.min(most, Math.floor((2 * Math.log(toV / fromV)) / Math.log1p((-2 * perV2) / farad) + 1e-9));
}

/** What is wanted of the reservoir at one temperature. */
export interface ClosingSize {
  readonly celsius: number;
  readonly fromV: number;
  /** Voltage that it must still have: what a stroke needs at the last row, wires and series resistance counted. */
  readonly downToV: number;
  readonly strokeMj: number;
  /** Capacitance when new that closes every open valve at the end of its life; MOST_UF where that is not enough. */
  readonly neededUf: number;
  readonly leftUf: number;
  /** Closes that the machine's own reservoir pays for, at most 2 a row. */
  readonly closesPaid: number;
  readonly endV: number;
}

/** How a row's worst strokes see the reservoir: voltage ratio of the wires, conductance of coils and wires, voltage needed there. */
export interface Feeding {
  readonly celsius: number;
  readonly fromV: number;
  readonly sureV: number;
  readonly ratio: number;
  readonly siemens: number;
}

/**
 * Closing every open valve, one a row, after a loss of power; units as named. What else the reservoir feeds meanwhile, keptAliveW,
 * is added to each stroke, for the time that the queue gives to it, at the voltage at which it weighs most.
 * Source: as the functions above.
 */
export function closingSize({ celsius, fromV, sureV, ratio, siemens }: Feeding, given: Given): ClosingSize {
  const { esrOhm, farad } = agedCapacitor(given.reservoirUf, celsius, given);
  const downToV = (sureV / ratio) * (1 + esrOhm * siemens);
  const besidesMj = (given.keptAliveW * given.strokeMs * given.slotCount) / given.strokesAtOnce;
  const perV2 = energyMj(1, given.strokeMs, coilAt(celsius, given)) / 1000 + besidesMj / 1000 / downToV ** 2;
  const needed = (1e6 * faradFor(given.rowCount, perV2, fromV, downToV)) / leftOfCapacitance(celsius, given);
  const leftV2 = farad > 0 ? Math.max(0, 1 - (2 * perV2) / farad) ** given.rowCount : 0;
  return {
    celsius,
    fromV,
    downToV,
    strokeMj: 1000 * perV2 * fromV ** 2,
    neededUf: Math.min(MOST_UF, needed),
    leftUf: 1e6 * farad,
    closesPaid: strokesFrom(farad, perV2, fromV, downToV, 2 * given.rowCount),
    endV: fromV * Math.sqrt(leftV2),
  };
}

export interface ReservoirSize {
  readonly fittedUf: number;
  readonly cold: ClosingSize;
  readonly hot: ClosingSize;
  readonly neededUf: number;
  readonly closesPaid: number;
  readonly chargeTimeConstantS: number;
}

/** The reservoir in the cold and in the heat, the worse of both; units as named. Source: `closingSize`. */
export function reservoirSize(cold: Feeding, hot: Feeding, given: Given): ReservoirSize {
  const [one, other] = [closingSize(cold, given), closingSize(hot, given)];
  return {
    fittedUf: given.reservoirUf,
    cold: one,
    hot: other,
    neededUf: Math.max(one.neededUf, other.neededUf),
    closesPaid: Math.min(one.closesPaid, other.closesPaid),
    chargeTimeConstantS: given.chargeOhm * given.reservoirUf * 1e-6,
  };
}
