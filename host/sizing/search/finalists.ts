import type { Binaries } from '../../simulate/judged-run.js';
import { runMany } from '../../simulate/many.js';
import { usualChoice } from '../../simulate/run.js';
import { readScenario } from '../../simulate/scenario.js';
import { DESIGN_FIGURES, type Design } from './design.js';
import { gains, SAME_SHARE } from './front.js';

/** Whether a design is better than another in two figures or more, and worse in none. */
export function beats(one: Design, other: Design): boolean {
  const gained = gains(one.figures, other.figures);
  return gained.every((gain) => gain >= 0) && gained.filter((gain) => gain > 0).length >= 2;
}

const sum = (values: readonly number[]): number => values.reduce((total, value) => total + value, 0);

/**
 * Designs of a front that are worth a simulation: of those that beat the present one the best on the whole, the best in each
 * figure, and then those next best on the whole. No more than there are.
 */
export function pickFinalists(front: readonly Design[], present: Design, most: number): Design[] {
  const better = front.filter((one) => beats(one, present)).map((design) => ({ design, gained: gains(design.figures, present.figures) }));
  const onTheWhole = [...better].sort((one, other) => sum(other.gained) - sum(one.gained));
  const bestIn = DESIGN_FIGURES.flatMap((_, index) => {
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
export type SimulatedFigures = Readonly<Record<(typeof SIMULATED)[number]['name'], number>>;

/**
 * Runs a machine on a scenario with some seeds.
 * @param machine its file
 * @throws InputError where machine and scenario do not go together
 * @throws Error where the controller stops
 */
export async function simulateDesign(binaries: Binaries, scenarioName: string, machine: string, seeds: number): Promise<SimulatedFigures> {
  const scenario = readScenario(scenarioName, binaries.controller.description.contract, machine);
  const first = usualChoice(scenario);
  const choices = Array.from({ length: seeds }, (_, index) => ({ ...first, seed: first.seed + index }));
  const runs = await runMany({ ...binaries, scenario: scenario.file, machine }, choices);
  const trap = runs.find((run) => run.trap !== undefined)?.trap;
  if (trap !== undefined) throw new Error(`the controller stops in tick ${trap.tick}: ${trap.message}`);
  const mean = (of: (run: (typeof runs)[number]) => number): number => sum(runs.map(of)) / seeds;
  return {
    coilTotalW: mean(({ figures }) => figures.bank.coilTotalW),
    hydraulicW: mean(({ figures }) => figures.bank.hydraulicW),
    loadRmsN: mean(({ figures }) => figures.over.loadRmsN.mean),
    inBandPercent: mean(({ figures }) => figures.over.inBandPercent.mean),
    liftOffPercent: mean(({ figures }) => figures.over.liftOffPercent.mean),
  };
}

/** By which share each simulated figure is better than another machine's; below 0 it is worse. */
export const simulatedGains = (one: SimulatedFigures, other: SimulatedFigures): number[] =>
  SIMULATED.map(({ name, worse }) => {
    const change = (one[name] - other[name]) / Math.max(Math.abs(other[name]), Number.MIN_VALUE);
    return worse === 'more' ? -change : change;
  });

/** Whether simulation says so too: two figures better, none worse, by more than counts as the same. */
export function isConfirmed(one: SimulatedFigures, other: SimulatedFigures): boolean {
  const gained = simulatedGains(one, other);
  return gained.every((gain) => gain >= -SAME_SHARE) && gained.filter((gain) => gain > SAME_SHARE).length >= 2;
}
