import { REFERENCE_C } from './constants.js';
import type { Given } from './given.js';

/** Temperature coefficient of copper's resistance, 1/K, about 20 °C (the value that ASTM B258 tables are converted with). */
export const COPPER_PER_K = 0.00393;

/** Copper's resistance at a temperature, °C, in the unit of `ohm`, which holds at 20 °C: R·(1 + α·(T − 20)). Source: IEC 60028, α from memory. */
export const copperOhm = (ohm: number, celsius: number): number => ohm * (1 + COPPER_PER_K * (celsius - REFERENCE_C));

/** A coil as it is at some temperature. */
export interface Coil {
  readonly ohm: number;
  readonly mh: number;
}

/** Current, A, after a time, ms, on a steady voltage: i = U/R·(1 − e^(−t·R/L)). Source: first-order circuit, closed form. */
export const currentA = (volts: number, ms: number, { ohm, mh }: Coil): number => (-volts / ohm) * Math.expm1((-ms * ohm) / mh);

/**
 * Time, ms, until a current, A: L/R·ln(1/(1 − i·R/U)); `mostMs` where it takes longer or is never reached. Source: as `currentA`.
 */
export function reachMs(amperes: number, volts: number, { ohm, mh }: Coil, mostMs: number): number {
  const share = (amperes * ohm) / volts;
  return share < 1 ? Math.min(mostMs, (-mh / ohm) * Math.log1p(-share)) : mostMs;
}

/**
 * Energy, mJ, that a coil takes from a steady voltage in a time, ms: U²/R·[t − τ·(1 − e^(−t/τ))], τ = L/R. Source: integral of U·i.
 */
export function energyMj(volts: number, ms: number, { ohm, mh }: Coil): number {
  const tau = mh / ohm;
  return (volts ** 2 / ohm) * (ms + tau * Math.expm1(-ms / tau));
}

/**
 * Heat in the winding in that time, mJ: R·∫i² dt. What the field holds at the end, ½·L·i², comes back as heat once the current is
 * cut, so that all of the energy but the armature's work ends there; this is the part until then. Source: energy balance.
 */
export const windingMj = (volts: number, ms: number, coil: Coil): number =>
  energyMj(volts, ms, coil) - 0.5 * coil.mh * currentA(volts, ms, coil) ** 2;

/** The machine's coil at a temperature, °C. Source: `copperOhm`; inductance is taken as the same at all temperatures. */
export const coilAt = (celsius: number, given: Given): Coil => ({ ohm: copperOhm(given.coilOhm, celsius), mh: given.coilMh });

/** Least time that is reckoned with for pulling, as share of a stroke, where moving leaves none. */
const LEAST_SHARE = 1e-3;

/** Time of a stroke that is left until the coil must pull, ms: stroke less the way to the point of no return; may be negative. */
export const pullByMs = (given: Given): number => given.strokeMs - given.throwRatio * given.moveMs;

/**
 * Lowest steady voltage at the coil at which a stroke is sure, V: the current must pull so early that the armature is past its point
 * of no return when the stroke ends. U = i·R/(1 − e^(−t·R/L)), t = `pullByMs`. Source: `currentA` turned round; the plant's valve.
 */
export function surelyMovesV(celsius: number, given: Given): number {
  const { ohm, mh } = coilAt(celsius, given);
  const ms = Math.max(pullByMs(given), LEAST_SHARE * given.strokeMs);
  return (-given.pullA * ohm) / Math.expm1((-ms * ohm) / mh);
}

/** A stroke at one voltage and coil temperature. */
export interface StrokeSize {
  readonly supplyV: number;
  readonly coilC: number;
  readonly coilOhm: number;
  readonly timeConstantMs: number;
  readonly endA: number;
  /** Until the current pulls; the stroke's own length where it does not. */
  readonly pullMs: number;
  readonly energyMj: number;
  readonly windingMj: number;
  readonly surelyMovesV: number;
}

/** A stroke of the machine's coil at a steady voltage (V, above 0) and a temperature (°C); units as named. Source: as above. */
export function strokeAt(supplyV: number, coilC: number, given: Given): StrokeSize {
  const coil = coilAt(coilC, given);
  return {
    supplyV,
    coilC,
    coilOhm: coil.ohm,
    timeConstantMs: coil.mh / coil.ohm,
    endA: currentA(supplyV, given.strokeMs, coil),
    pullMs: reachMs(given.pullA, supplyV, coil, given.strokeMs),
    energyMj: energyMj(supplyV, given.strokeMs, coil),
    windingMj: windingMj(supplyV, given.strokeMs, coil),
    surelyMovesV: surelyMovesV(coilC, given),
  };
}

/** Strokes over the machine's supply voltages (least, usual, most) and coil temperatures (cold, 20 °C, hot): nine of them. */
export const strokeSizes = (given: Given): StrokeSize[] =>
  [given.supplyLeastV, given.sourceV, given.supplyMostV].flatMap((volts) =>
    [given.coilColdC, REFERENCE_C, given.coilHotC].map((celsius) => strokeAt(volts, celsius, given)),
  );
