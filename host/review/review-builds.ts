import type { UnitName } from '../../shared/units.js';
import { formatF32 } from '../common/format-f32.js';
import { hashFile } from '../common/hash.js';
import { InputError } from '../common/input-error.js';
import { toolVersion } from '../common/version.js';
import type { ParameterValues } from '../contract/contract.js';
import { countVerdicts } from '../replay/verdict.js';
import type { RunSettings } from '../simulate/run.js';
import type { Scenario } from '../simulate/scenario.js';
import type { VectorCase } from '../vector/vector.js';
import { identifyBuild } from './builds.js';
import { findCauses } from './causes/find-causes.js';
import { contractChanges } from './contract-changes.js';
import { coverageOf, planCoverage, unknownCoverage } from './coverage/coverage.js';
import { compareRuns } from './harm.js';
import type { BuildFacts, ParameterDifference, Review, RunReview } from './review.js';
import type { ReviewEngine } from './review-engine.js';
import { configOf, contractOf, type ReviewSide, type RunPlan, type Sides } from './review-task.js';

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

/** What to run on both sides. */
export interface ReviewInputs {
  readonly vectors: readonly VectorCase[];
  /** For each vector's run the vector whose accepted outputs head should compute, or null; undefined if that is not asked. */
  readonly accepted?: ReadonlyMap<string, VectorCase | null> | undefined;
  readonly scenarios?: readonly { readonly scenario: Scenario; readonly choice: RunSettings }[] | undefined;
  /** Needed for scenarios. */
  readonly plant?: WebAssembly.Module | undefined;
  /** Whether to find out which changed lines the runs reach. */
  readonly withCoverage?: boolean | undefined;
}

/** A run with the values of its parameters. */
interface PlannedRun {
  readonly plan: RunPlan;
  readonly name: string;
  readonly values: ParameterValues;
}

function plannedRuns({ vectors, accepted, scenarios = [], plant }: ReviewInputs): PlannedRun[] {
  const recorded = vectors.map(
    (vector): PlannedRun => ({
      name: vector.name,
      values: vector.values,
      plan: { kind: 'vector', vector, accepted: accepted?.get(vector.name) },
    }),
  );
  const simulated = scenarios.map(({ scenario: { name, file, machine }, choice: settings }): PlannedRun => {
    if (plant === undefined) throw new Error('scenarios need a plant');
    return { name, values: settings.parameters, plan: { kind: 'scenario', file, machineFile: machine.file, settings, plant } };
  });
  return [...recorded, ...simulated];
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
 * @param onDone called after each run with the number of those done
 * @throws InputError if a recording is damaged, or both sides refuse every run
 */
export async function reviewBuilds(
  sides: Sides,
  inputs: ReviewInputs,
  engine: ReviewEngine,
  onDone?: (done: number) => void,
): Promise<Review> {
  const planned = plannedRuns(inputs);
  const coverage = inputs.withCoverage === true ? await planCoverage({ base: sides.base.build, head: sides.head.build }) : undefined;
  const probes = typeof coverage === 'object' ? coverage.probes : undefined;
  const tasks = planned.map(({ plan }) => ({ plan, sides, depth: 'shown' as const, probes }));
  const reviews = await engine.review(tasks, onDone);
  checkRefusals(reviews);
  const parameters = parameterDifferences(sides, planned);
  const ranked = reviews.map(({ reached = {}, ...review }, index) => ({ review, reached, plan: (planned[index] as PlannedRun).plan }));
  ranked.sort((a, b) => compareRuns(a.review, b.review));
  const runs = ranked.map(({ review }) => review);
  const plans = ranked.map(({ plan }) => plan);
  const { causes, firsts } = await findCauses(engine, sides, { runs, parameters }, plans);
  return {
    base: factsOf(sides.base),
    head: factsOf(sides.head),
    tool: toolVersion(),
    contract: contractChanges(contractOf(sides.base), contractOf(sides.head)),
    parameters,
    counts: countVerdicts(runs),
    runs: runs.map((run, index) => ({ ...run, first: firsts.get(index) ?? run.first })),
    causes,
    coverage: typeof coverage === 'object' ? coverageOf(coverage, ranked, causes) : unknownCoverage(coverage),
  };
}
