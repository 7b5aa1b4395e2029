import { ATMOSPHERE_KPA, ZERO_C_K } from '../../shared/physics.js';
import { REFERENCE_C } from './constants.js';
import { absoluteKpa, type ForceRange } from './geometry.js';
import type { SizingInput } from './sizing-input.js';

/**
 * Returns the usable volume of an accumulator, in the unit of `volume`: V0·[(p0/p1)^(1/n) − (p0/p2)^(1/n)]. Pressures are absolute and in
 * one unit, 0 < p0 <= p1 <= p2, n >= 1. Source: polytropic change of an ideal gas, in every text on accumulators (Rabie, *Fluid Power
 * Engineering*).
 */
export function usableVolume(volume: number, precharge: number, from: number, to: number, exponent: number): number {
  return volume * ((precharge / from) ** (1 / exponent) - (precharge / to) ** (1 / exponent));
}

/** Returns the accumulator volume for a usable volume. Source: `usableVolume` solved for the volume. */
export function volumeFor(usable: number, precharge: number, from: number, to: number, exponent: number): number {
  return usable / usableVolume(1, precharge, from, to, exponent);
}

/** Returns the precharge at a temperature (°C), in the unit of `prechargeAbsolute`, which applies at 20 °C: p·T/T0. Source: Gay-Lussac's law. */
export const prechargeAt = (prechargeAbsolute: number, celsius: number): number =>
  (prechargeAbsolute * (celsius + ZERO_C_K)) / (REFERENCE_C + ZERO_C_K);

/** Returns the stiffness of gas behind a piston, N/m: k = n·p·A²/V; p absolute in kPa, A in cm², V in mL. Source: derivative of p·Vⁿ = const. */
export const gasSpringNPerM = (exponent: number, absKpa: number, areaCm2: number, gasMl: number): number =>
  (exponent * absKpa * 1000 * (areaCm2 * 1e-4) ** 2) / (gasMl * 1e-6);

/** Smallest share of its volume that gas is calculated with when oil displaces it. */
const GAS_SHARE_MIN = 0.02;

/** Returns the gas volume of a row's accumulator at a gauge pressure, mL, gas at 20 °C: V0·p0/p above precharge, V0 below. Source: Boyle's law. */
export function gasMl(gaugeKpa: number, { accumulatorMl, prechargeAbsoluteKpa }: SizingInput): number {
  return accumulatorMl * Math.min(1, prechargeAbsoluteKpa / absoluteKpa(gaugeKpa));
}

export interface AccumulatorSize {
  readonly prechargeColdKpa: number;
  readonly prechargeHotKpa: number;
  /** Highest precharge, absolute at 20 °C, that stays below 0.9 of the lowest working pressure with hot gas. */
  readonly prechargeMaxKpa: number;
  readonly gasTypicalMl: number;
  /** Spring rate of the gas alone at the row, at the typical pressure. */
  readonly gasSpringNPerM: number;
  /** Change of down force per kelvin of gas temperature with both valves closed: p/T, at the typical pressure and 20 °C. */
  readonly gasDriftNPerK: number;
  /** Oil volume between the lowest and the highest working pressure, for slow and for fast changes. */
  readonly usableIsothermalMl: number;
  readonly usableAdiabaticMl: number;
  /** Highest working pressure over precharge at 20 °C, both absolute. */
  readonly gasRatio: number;
  /** Gas volume at precharge that keeps the swing within floatSwingN of the input. */
  readonly volumeNeededMl: number;
}

/** The row over its float travel with both valves closed, with or without an accumulator; pressures are absolute. */
export interface FloatSize {
  /** Oil that the cylinder displaces. */
  readonly oilMl: number;
  readonly minKpa: number;
  readonly maxKpa: number;
  readonly swingN: number;
}

/** Largest recommended ratio of precharge to lowest working pressure, both absolute: common practice, no source. */
export const PRECHARGE_SHARE = 0.9;

/** Lowest and highest pressure over the float travel, kPa absolute. */
interface FloatPressures {
  readonly min: number;
  readonly max: number;
}

/**
 * Returns the pressures at both ends of the float travel, kPa absolute: gas of `ml` at `kpa` takes in and gives off half of the oil each
 * way, adiabatically. If the oil would displace all of the gas, 2 % of its volume is assumed to remain. Source: p·Vⁿ = const.
 */
export function floatPressures(kpa: number, ml: number, oilMl: number, exponent: number): FloatPressures {
  const compressed = Math.max(GAS_SHARE_MIN * ml, ml - oilMl / 2);
  return { min: kpa * (ml / (ml + oilMl / 2)) ** exponent, max: kpa * (ml / compressed) ** exponent };
}

/** Halvings of an interval of pressures: to a billionth of it. */
const HALVINGS = 30;

