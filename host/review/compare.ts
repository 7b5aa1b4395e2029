import { readFileSync } from 'node:fs';
import type { UnitName } from '../../shared/units.js';
import { formatF32 } from '../common/format-f32.js';
import { hashFile, sha256 } from '../common/hash.js';
import { InputError } from '../common/input-error.js';
import { toolVersion } from '../common/version.js';
import type { Contract, ParameterValues } from '../contract/contract.js';
import type { RunSettings } from '../simulate/run.js';
import type { Scenario } from '../simulate/scenario.js';
import type { VectorCase } from '../vector/vector.js';
import type { Build } from './builds.js';
import { contractChanges } from './contract-changes.js';
import { driveByRecording, type SideChoice } from './drive.js';
import { driveByScenario } from './drive-scenario.js';
import type { Locate } from './locate.js';
import type { BuildFacts, ParameterDifference, Review, ReviewVerdict, RunReview } from './review.js';
import { type RunToReview, reviewRun } from './review-run.js';

/** A side as a person chose it. */
export interface ReviewSide {
  readonly build: Build;
  /** Parameters in force over each run's own. */
  readonly parameters?: { readonly file: string; readonly values: ParameterValues } | undefined;
}

export interface Sides {
  readonly old: ReviewSide;
  readonly new: ReviewSide;
}

const contractOf = ({ build }: ReviewSide): Contract => build.controller.description.contract;

/** What a side is configured with: the run's parameters that it knows, and those of its file. */
export function choiceOf(side: ReviewSide, values: ParameterValues): SideChoice {
  const known = new Set(contractOf(side).parameters.map(({ name }) => name));
  const all = { ...values, ...side.parameters?.values };
  return { controller: side.build.controller, values: Object.fromEntries(Object.entries(all).filter(([name]) => known.has(name))) };
}

/** Parameters that a run sets and a side does not know. */
function unknownNotes(sides: Sides, values: ParameterValues): string[] {
  return (['old', 'new'] as const).flatMap((side) => {
    const known = contractOf(sides[side]).parameters.map(({ name }) => name);
    return Object.keys(values)
      .filter((name) => !known.includes(name))
      .map((name) => `parameter ${name} is unknown to ${side}`);
  });
}

/** A vector as a run to review. */
export function vectorRun(one: VectorCase, sides: Sides): RunToReview {
  return {
    name: one.name,
    title: one.title,
    kind: 'vector',
    inputHash: hashFile(one.inputFile),
    notes: unknownNotes(sides, one.values),
    start: () => driveByRecording(one, choiceOf(sides.old, one.values), choiceOf(sides.new, one.values)),
  };
}

/** A scenario as a run to review: each side in a closed loop. */
export function scenarioRun(scenario: Scenario, plant: WebAssembly.Module, run: RunSettings, sides: Sides): RunToReview {
  const { parameters } = run;
  return {
    name: scenario.name,
    title: scenario.title,
    kind: 'scenario',
    seed: run.seed,
    inputHash: hashFile(scenario.file),
    notes: unknownNotes(sides, parameters),
    start: () => driveByScenario(scenario, plant, run, choiceOf(sides.old, parameters), choiceOf(sides.new, parameters)),
  };
}

interface InForce {
  readonly unit: UnitName;
  readonly text: string;
}

/** Every parameter of a side with the text of its value in a run. */
function parametersInForce(side: ReviewSide, values: ParameterValues): Map<string, InForce> {
  const given = choiceOf(side, values).values;
  return new Map(
    contractOf(side).parameters.map(({ name, unit, choices, default: usual }) => {
      const value = given[name] ?? usual;
      return [name, { unit, text: choices?.[value] ?? formatF32(Math.fround(value)) }];
    }),
  );
}

/** Parameters that are not the same on both sides, with the runs that they differ in. */
export function parameterDifferences(
  sides: Sides,
  runs: readonly { readonly name: string; readonly values: ParameterValues }[],
): ParameterDifference[] {
  const found = new Map<string, { difference: Omit<ParameterDifference, 'runs'>; runs: string[] }>();
  for (const { name: run, values } of runs) {
    const old = parametersInForce(sides.old, values);
    const fresh = parametersInForce(sides.new, values);
    for (const name of new Set([...old.keys(), ...fresh.keys()])) {
      const [before, after] = [old.get(name), fresh.get(name)];
      if (before?.text === after?.text) continue;
      const difference = { name, unit: (after ?? before)?.unit ?? 'none', old: before?.text ?? '–', new: after?.text ?? '–' } as const;
      const key = JSON.stringify(difference);
      const known = found.get(key) ?? { difference, runs: [] };
      known.runs.push(run);
      found.set(key, known);
    }
  }
  return [...found.values()].map((one) => ({ ...one.difference, runs: one.runs.length === runs.length ? [] : one.runs }));
}

