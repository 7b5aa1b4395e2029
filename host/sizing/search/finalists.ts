import { InputError } from '../../common/input-error.js';
import type { Binaries } from '../../simulate/evaluated-run.js';
import { defaultSettings } from '../../simulate/run.js';
import { runMany } from '../../simulate/run-many.js';
import { readScenarioWith } from '../../simulate/scenario.js';
import { type Design, OBJECTIVES } from './design.js';
import { EQUAL_RATIO, gains } from './front.js';

/**
 * Whether a design is better than another in at least two objectives and worse in none. It may cost more if fewer checks fail: the
 * price of a machine that does not meet its requirements is no reference.
 */
export function beats(one: Design, other: Design): boolean {
  const gained = gains(one.objectives, other.objectives);
  const isFixing = one.objectives.failingChecks < other.objectives.failingChecks;
  const isNowhereWorse = OBJECTIVES.every((name, index) => (gained[index] ?? 0) >= 0 || (isFixing && name === 'cost'));
  return isNowhereWorse && gained.filter((gain) => gain > 0).length >= 2;
}

const sum = (values: readonly number[]): number => values.reduce((total, value) => total + value, 0);

/**
 * Returns at most `max` designs of a front to simulate, out of those that beat the baseline: the best overall, the best in each
 * objective, then the next best overall.
 */
export function pickFinalists(front: readonly Design[], baseline: Design, max: number): Design[] {
  const better = front
    .filter((one) => beats(one, baseline))
    .map((design) => ({ design, gained: gains(design.objectives, baseline.objectives) }));
  const byTotal = [...better].sort((one, other) => sum(other.gained) - sum(one.gained));
  const bestIn = OBJECTIVES.flatMap((_, index) => {
    const [best] = [...byTotal].sort((one, other) => (other.gained[index] ?? 0) - (one.gained[index] ?? 0));
    return best === undefined ? [] : [best];
  });
  const inOrder = [...byTotal.slice(0, 1), ...bestIn, ...byTotal].map(({ design }) => design);
  return [...new Set(inOrder)].slice(0, max);
}

/** Metrics that a simulation compares: power drawn by the machine, and load quality in the soil. */
export const SIMULATED = [
  { name: 'coilTotalW', better: 'less' },
  { name: 'hydraulicW', better: 'less' },
  { name: 'loadRmsN', better: 'less' },
  { name: 'inBandPercent', better: 'more' },
  { name: 'liftOffPercent', better: 'less' },
] as const;

export type SimulatedName = (typeof SIMULATED)[number]['name'];

/** Means over the seeds, by name. */
export type SimulatedMetrics = Readonly<Record<SimulatedName, number>>;

/**
 * Simulates a machine on a scenario with several seeds.
 * @param scenarioFile of the scenario
 * @param machine its file
 * @throws InputError if machine and scenario are inconsistent, or the controller stops
 */
export async function simulateDesign(binaries: Binaries, scenarioFile: string, machine: string, seeds: number): Promise<SimulatedMetrics> {
  const scenario = readScenarioWith(scenarioFile, machine, binaries.controller.description.contract);
  const first = defaultSettings(scenario);
  const choices = Array.from({ length: seeds }, (_, index) => ({ ...first, seed: first.seed + index }));
  const runs = await runMany({ ...binaries, scenario: scenario.file, machine }, choices);
  const trap = runs.find((run) => run.trap !== undefined)?.trap;
  if (trap !== undefined) throw new InputError({ file: machine, problem: `the controller stopped at tick ${trap.tick}: ${trap.message}` });
  const mean = (of: (run: (typeof runs)[number]) => number): number => sum(runs.map(of)) / seeds;
  return {
    coilTotalW: mean(({ metrics }) => metrics.bank.coilTotalW),
    hydraulicW: mean(({ metrics }) => metrics.bank.hydraulicW),
    loadRmsN: mean(({ metrics }) => metrics.over.loadRmsN.mean),
    inBandPercent: mean(({ metrics }) => metrics.over.inBandPercent.mean),
    liftOffPercent: mean(({ metrics }) => metrics.over.liftOffPercent.mean),
  };
}

/** Returns by what ratio each metric is better than that of another machine; negative if worse. */
export const simulatedGains = (one: SimulatedMetrics, other: SimulatedMetrics): number[] =>
  SIMULATED.map(({ name, better }) => {
    const change = (one[name] - other[name]) / Math.max(Math.abs(other[name]), Number.MIN_VALUE);
    return better === 'less' ? -change : change;
  });

/** What simulation says about a design. */
export interface Confirmation {
  /** Metrics that got worse by more than EQUAL_RATIO. */
  readonly worse: readonly SimulatedName[];
  /** Metrics that got better by more than EQUAL_RATIO. */
  readonly better: readonly SimulatedName[];
  /** None is worse, and two are better, where fixed checks count as one. */
  readonly isConfirmed: boolean;
}

/**
 * Judges a simulated design.
 * @param gained of `simulatedGains`
 * @param isFixing whether it fails fewer design checks than the baseline
 */
export function confirm(gained: readonly number[], isFixing: boolean): Confirmation {
  const named = (holds: (gain: number) => boolean): SimulatedName[] =>
    SIMULATED.filter((_, index) => holds(gained[index] ?? 0)).map(({ name }) => name);
  const [worse, better] = [named((gain) => gain < -EQUAL_RATIO), named((gain) => gain > EQUAL_RATIO)];
  return { worse, better, isConfirmed: worse.length === 0 && better.length + (isFixing ? 1 : 0) >= 2 };
}
