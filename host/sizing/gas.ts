import { ZERO_C_K } from '../../shared/physics.js';
import { effectiveBulkMpa } from './bulk-modulus.js';
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
  /** Spring rate of the gas alone at the row, at the typical pressure; 0 without an accumulator. */
  readonly gasSpringNPerM: number;
  /** Change of down force per kelvin of gas temperature with both valves closed: p/T, at the typical pressure and 20 °C. */
  readonly gasDriftNPerK: number;
  /** Oil volume between the lowest and the highest working pressure, for slow and for fast changes. */
  readonly usableIsothermalMl: number;
  readonly usableAdiabaticMl: number;
  /** Oil that the cylinder displaces over the float travel. */
  readonly floatOilMl: number;
  readonly floatMinKpa: number;
  readonly floatMaxKpa: number;
  readonly floatSwingN: number;
  /** Gas volume at precharge that keeps the swing within floatSwingN of the input. */
  readonly volumeNeededMl: number;
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

/** Returns the same for oil alone, V/B_eff, around `kpa` (absolute), not below zero. Source: `effectiveBulkMpa`. */
export function stiffPressures(kpa: number, oilMl: number, input: SizingInput): FloatPressures {
  const bulkKpa = 1000 * effectiveBulkMpa(input.bulkModulusMpa, input.airRatio, kpa - absoluteKpa(0));
  const halfKpa = (bulkKpa * oilMl) / 2 / input.chamberOilMl;
  return { min: Math.max(0, kpa - halfKpa), max: kpa + halfKpa };
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

/** Returns the row's accumulator at work; pressures are absolute. Source: as the functions above. */
export function accumulatorSize(input: SizingInput, force: ForceRange): AccumulatorSize {
  const { accumulatorMl, prechargeAbsoluteKpa: precharge, gasExponent } = input;
  const typical = absoluteKpa(force.workTypicalKpa);
  const [from, to] = [force.workMinKpa, force.workMaxKpa].map((kpa) => Math.max(precharge, absoluteKpa(kpa))) as [number, number];
  const oilMl = (input.capAreaCm2 * force.leverRatio * 2 * input.floatMm) / 10;
  const ml = gasMl(force.workTypicalKpa, input);
  const float = ml > 0 ? floatPressures(typical, ml, oilMl, gasExponent) : stiffPressures(typical, oilMl, input);
  const hotFactor = prechargeAt(1, input.gasHotC);
  const swingKpa = (100 * input.floatSwingN) / force.newtonPerBar;
  return {
    prechargeColdKpa: prechargeAt(precharge, input.gasColdC),
    prechargeHotKpa: prechargeAt(precharge, input.gasHotC),
    prechargeMaxKpa: (PRECHARGE_SHARE * absoluteKpa(force.workMinKpa)) / hotFactor,
    gasTypicalMl: ml,
    gasSpringNPerM: ml > 0 ? gasSpringNPerM(gasExponent, typical, input.capAreaCm2 * force.leverRatio, ml) : 0,
    gasDriftNPerK: ml > 0 ? (force.newtonPerBar * typical) / 100 / (REFERENCE_C + ZERO_C_K) : 0,
    usableIsothermalMl: usableVolume(accumulatorMl, precharge, from, to, 1),
    usableAdiabaticMl: usableVolume(accumulatorMl, precharge, from, to, gasExponent),
    floatOilMl: oilMl,
    floatMinKpa: float.min,
    floatMaxKpa: float.max,
    floatSwingN: (force.newtonPerBar * (float.max - float.min)) / 100,
    volumeNeededMl: volumeForSwing(oilMl, typical, swingKpa, precharge, gasExponent),
  };
}
