import type { Binaries } from '../../simulate/evaluated-run.js';
import { defaultSettings } from '../../simulate/run.js';
import { runMany } from '../../simulate/run-many.js';
import { readScenario } from '../../simulate/scenario.js';
import { DESIGN_METRICS, type Design } from './design.js';
import { gains, SAME_SHARE } from './front.js';

/** Whether a design is better than another in two metrics or more, and worse in none. */
export function beats(one: Design, other: Design): boolean {
  const gained = gains(one.metrics, other.metrics);
  return gained.every((gain) => gain >= 0) && gained.filter((gain) => gain > 0).length >= 2;
}

const sum = (values: readonly number[]): number => values.reduce((total, value) => total + value, 0);

/**
 * Designs of a front that are worth a simulation: of those that beat the present one the best on the whole, the best in each
 * metric, and then those next best on the whole. No more than there are.
 */
export function pickFinalists(front: readonly Design[], present: Design, most: number): Design[] {
  const better = front.filter((one) => beats(one, present)).map((design) => ({ design, gained: gains(design.metrics, present.metrics) }));
  const onTheWhole = [...better].sort((one, other) => sum(other.gained) - sum(one.gained));
  const bestIn = DESIGN_METRICS.flatMap((_, index) => {
    const [best] = [...onTheWhole].sort((one, other) => (other.gained[index] ?? 0) - (one.gained[index] ?? 0));
    return best === undefined ? [] : [best];
  });
  const inOrder = [...onTheWhole.slice(0, 1), ...bestIn, ...onTheWhole].map(({ design }) => design);
  return [...new Set(inOrder)].slice(0, most);
}

/** What a simulation tells of a design: the machine's draw, and what comes of it in the soil. */
export const SIMULATED = [
  { name: 'coilTotalW', worse: 'more' },
  { name: 'hydraulicW', worse: 'more' },
  { name: 'loadRmsN', worse: 'more' },
  { name: 'inBandPercent', worse: 'less' },
  { name: 'liftOffPercent', worse: 'more' },
] as const;

/** Means over the seeds, by name. */
export type SimulatedMetrics = Readonly<Record<(typeof SIMULATED)[number]['name'], number>>;

/**
 * Runs a machine on a scenario with some seeds.
 * @param machine its file
 * @throws InputError where machine and scenario do not go together
 * @throws Error where the controller stops
 */
export async function simulateDesign(binaries: Binaries, scenarioName: string, machine: string, seeds: number): Promise<SimulatedMetrics> {
  const scenario = readScenario(scenarioName, binaries.controller.description.contract, machine);
  const first = defaultSettings(scenario);
  const choices = Array.from({ length: seeds }, (_, index) => ({ ...first, seed: first.seed + index }));
  const runs = await runMany({ ...binaries, scenario: scenario.file, machine }, choices);
  const trap = runs.find((run) => run.trap !== undefined)?.trap;
  if (trap !== undefined) throw new Error(`the controller stops in tick ${trap.tick}: ${trap.message}`);
  const mean = (of: (run: (typeof runs)[number]) => number): number => sum(runs.map(of)) / seeds;
  return {
    coilTotalW: mean(({ metrics }) => metrics.bank.coilTotalW),
    hydraulicW: mean(({ metrics }) => metrics.bank.hydraulicW),
    loadRmsN: mean(({ metrics }) => metrics.over.loadRmsN.mean),
    inBandPercent: mean(({ metrics }) => metrics.over.inBandPercent.mean),
    liftOffPercent: mean(({ metrics }) => metrics.over.liftOffPercent.mean),
  };
}

/** By which share each simulated metric is better than another machine's; below 0 it is worse. */
export const simulatedGains = (one: SimulatedMetrics, other: SimulatedMetrics): number[] =>
  SIMULATED.map(({ name, worse }) => {
    const change = (one[name] - other[name]) / Math.max(Math.abs(other[name]), Number.MIN_VALUE);
    return worse === 'more' ? -change : change;
  });

/** Whether simulation says so too: two metrics better, none worse, by more than counts as the same. */
export function isConfirmed(one: SimulatedMetrics, other: SimulatedMetrics): boolean {
  const gained = simulatedGains(one, other);
  return gained.every((gain) => gain >= -SAME_SHARE) && gained.filter((gain) => gain > SAME_SHARE).length >= 2;
}
