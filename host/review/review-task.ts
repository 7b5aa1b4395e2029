import { hashFile } from '../common/hash.js';
import type { Contract, ParameterValues } from '../contract/contract.js';
import { identifyRun, type RunIdentity } from '../contract/run-identity.js';
import type { RunSettings } from '../simulate/run.js';
import { readScenarioWith, type Scenario } from '../simulate/scenario.js';
import type { VectorCase } from '../vector/vector.js';
import type { Build } from './builds.js';
import { closedLoopPair } from './closed-loop-pair.js';
import type { Probes } from './coverage/shadow.js';
import type { Locate } from './locate.js';
import type { RunReview } from './review.js';
import { type Depth, type ReviewedRun, type RunToReview, reviewRun } from './review-run.js';
import { recordedPair, type SideConfig } from './run-pair.js';
import { acceptanceOf } from './vector-changes.js';

/** A side as the user chose it. */
export interface ReviewSide {
  readonly build: Build;
  /** Parameters that override those of each run. */
  readonly parameters?: { readonly file: string; readonly values: ParameterValues } | undefined;
}

export interface Sides {
  readonly base: ReviewSide;
  readonly head: ReviewSide;
}

export const contractOf = ({ build }: ReviewSide): Contract => build.controller.description.contract;

/** Configuration of a side for a run: the parameters of the run and of the side's file, as far as the build knows them. */
export function configOf(side: ReviewSide, values: ParameterValues): SideConfig {
  const known = new Set(contractOf(side).parameters.map(({ name }) => name));
  const all = { ...values, ...side.parameters?.values };
  return { controller: side.build.controller, values: Object.fromEntries(Object.entries(all).filter(([name]) => known.has(name))) };
}

/** Notes on parameters that a run sets and a side does not know. */
function unknownNotes(sides: Sides, values: ParameterValues): string[] {
  return (['base', 'head'] as const).flatMap((side) => {
    const known = contractOf(sides[side]).parameters.map(({ name }) => name);
    return Object.keys(values)
      .filter((name) => !known.includes(name))
      .map((name) => `${side} has no parameter ${name}`);
  });
}

/** What each side runs with. */
function identifySides(sides: Sides, values: ParameterValues, seed?: number): RunReview['ranWith'] {
  const identify = (side: ReviewSide): RunIdentity => identifyRun(contractOf(side), configOf(side, values).values, { seed });
  return { base: identify(sides.base), head: identify(sides.head) };
}

/** Configurations of both sides; the same object if binary and parameters are the same, since they compute the same. */
function configsOf({ base, head }: Sides, values: ParameterValues): [base: SideConfig, head: SideConfig] {
  const [ofBase, ofHead] = [configOf(base, values), configOf(head, values)];
  const isSameBuild = base.build.binaryHash === head.build.binaryHash && contractOf(base) === contractOf(head);
  const isOne = isSameBuild && JSON.stringify(ofBase.values) === JSON.stringify(ofHead.values);
  return [ofBase, isOne ? ofBase : ofHead];
}

/** A vector as a run to review. */
export function vectorRun(vector: VectorCase, sides: Sides): RunToReview {
  return {
    name: vector.name,
    title: vector.title,
    kind: 'vector',
    ranWith: identifySides(sides, vector.values),
    inputHash: hashFile(vector.inputFile, 'recording'),
    notes: unknownNotes(sides, vector.values),
    start: () => recordedPair(vector, ...configsOf(sides, vector.values)),
  };
}

/** A scenario as a run to review, each side in a closed loop. */
export function scenarioRun(scenario: Scenario, plant: WebAssembly.Module, run: RunSettings, sides: Sides): RunToReview {
  const { parameters } = run;
  return {
    name: scenario.name,
    title: scenario.title,
    kind: 'scenario',
    seed: run.seed,
    ranWith: identifySides(sides, parameters, run.seed),
    inputHash: hashFile(scenario.file, 'yaml'),
    notes: unknownNotes(sides, parameters),
    start: () => closedLoopPair(scenario, plant, run, configOf(sides.base, parameters), configOf(sides.head, parameters)),
  };
}

/** What to run, as plain data that can be sent to workers. */
export type RunPlan =
  | {
      readonly kind: 'vector';
      readonly vector: VectorCase;
      /** The vector whose accepted outputs head should compute; null if there is none, undefined if that is not asked. */
      readonly accepted?: VectorCase | null | undefined;
    }
  | {
      readonly kind: 'scenario';
      readonly file: string;
      readonly machineFile: string;
      readonly settings: RunSettings;
      readonly plant: WebAssembly.Module;
    };

/** A run of two builds. */
export interface ReviewTask {
  readonly plan: RunPlan;
  readonly sides: Sides;
  readonly depth: Depth;
  /** Last tick to run; by default all. */
  readonly toTick?: number | undefined;
  /** Builds that tell what the run reaches. */
  readonly probes?: Probes | undefined;
}

/** Runs both builds of a task. @throws InputError if a recording or a scenario is damaged */
export async function reviewTask({ plan, sides, depth, toTick, probes }: ReviewTask, locate: Locate): Promise<ReviewedRun> {
  if (plan.kind === 'scenario') {
    const scenario = readScenarioWith(plan.file, plan.machineFile);
    return reviewRun({ ...scenarioRun(scenario, plan.plant, plan.settings, sides), probes }, locate, depth, toTick);
  }
  const review = await reviewRun({ ...vectorRun(plan.vector, sides), probes }, locate, depth, toTick);
  const { accepted } = plan;
  if (depth !== 'shown' || review.verdict === 'same' || accepted === undefined) return review;
  return { ...review, acceptance: accepted === null ? null : acceptanceOf(sides.head.build.controller, accepted) };
}
