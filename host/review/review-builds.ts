import type { UnitName } from '../../shared/units.js';
import { formatF32 } from '../common/format-f32.js';
import { hashFile } from '../common/hash.js';
import { InputError } from '../common/input-error.js';
import { toolVersion } from '../common/version.js';
import type { Contract, ParameterValues } from '../contract/contract.js';
import { identifyRun, type RunIdentity } from '../contract/run-identity.js';
import { changedStrokes } from '../replay/strokes.js';
import { countVerdicts, VERDICTS } from '../replay/verdict.js';
import type { RunSettings } from '../simulate/run.js';
import type { Scenario } from '../simulate/scenario.js';
import type { VectorCase } from '../vector/vector.js';
import { type Build, identifyBuild } from './builds.js';
import { closedLoopPair } from './closed-loop-pair.js';
import { contractChanges } from './contract-changes.js';
import type { Locate } from './locate.js';
import type { BuildFacts, ParameterDifference, Review, RunReview } from './review.js';
import { type RunToReview, reviewRun } from './review-run.js';
import { recordedPair, type SideConfig } from './run-pair.js';

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

const contractOf = ({ build }: ReviewSide): Contract => build.controller.description.contract;

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

/** A vector as a run to review. */
export function vectorRun(vector: VectorCase, sides: Sides): RunToReview {
  return {
    name: vector.name,
    title: vector.title,
    kind: 'vector',
    ranWith: identifySides(sides, vector.values),
    inputHash: hashFile(vector.inputFile, 'recording'),
    notes: unknownNotes(sides, vector.values),
    start: () => recordedPair(vector, configOf(sides.base, vector.values), configOf(sides.head, vector.values)),
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

interface ParameterText {
  readonly unit: UnitName;
  readonly text: string;
}

/** Every parameter of a side with the text of its value in a run. */
function parametersOf(side: ReviewSide, values: ParameterValues): Map<string, ParameterText> {
  const given = configOf(side, values).values;
  return new Map(
    contractOf(side).parameters.map(({ name, unit, choices, default: defaultValue }) => {
      const value = given[name] ?? defaultValue;
      return [name, { unit, text: choices?.[value] ?? formatF32(Math.fround(value)) }];
    }),
  );
}

/** Parameters with different values on the two sides, and the runs in which they differ. */
export function parameterDifferences(
  sides: Sides,
  runs: readonly { readonly name: string; readonly values: ParameterValues }[],
): ParameterDifference[] {
  const found = new Map<string, { difference: Omit<ParameterDifference, 'runs'>; runs: string[] }>();
  for (const { name: run, values } of runs) {
    const base = parametersOf(sides.base, values);
    const head = parametersOf(sides.head, values);
    for (const name of new Set([...base.keys(), ...head.keys()])) {
      const [before, after] = [base.get(name), head.get(name)];
      if (before?.text === after?.text) continue;
      const difference = { name, unit: (after ?? before)?.unit ?? 'none', base: before?.text ?? '–', head: after?.text ?? '–' } as const;
      const key = JSON.stringify(difference);
      const known = found.get(key) ?? { difference, runs: [] };
      known.runs.push(run);
      found.set(key, known);
    }
  }
  return [...found.values()].map((one) => ({ ...one.difference, runs: one.runs.length === runs.length ? [] : one.runs }));
}

function factsOf({ build, parameters }: ReviewSide): BuildFacts {
  return {
    ...identifyBuild(build),
    parameters: parameters === undefined ? undefined : { file: parameters.file, hash: hashFile(parameters.file, 'yaml') },
  };
}

/** Sort key for the worst run first: verdict, number of changed strokes, worst metric. */
const rankOf = ({ verdict, strokes, metrics }: RunReview): readonly number[] => [
  VERDICTS.indexOf(verdict),
  -changedStrokes(strokes),
  -(metrics[0]?.worseBy ?? 0),
];

const compareRanks = (a: RunReview, b: RunReview): number => {
  const other = rankOf(b);
  return rankOf(a).reduce((order, rank, index) => order || rank - (other[index] ?? 0), 0) || (a.name < b.name ? -1 : 1);
};

/** Combines the reviews of runs. */
export const assembleReview = (sides: Sides, runs: readonly RunReview[], parameters: readonly ParameterDifference[]): Review => ({
  base: factsOf(sides.base),
  head: factsOf(sides.head),
  tool: toolVersion(),
  contract: contractChanges(contractOf(sides.base), contractOf(sides.head)),
  parameters,
  counts: countVerdicts(runs),
  runs: [...runs].sort(compareRanks),
});

/** What to run on both sides. */
export interface ReviewInputs {
  readonly vectors: readonly VectorCase[];
  readonly scenarios?: readonly { readonly scenario: Scenario; readonly choice: RunSettings }[] | undefined;
  /** Needed for scenarios. */
  readonly plant?: WebAssembly.Module | undefined;
}

/** @throws InputError if both sides refuse every run: then the runs are wrong, and not a build */
function checkRefusals(runs: readonly RunReview[]): void {
  const [first] = runs;
  if (first === undefined || runs.some(({ refused }) => refused?.base === undefined || refused.head === undefined)) return;
  const problem = `both sides refuse the run: base ${first.refused?.base}, head ${first.refused?.head}`;
  throw new InputError({ file: first.name, problem });
}

/**
 * Compares two builds on vectors, and on scenarios in a closed loop.
 * @param onRun called before each run
 * @throws InputError if a recording is damaged, or both sides refuse every run
 */
export async function reviewBuilds(
  sides: Sides,
  { vectors, scenarios = [], plant }: ReviewInputs,
  locate: Locate,
  onRun: (name: string, index: number) => void = () => {},
): Promise<Review> {
  const recorded = vectors.map((vector) => ({ values: vector.values, run: vectorRun(vector, sides) }));
  const simulated = scenarios.map(({ scenario, choice }) => {
    if (plant === undefined) throw new Error('scenarios need a plant');
    return { values: choice.parameters, run: scenarioRun(scenario, plant, choice, sides) };
  });
  const all = [...recorded, ...simulated];
  const reviews: RunReview[] = [];
  for (const [index, { run }] of all.entries()) {
    onRun(run.name, index);
    reviews.push(await reviewRun(run, locate));
  }
  checkRefusals(reviews);
  const runs = all.map(({ values, run }) => ({ name: run.name, values }));
  return assembleReview(sides, reviews, parameterDifferences(sides, runs));
}
