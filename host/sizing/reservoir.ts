import { coilAt, energyMj } from './coil.js';
import { REFERENCE_C } from './constants.js';
import type { SizingInput } from './sizing-input.js';
import { turnsFor } from './strokes-at-once.js';

/** Returns the share of capacitance left after tolerance, ageing and, below 20 °C, cold. Source: capacitor derating, common practice. */
export function capacitanceLeft(celsius: number, input: SizingInput): number {
  const cold = celsius < REFERENCE_C ? 1 - input.capacitorColdRatio : 1;
  return (1 - input.capacitorToleranceRatio) * (1 - input.capacitorAgeingRatio) * cold;
}

/** Returns a capacitor of `uf` at the end of its life at a temperature, °C. Source: `capacitanceLeft`. */
export function agedCapacitor(uf: number, celsius: number, input: SizingInput): { farad: number; esrOhm: number } {
  const cold = celsius < REFERENCE_C ? input.esrColdFactor : 1;
  return { farad: uf * 1e-6 * capacitanceLeft(celsius, input), esrOhm: input.capacitorEsrOhm * input.esrAgeingFactor * cold };
}

/** Upper limit of the required capacitance, µF: the largest that a machine file allows. */
export const UF_MAX = 1e6;

/**
 * Returns the capacitance, F, that makes `strokes` strokes from a voltage and still has `toV` after the last one. A stroke takes h·U², so
 * each multiplies U² by 1 − 2·h/C, and C = 2·h/(1 − (toV/fromV)^(2/strokes)). `perV2` is h, J/V². Infinite unless fromV is above toV.
 * Source: ½·C·U², a geometric series.
 */
export function faradFor(strokes: number, perV2: number, fromV: number, toV: number): number {
  if (!(fromV > toV)) return Number.POSITIVE_INFINITY;
  return (-2 * perV2) / Math.expm1((2 / strokes) * Math.log(toV / fromV));
}

/** Returns the complete strokes that a capacitance (F) makes from a voltage down to `toV`, at most `max`. Source: as `faradFor`. */
export function strokesFrom(farad: number, perV2: number, fromV: number, toV: number, max: number): number {
  if (!(fromV > toV) || !(farad > 2 * perV2)) return 0;
  return Math.min(max, Math.floor((2 * Math.log(toV / fromV)) / Math.log1p((-2 * perV2) / farad) + 1e-9));
}

/** The reservoir's task at one temperature. */
export interface ClosingSize {
  readonly celsius: number;
  readonly chargedV: number;
  /** Lowest usable voltage: pull-in voltage at the last row plus the drop over wires and series resistance. */
  readonly minV: number;
  readonly strokeMj: number;
  /** Capacitance when new that closes every open valve at the end of its life; UF_MAX if even that is not enough. */
  readonly neededUf: number;
  readonly agedUf: number;
  /** Closing strokes that the machine's own reservoir can make, at most 2 per row. */
  readonly closesAvailable: number;
  readonly endV: number;
}

/** The circuit between reservoir and coils: charged and pull-in voltage, voltage ratio of the wires, conductance of coils and wires. */
export interface CoilFeed {
  readonly celsius: number;
  readonly chargedV: number;
  readonly pullInV: number;
  readonly ratio: number;
  readonly siemens: number;
}

/**
 * Returns what it takes to close every open valve, one per row, after a loss of power. The other load, reservoirLoadW, draws for all
 * turns of the queue and is added in equal parts to the strokes, at the voltage where it counts most. Source: as the functions above.
 */
export function closingSize({ celsius, chargedV, pullInV, ratio, siemens }: CoilFeed, input: SizingInput): ClosingSize {
  const { esrOhm, farad } = agedCapacitor(input.reservoirUf, celsius, input);
  const minV = (pullInV / ratio) * (1 + esrOhm * siemens);
  const otherMj = (input.reservoirLoadW * input.strokeMs * input.slotCount * turnsFor(input.rowCount, input)) / input.rowCount;
  const perV2 = energyMj(1, input.strokeMs, coilAt(celsius, input)) / 1000 + otherMj / 1000 / minV ** 2;
  const neededUf = (1e6 * faradFor(input.rowCount, perV2, chargedV, minV)) / capacitanceLeft(celsius, input);
  const leftV2 = farad > 0 ? Math.max(0, 1 - (2 * perV2) / farad) ** input.rowCount : 0;
  return {
    celsius,
    chargedV,
    minV,
    strokeMj: 1000 * perV2 * chargedV ** 2,
    neededUf: Math.min(UF_MAX, neededUf),
    agedUf: 1e6 * farad,
    closesAvailable: strokesFrom(farad, perV2, chargedV, minV, 2 * input.rowCount),
    endV: chargedV * Math.sqrt(leftV2),
  };
}

export interface ReservoirSize {
  readonly fittedUf: number;
  readonly cold: ClosingSize;
  readonly hot: ClosingSize;
  readonly neededUf: number;
  readonly closesAvailable: number;
  readonly chargeTimeConstantS: number;
}

/** Returns the reservoir cold and hot, and the worse of both. Source: `closingSize`. */
export function reservoirSize(coldFeed: CoilFeed, hotFeed: CoilFeed, input: SizingInput): ReservoirSize {
  const [cold, hot] = [closingSize(coldFeed, input), closingSize(hotFeed, input)];
  return {
    fittedUf: input.reservoirUf,
    cold,
    hot,
    neededUf: Math.max(cold.neededUf, hot.neededUf),
    closesAvailable: Math.min(cold.closesAvailable, hot.closesAvailable),
    chargeTimeConstantS: input.chargeOhm * input.reservoirUf * 1e-6,
  };
}