/**
 * Returns the same for oil alone with its free air, from `kpa` (absolute): the volume of liquid and air, (1 − α)·e^(−p/B) + α·pa/p, grows and
 * shrinks by half of the oil each way. Not below zero pressure; if all of the volume would be displaced, 2 % remain.
 * Source: `effectiveBulkMpa`, whose derivative at `kpa` this follows for small volumes; bisection.
 */
export function stiffPressures(kpa: number, oilMl: number, input: SizingInput): FloatPressures {
  const bulkKpa = 1000 * input.bulkModulusMpa;
  const volumeAt = (absKpa: number): number =>
    (1 - input.airRatio) * Math.exp((ATMOSPHERE_KPA - absKpa) / bulkKpa) + (input.airRatio * ATMOSPHERE_KPA) / absKpa;
  const share = oilMl / 2 / input.chamberOilMl;
  const pressureAt = (volume: number, from: number, to: number): number => {
    let [low, high] = [from, to];
    for (let halving = 0; halving < HALVINGS; halving++) {
      const middle = (low + high) / 2;
      if (volumeAt(middle) > volume) low = middle;
      else high = middle;
    }
    return low;
  };
  const here = volumeAt(kpa);
  const smallest = Math.max(GAS_SHARE_MIN, 1 - share) * here;
  // Even without air, e^(−p/B) is below the smallest volume at this pressure.
  const highest = kpa - 2 * bulkKpa * Math.log(smallest / here) + ATMOSPHERE_KPA / GAS_SHARE_MIN;
  return { min: pressureAt((1 + share) * here, 0, kpa), max: pressureAt(smallest, kpa, highest) };
}

/**
 * Returns the gas volume at precharge, mL, for which the oil of the float travel changes the pressure by no more than `swingKpa` around
 * `kpa` (absolute). The gas is charged slowly and moves fast, so V = ΔV/[(p/p1)^(1/n) − (p/p2)^(1/n)], then V0 = V·p/p0. Half of the swing
 * is limited to 0.9 of the pressure. Source: `usableVolume`, Boyle's law.
 */
export function volumeForSwing(oilMl: number, kpa: number, swingKpa: number, prechargeKpa: number, exponent: number): number {
  const half = Math.min(swingKpa / 2, 0.9 * kpa);
  return (volumeFor(oilMl, kpa, kpa - half, kpa + half, exponent) * kpa) / prechargeKpa;
}

/** Returns the oil that the cylinder of a row displaces over its float travel, mL. Source: area times travel. */
const floatOilMl = (input: SizingInput, force: ForceRange): number => (input.capAreaCm2 * force.leverRatio * 2 * input.floatMm) / 10;

/** Returns the row over its float travel. Source: as the functions above. */
export function floatSize(input: SizingInput, force: ForceRange): FloatSize {
  const typical = absoluteKpa(force.workTypicalKpa);
  const oilMl = floatOilMl(input, force);
  const ml = gasMl(force.workTypicalKpa, input);
  const { min, max } = ml > 0 ? floatPressures(typical, ml, oilMl, input.gasExponent) : stiffPressures(typical, oilMl, input);
  return { oilMl, minKpa: min, maxKpa: max, swingN: (force.newtonPerBar * (max - min)) / 100 };
}

/** Returns the row's accumulator at work; pressures are absolute. Source: as the functions above. */
export function accumulatorSize(input: SizingInput, force: ForceRange): AccumulatorSize {
  const { accumulatorMl, prechargeAbsoluteKpa: precharge, gasExponent } = input;
  const typical = absoluteKpa(force.workTypicalKpa);
  const [from, to] = [force.workMinKpa, force.workMaxKpa].map((kpa) => Math.max(precharge, absoluteKpa(kpa))) as [number, number];
  const ml = gasMl(force.workTypicalKpa, input);
  const hotFactor = prechargeAt(1, input.gasHotC);
  const swingKpa = (100 * input.floatSwingN) / force.newtonPerBar;
  return {
    prechargeColdKpa: prechargeAt(precharge, input.gasColdC),
    prechargeHotKpa: prechargeAt(precharge, input.gasHotC),
    prechargeMaxKpa: (PRECHARGE_SHARE * absoluteKpa(force.workMinKpa)) / hotFactor,
    gasRatio: absoluteKpa(force.workMaxKpa) / precharge,
    gasTypicalMl: ml,
    gasSpringNPerM: gasSpringNPerM(gasExponent, typical, input.capAreaCm2 * force.leverRatio, ml),
    gasDriftNPerK: (force.newtonPerBar * typical) / 100 / (REFERENCE_C + ZERO_C_K),
    usableIsothermalMl: usableVolume(accumulatorMl, precharge, from, to, 1),
    usableAdiabaticMl: usableVolume(accumulatorMl, precharge, from, to, gasExponent),
    volumeNeededMl: volumeForSwing(floatOilMl(input, force), typical, swingKpa, precharge, gasExponent),
  };
}
