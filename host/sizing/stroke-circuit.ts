import type { Coil } from './coil.js';

/** Wire from the bank, or from the stretch before, to driven coils at its end; resistance of both conductors. */
export interface Stretch {
  readonly ohm: number;
  readonly coils: number;
}

/** A chain of stretches, the first one at the bank. Branches are in parallel. */
export type Branch = readonly Stretch[];

/** What feeds the branches: a voltage behind a resistance, which also feeds a constant power; with `farad`, a charged capacitor. */
export interface Feed {
  readonly volts: number;
  readonly ohm: number;
  readonly watt: number;
  readonly farad: number;
}

/** Voltages and currents at the end of a stroke. */
export interface StrokeEnd {
  /** Voltage at the bank. */
  readonly feedV: number;
  /** Voltage of the source without its resistance; falls only if it is a capacitor. */
  readonly storedV: number;
  /** Current of all coils. */
  readonly coilsA: number;
  /** Current of the coils at the end of each stretch, by branch. */
  readonly stretchA: readonly (readonly number[])[];
}

/**
 * Returns the voltage at the bank, V: a source with a series resistance feeds a constant power (W) and a conductance (S). The larger root
 * of (1 + R·G)·U² − U0·U + R·P = 0; 0 if the source cannot supply them. Source: Kirchhoff's laws.
 */
export function bankV(sourceV: number, ohm: number, watt: number, siemens: number): number {
  const a = 1 + ohm * siemens;
  const root = sourceV ** 2 - 4 * a * ohm * watt;
  return root < 0 || sourceV < 0 ? 0 : (sourceV + Math.sqrt(root)) / (2 * a);
}

/** Steps of a stroke. The error falls with their square; with 50 it is below 0.01 % in the ladder of `sizing-coil.test.ts`. */
const STEPS = 50;

/** A stretch during a stroke: state of one of its coils, and what it draws from the end of its wire, G·U + J. */
interface Node extends Stretch {
  coilA: number;
  volts: number;
  siemens: number;
  amperes: number;
}

/** Share of a coil's next current in its current, and in its voltage before and after the step. */
interface StepGains {
  readonly current: number;
  readonly before: number;
  readonly after: number;
}

/**
 * Returns the exact response of a coil to a voltage that changes linearly within a step (first-order hold), which is stable for any step:
 * i' = i·e + (q − e)/R·u + (1 − q)/R·u', e = exp(−x), q = (1 − e)/x, x = h·R/L. Source: di/dt = (u − R·i)/L, closed form.
 */
function stepGains({ ohm, mh }: Coil, ms: number): StepGains {
  const x = (ms * ohm) / mh;
  const [e, q] = [Math.exp(-x), -Math.expm1(-x) / x];
  return { current: e, before: (q - e) / ohm, after: (1 - q) / ohm };
}

/** Reduces a branch from its far end to what the bank sees: G and J of I = G·U + J. Source: Thévenin's theorem. */
function reduce(branch: readonly Node[], gains: StepGains): { siemens: number; amperes: number } {
  let [siemens, amperes] = [0, 0];
  for (let index = branch.length - 1; index >= 0; index--) {
    const node = branch[index] as Node;
    node.siemens = siemens + node.coils * gains.after;
    node.amperes = amperes + node.coils * (gains.current * node.coilA + gains.before * node.volts);
    siemens = node.siemens / (1 + node.ohm * node.siemens);
    amperes = node.amperes / (1 + node.ohm * node.siemens);
  }
  return { siemens, amperes };
}

/** Steps all coils of a branch with `feedV` at the bank at the end of the step. */
function substitute(branch: readonly Node[], gains: StepGains, feedV: number): void {
  let volts = feedV;
  for (const node of branch) {
    volts = (volts - node.ohm * node.amperes) / (1 + node.ohm * node.siemens);
    node.coilA = gains.current * node.coilA + gains.before * node.volts + gains.after * volts;
    node.volts = volts;
  }
}

/**
 * Returns the end of a stroke that all coils of the branches start together: a ladder of wires, resistive, with coils of R and L at its
 * nodes. Currents lag behind the voltage that they reduce, so the end is lower than with coils as plain conductances.
 * Source: Kirchhoff's laws, `stepGains`; the capacitor by the trapezoidal rule.
 */
export function strokeEnd(branches: readonly Branch[], feed: Feed, coil: Coil, strokeMs: number): StrokeEnd {
  const stepMs = strokeMs / STEPS;
  const gains = stepGains(coil, stepMs);
  const dropOhm = stepMs / 2000 / feed.farad;
  const ohm = feed.ohm + dropOhm;
  let [storedV, coilsA, feedV] = [feed.volts, 0, bankV(feed.volts, feed.ohm, feed.watt, 0)];
  const nodes = branches.map((branch) => branch.map((one): Node => ({ ...one, coilA: 0, volts: feedV, siemens: 0, amperes: 0 })));
  for (let step = 0; step < STEPS; step++) {
    let [siemens, amperes] = [0, 0];
    for (const branch of nodes) {
      const seen = reduce(branch, gains);
      siemens += seen.siemens;
      amperes += seen.amperes;
    }
    feedV = bankV(storedV - dropOhm * coilsA - ohm * amperes, ohm, feed.watt, siemens);
    for (const branch of nodes) substitute(branch, gains, feedV);
    const nextA = siemens * feedV + amperes;
    storedV = Math.max(0, storedV - dropOhm * (coilsA + nextA));
    coilsA = nextA;
  }
  return { feedV, storedV, coilsA, stretchA: nodes.map((branch) => branch.map(({ coils, coilA }) => coils * coilA)) };
}
