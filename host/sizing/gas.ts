import { ZERO_C_K } from '../../shared/physics.js';
import { effectiveBulkMpa } from './bulk-modulus.js';
import { REFERENCE_C } from './constants.js';
import type { ForceRange } from './geometry.js';
import { absoluteKpa } from './geometry.js';
import type { Given } from './given.js';

/**
 * Usable volume of an accumulator, in the unit of `volume`: V0·[(p0/p1)^(1/n) − (p0/p2)^(1/n)], pressures absolute, in one unit, 0 <
 * p0 <= p1 <= p2, n >= 1. Source: polytropic change of an ideal gas, in every text on accumulators (Rabie, *Fluid Power Engineering*).
 */
export function usableVolume(volume: number, precharge: number, from: number, to: number, exponent: number): number {
  return volume * ((precharge / from) ** (1 / exponent) - (precharge / to) ** (1 / exponent));
}

/** Volume that has that usable volume: the same formula turned round. Source: as `usableVolume`. */
export function volumeFor(usable: number, precharge: number, from: number, to: number, exponent: number): number {
  return usable / usableVolume(1, precharge, from, to, exponent);
}

/** Precharge at another temperature, in the unit of `prechargeAbsolute`, which holds at 20 °C: p·T/T0. Source: Charles's law. */
export const prechargeAt = (prechargeAbsolute: number, celsius: number): number =>
  (prechargeAbsolute * (celsius + ZERO_C_K)) / (REFERENCE_C + ZERO_C_K);

/**
 * Stiffness of gas behind a piston, N/m: k = n·p·A²/V; p absolute, kPa, A in cm², V in mL. Source: derivative of p·Vⁿ = const.
 */
export const gasSpringNPerM = (exponent: number, absKpa: number, areaCm2: number, gasMl: number): number =>
  (exponent * absKpa * 1000 * (areaCm2 * 1e-4) ** 2) / (gasMl * 1e-6);

/** Smallest share of the gas's room that is reckoned with when oil crowds it out. */
const LEAST_SHARE = 0.02;

/** Gas volume of a row's accumulator at a gauge pressure, mL, gas at 20 °C: V0·p0/p above precharge, V0 below. Source: Boyle's law. */
export function gasMl(gaugeKpa: number, { accumulatorMl, prechargeAbsoluteKpa }: Given): number {
  return accumulatorMl * Math.min(1, prechargeAbsoluteKpa / absoluteKpa(gaugeKpa));
}

export interface AccumulatorSize {
  readonly prechargeColdKpa: number;
  readonly prechargeHotKpa: number;
  /** Highest precharge, absolute at 20 °C, that stays below nine tenths of the lowest working pressure with hot gas. */
  readonly prechargeAdvisedKpa: number;
  readonly gasUsualMl: number;
  /** Spring that the gas alone makes of the row at the usual pressure; 0 without an accumulator. */
  readonly gasSpringNPerM: number;
  /** What a degree more of the gas adds to the down force with both valves closed: p/T, at the usual pressure and 20 °C. */
  readonly gasDriftNPerK: number;
  /** Oil that it takes between lowest and highest working pressure, slowly, and fast from precharge. */
  readonly usableSlowMl: number;
  readonly usableFastMl: number;
  /** Oil that the cylinder moves over the float travel. */
  readonly floatOilMl: number;
  readonly floatLeastKpa: number;
  readonly floatMostKpa: number;
  readonly floatSwingN: number;
  /** Gas volume at precharge that would keep that swing to the machine's floatSwingN. */
  readonly volumeNeededMl: number;
}

/** Share of the lowest absolute working pressure that a precharge should not go beyond: common practice, no source. */
export const PRECHARGE_SHARE = 0.9;

/**
 * Pressures at both ends of the float travel, kPa absolute: gas that stands at `kpa` and `ml` gives and takes half of the oil at
 * either side, adiabatically. Where the oil would crowd the gas out, a fiftieth of its room is left. Source: p·Vⁿ = const.
 */
