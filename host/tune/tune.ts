import { InputError } from '../common/input-error.js';
import type { Binaries } from '../simulate/evaluated-run.js';
import { Evaluator, objectiveOf, positionOf, type ScenarioMetrics, startOf, type Values, valuesAt } from './evaluate.js';
import { minimise, type Point, type SearchState } from './search.js';
import type { Tuning } from './tuning-file.js';

/** Start and result on the same seeds. */
export interface Compared {
  readonly seeds: readonly number[];
  readonly objective: { readonly start: number; readonly result: number };
  readonly start: ScenarioMetrics;
  readonly result: ScenarioMetrics;
}

/** The result of a search. */
export interface Tuned {
  readonly title: string;
  readonly scenarios: readonly string[];
  readonly start: Values;
  readonly result: Values;
  readonly evaluations: number;
  /** On the seeds that the search used. */
  readonly tuning: Compared;
  /** On seeds that it did not use: only this shows what was gained. */
  readonly fresh: Compared;
  /** Whether the result is better than the start on fresh seeds. */
  readonly isBetter: boolean;
}

const range = (first: number, count: number): number[] => Array.from({ length: count }, (_, index) => first + index);

function compared(tuning: Tuning, seeds: readonly number[], start: ScenarioMetrics, result: ScenarioMetrics): Compared {
  const value = (metrics: ScenarioMetrics): number => objectiveOf(metrics, start, tuning.objective);
  return { seeds, objective: { start: value(start), result: value(result) }, start, result };
}

/** @throws InputError if the controller stopped in a run of the start */
async function startMetrics(evaluator: Evaluator, { file }: Tuning, start: Values, seeds: readonly number[]): Promise<ScenarioMetrics> {
  const [metrics = []] = await evaluator.metricsOf([start], seeds);
  if (metrics.some(({ loadRmsN }) => Number.isNaN(loadRmsN)))
    throw new InputError({ file, problem: 'the controller stopped in a run of the start' });
  return metrics;
}

interface Best {
  readonly values: Values;
  readonly metrics: ScenarioMetrics;
  readonly evaluations: number;
}

async function searchBest(evaluator: Evaluator, tuning: Tuning, before: ScenarioMetrics, onGeneration: OnGeneration): Promise<Best> {
  const { axes, seeds, objective } = tuning;
  const known = new Map<string, ScenarioMetrics>([[JSON.stringify(startOf(tuning)), before]]);
  const evaluate = async (points: readonly Point[]): Promise<number[]> => {
    const candidates = points.map((point) => valuesAt(tuning, point));
    const allowed = candidates.filter((values) => evaluator.isAllowed(values));
    const metrics = await evaluator.metricsOf(allowed, range(seeds.first, seeds.count));
    for (const [index, found] of metrics.entries()) known.set(JSON.stringify(allowed[index]), found);
    return candidates.map((values) => {
      const found = known.get(JSON.stringify(values));
      return found === undefined ? Number.POSITIVE_INFINITY : objectiveOf(found, before, objective);
    });
  };
  const { point, evaluations } = await minimise(
    evaluate,
    {
      start: axes.map((axis) => positionOf(axis, axis.start)),
      startValue: objectiveOf(before, before, objective),
      evaluations: tuning.evaluations,
      seed: tuning.searchSeed,
    },
    onGeneration,
  );
  const values = valuesAt(tuning, point);
  const found = known.get(JSON.stringify(values));
  return found === undefined ? { values: startOf(tuning), metrics: before, evaluations } : { values, metrics: found, evaluations };
}

type OnGeneration = (state: SearchState) => void;

/**
 * Searches the parameters or quantities of a tuning in closed loop, then compares start and result on fresh seeds.
 * The same tuning gives the same result.
 * @param onGeneration called with the best point so far
 */
export async function tune(binaries: Binaries, tuning: Tuning, onGeneration: OnGeneration = () => {}): Promise<Tuned> {
  const { first, count, fresh } = tuning.seeds;
  const [seeds, freshSeeds] = [range(first, count), range(first + count, fresh)];
  const start = startOf(tuning);
  const evaluator = new Evaluator(binaries, tuning);
  try {
    const before = await startMetrics(evaluator, tuning, start, seeds);
    const { values, metrics, evaluations } = await searchBest(evaluator, tuning, before, onGeneration);
    const [after = []] = await evaluator.metricsOf([values], freshSeeds);
    const onFresh = compared(tuning, freshSeeds, await startMetrics(evaluator, tuning, start, freshSeeds), after);
    return {
      title: tuning.title,
      scenarios: tuning.scenarios.map(({ name }) => name),
      start,
      result: values,
      evaluations,
      tuning: compared(tuning, seeds, before, metrics),
      fresh: onFresh,
      isBetter: onFresh.objective.result < onFresh.objective.start,
    };
  } finally {
    await evaluator.close();
  }
}