const hashOf = (file: string): string => sha256(readFileSync(file));

function factsOf({ build, parameters }: ReviewSide): BuildFacts {
  const { version, sourceHash, contract } = build.controller.description;
  return {
    asked: build.asked,
    commit: build.commit,
    version,
    sourceHash,
    contractHash: contract.hash,
    binaryHash: build.binaryHash,
    parameters: parameters === undefined ? undefined : { file: parameters.file, hash: hashOf(parameters.file) },
  };
}

const SEVERITY: readonly ReviewVerdict[] = ['stopped', 'refused', 'outputs', 'inner', 'same'];

/** How much of a run differs, to put the worst first: verdict, changed strokes, worst metric. */
const rankOf = ({ verdict, strokes, metrics }: RunReview): readonly number[] => [
  SEVERITY.indexOf(verdict),
  -(strokes.added + strokes.removed + strokes.earlier + strokes.later),
  -(metrics[0]?.worseBy ?? 0),
];

const compareRanks = (a: RunReview, b: RunReview): number => {
  const other = rankOf(b);
  return rankOf(a).reduce((order, rank, index) => order || rank - (other[index] ?? 0), 0) || (a.name < b.name ? -1 : 1);
};

/** Puts reviews of runs together. */
export function assembleReview(sides: Sides, runs: readonly RunReview[], parameters: readonly ParameterDifference[]): Review {
  const counts = { same: 0, inner: 0, outputs: 0, stopped: 0, refused: 0 };
  for (const { verdict } of runs) counts[verdict] += 1;
  return {
    old: factsOf(sides.old),
    new: factsOf(sides.new),
    tool: toolVersion(),
    contract: contractChanges(contractOf(sides.old), contractOf(sides.new)),
    parameters,
    counts,
    runs: [...runs].sort(compareRanks),
  };
}

/** What is to be run on both sides. */
export interface Chosen {
  readonly cases: readonly VectorCase[];
  readonly scenarios?: readonly { readonly scenario: Scenario; readonly choice: RunSettings }[] | undefined;
  /** Needed for scenarios. */
  readonly plant?: WebAssembly.Module | undefined;
}

/** @throws InputError where both sides refused whatever there was to run: then it is the runs that are wrong */
function checkRun(runs: readonly RunReview[]): void {
  const [first] = runs;
  if (first === undefined || runs.some(({ refused }) => refused?.old === undefined || refused.new === undefined)) return;
  const what = `run that each side refuses: old ${first.refused?.old}, new ${first.refused?.new}`;
  throw new InputError({ file: first.name, what, allowed: 'parameters and rows that one of them takes' });
}

/**
 * Compares two builds on vectors, and on scenarios in a closed loop.
 * @param onRun told of each run before it begins
 * @throws InputError when a recording is not in order, or no side takes any of the runs
 */
export async function reviewSides(
  sides: Sides,
  { cases, scenarios = [], plant }: Chosen,
  locate: Locate,
  onRun: (name: string, index: number) => void = () => {},
): Promise<Review> {
  const vectors = cases.map((one) => ({ values: one.values, run: vectorRun(one, sides) }));
  const loops = scenarios.map(({ scenario, choice }) => {
    if (plant === undefined) throw new Error('scenarios need a plant');
    return { values: choice.parameters, run: scenarioRun(scenario, plant, choice, sides) };
  });
  const chosen = [...vectors, ...loops];
  const runs: RunReview[] = [];
  for (const [index, { run }] of chosen.entries()) {
    onRun(run.name, index);
    runs.push(await reviewRun(run, locate));
  }
  checkRun(runs);
  const told = chosen.map(({ values, run }) => ({ name: run.name, values }));
  return assembleReview(sides, runs, parameterDifferences(sides, told));
}