export function floatPressures(kpa: number, ml: number, oilMl: number, exponent: number): { least: number; most: number } {
  const squeezed = Math.max(LEAST_SHARE * ml, ml - oilMl / 2);
  return { least: kpa * (ml / (ml + oilMl / 2)) ** exponent, most: kpa * (ml / squeezed) ** exponent };
}

/** The same without gas: oil alone, V/B_eff, about `kpa` (absolute), not below zero. Source: `effectiveBulkMpa`. */
export function stiffPressures(kpa: number, oilMl: number, given: Given): { least: number; most: number } {
  const bulkKpa = 1000 * effectiveBulkMpa(given.bulkModulusMpa, given.airRatio, kpa - absoluteKpa(0));
  const halfKpa = (bulkKpa * oilMl) / 2 / given.chamberOilMl;
  return { least: Math.max(0, kpa - halfKpa), most: kpa + halfKpa };
}

/**
 * Gas volume at precharge, mL, with which the float travel's oil swings the pressure by no more than `swingKpa` about `kpa`
 * (absolute): the gas is charged slowly and moves fast, so V = ΔV/[(p/p1)^(1/n) − (p/p2)^(1/n)], then V0 = V·p/p0. A swing of
 * nearly the whole pressure is taken as nine tenths of it. Source: `usableVolume`, Boyle's law.
 */
export function volumeForSwing(oilMl: number, kpa: number, swingKpa: number, prechargeKpa: number, exponent: number): number {
  const half = Math.min(swingKpa / 2, 0.9 * kpa);
  return (volumeFor(oilMl, kpa, kpa - half, kpa + half, exponent) * kpa) / prechargeKpa;
}

/** The row's accumulator in work; units as named, pressures absolute. Source: as the functions above. */
export function accumulatorSize(given: Given, force: ForceRange): AccumulatorSize {
  const { accumulatorMl, prechargeAbsoluteKpa: precharge, gasExponent } = given;
  const usual = absoluteKpa(force.workUsualKpa);
  const [from, to] = [force.workLeastKpa, force.workMostKpa].map((kpa) => Math.max(precharge, absoluteKpa(kpa))) as [number, number];
  const oilMl = (given.capAreaCm2 * force.leverRatio * 2 * given.floatMm) / 10;
  const ml = gasMl(force.workUsualKpa, given);
  const float = ml > 0 ? floatPressures(usual, ml, oilMl, gasExponent) : stiffPressures(usual, oilMl, given);
  const hotTimes = prechargeAt(1, given.gasHotC);
  const swingKpa = (100 * given.floatSwingN) / force.newtonPerBar;
  return {
    prechargeColdKpa: prechargeAt(precharge, given.gasColdC),
    prechargeHotKpa: prechargeAt(precharge, given.gasHotC),
    prechargeAdvisedKpa: (PRECHARGE_SHARE * absoluteKpa(force.workLeastKpa)) / hotTimes,
    gasUsualMl: ml,
    gasSpringNPerM: ml > 0 ? gasSpringNPerM(gasExponent, usual, given.capAreaCm2 * force.leverRatio, ml) : 0,
    gasDriftNPerK: ml > 0 ? (force.newtonPerBar * usual) / 100 / (REFERENCE_C + ZERO_C_K) : 0,
    usableSlowMl: usableVolume(accumulatorMl, precharge, from, to, 1),
    usableFastMl: usableVolume(accumulatorMl, precharge, from, to, gasExponent),
    floatOilMl: oilMl,
    floatLeastKpa: float.least,
    floatMostKpa: float.most,
    floatSwingN: (force.newtonPerBar * (float.most - float.least)) / 100,
    volumeNeededMl: volumeForSwing(oilMl, usual, swingKpa, precharge, gasExponent),
  };
}
