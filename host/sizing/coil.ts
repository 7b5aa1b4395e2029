import { REFERENCE_C } from './constants.js';
import type { SizingInput } from './sizing-input.js';

/** Temperature coefficient of copper's resistance at about 20 °C, 1/K (the value used to convert ASTM B258 tables). */
export const COPPER_PER_K = 0.00393;

/** Returns copper's resistance at a temperature (°C), in the unit of `ohm`, which applies at 20 °C: R·(1 + α·(T − 20)). Source: IEC 60028, α from memory. */
export const copperOhm = (ohm: number, celsius: number): number => ohm * (1 + COPPER_PER_K * (celsius - REFERENCE_C));

/** A coil at one temperature. */
export interface Coil {
  readonly ohm: number;
  readonly mh: number;
}

/** Returns the current, A, after a time (ms) at constant voltage: i = U/R·(1 − e^(−t·R/L)). Source: first-order circuit, closed form. */
export const currentA = (volts: number, ms: number, { ohm, mh }: Coil): number => (-volts / ohm) * Math.expm1((-ms * ohm) / mh);

/**
 * Returns the time, ms, to reach a current (A): L/R·ln(1/(1 − i·R/U)), or `maxMs` if that is sooner or the current is never reached.
 * Source: as `currentA`.
 */
export function reachMs(amperes: number, volts: number, { ohm, mh }: Coil, maxMs: number): number {
  const share = (amperes * ohm) / volts;
  return share < 1 ? Math.min(maxMs, (-mh / ohm) * Math.log1p(-share)) : maxMs;
}

/**
 * Returns the energy, mJ, that a coil draws at constant voltage in a time (ms): U²/R·[t − τ·(1 − e^(−t/τ))], τ = L/R.
 * Source: integral of U·i.
 */
export function energyMj(volts: number, ms: number, { ohm, mh }: Coil): number {
  const tau = mh / ohm;
  return (volts ** 2 / ohm) * (ms + tau * Math.expm1(-ms / tau));
}

/**
 * Returns the heat in the winding in that time, mJ: R·∫i² dt. The energy in the field at the end, ½·L·i², becomes heat after the current
 * is cut, so all energy except the armature's work ends in the winding; this is the part up to then. Source: energy balance.
 */
export const windingMj = (volts: number, ms: number, coil: Coil): number =>
  energyMj(volts, ms, coil) - 0.5 * coil.mh * currentA(volts, ms, coil) ** 2;

/** Returns the machine's coil at a temperature (°C). Inductance is assumed not to vary with temperature. Source: `copperOhm`. */
export const coilAt = (celsius: number, input: SizingInput): Coil => ({ ohm: copperOhm(input.coilOhm, celsius), mh: input.coilMh });

/** Shortest pull-in time that is calculated with, as a share of the stroke, if the armature leaves none. */
const PULL_IN_SHARE_MIN = 1e-3;

/** Returns the time, ms, by which the coil must pull in: stroke less travel to the point of no return. May be negative. */
export const pullInTimeMs = (input: SizingInput): number => input.strokeMs - input.throwRatio * input.moveMs;

/**
 * Returns the pull-in voltage, V: the lowest constant coil voltage at which a stroke always moves its valve. The current must pull in
 * early enough for the armature to pass its point of no return before the stroke ends: U = i·R/(1 − e^(−t·R/L)), t = `pullInTimeMs`.
 * Source: `currentA` solved for the voltage; the plant's valve.
 */
export function pullInV(celsius: number, input: SizingInput): number {
  const { ohm, mh } = coilAt(celsius, input);
  const ms = Math.max(pullInTimeMs(input), PULL_IN_SHARE_MIN * input.strokeMs);
  return (-input.pullA * ohm) / Math.expm1((-ms * ohm) / mh);
}

/** A stroke at one voltage and coil temperature. */
export interface StrokeSize {
  readonly supplyV: number;
  readonly coilC: number;
  readonly coilOhm: number;
  readonly timeConstantMs: number;
  readonly endA: number;
  /** Time to reach the pull-in current; the length of the stroke if it does not. */
  readonly pullInMs: number;
  readonly energyMj: number;
  readonly windingMj: number;
  readonly pullInV: number;
}

/** Returns a stroke of the machine's coil at a constant voltage (V, above 0) and a temperature (°C). Source: as the functions above. */
export function strokeAt(supplyV: number, coilC: number, input: SizingInput): StrokeSize {
  const coil = coilAt(coilC, input);
  return {
    supplyV,
    coilC,
    coilOhm: coil.ohm,
    timeConstantMs: coil.mh / coil.ohm,
    endA: currentA(supplyV, input.strokeMs, coil),
    pullInMs: reachMs(input.pullA, supplyV, coil, input.strokeMs),
    energyMj: energyMj(supplyV, input.strokeMs, coil),
    windingMj: windingMj(supplyV, input.strokeMs, coil),
    pullInV: pullInV(coilC, input),
  };
}

/** Returns strokes at three supply voltages (lowest, nominal, highest), each with the coil cold, at 20 °C and hot: nine in total. */
export const strokeSizes = (input: SizingInput): StrokeSize[] =>
  [input.supplyMinV, input.sourceV, input.supplyMaxV].flatMap((volts) =>
    [input.coilColdC, REFERENCE_C, input.coilHotC].map((celsius) => strokeAt(volts, celsius, input)),
  );
