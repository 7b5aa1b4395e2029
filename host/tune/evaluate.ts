import { WorkerPool } from '../common/pool.js';
import type { ParameterValues } from '../contract/contract.js';
import { brokenRule } from '../contract/parameter-values.js';
import { isValidWith } from '../machine/machine.js';
import type { Binaries } from '../simulate/evaluated-run.js';
import type { RunSettings } from '../simulate/run.js';
import type { Scenario } from '../simulate/scenario.js';
import type { Point } from './search.js';
import type { Axis, Objective, Tuning } from './tuning-file.js';
import type { TuneMetrics, TuneTask } from './worker.js';

/** Values of the searched parameters or quantities by name. */
export type Values = Readonly<Record<string, number>>;

/** Digits of a searched value; more have no effect that a simulation could show. Our choice. */
const DIGITS = 4;

/** Returns where a value is between the limits of its axis, 0 to 1. */
export function positionOf({ min, max, isLogarithmic }: Axis, value: number): number {
  return isLogarithmic ? Math.log(value / min) / Math.log(max / min) : (value - min) / (max - min);
}

/** Returns the value at a position between 0 and 1, rounded, within the limits. */
export function valueAt({ min, max, isLogarithmic, isInteger }: Axis, position: number): number {
  const value = isLogarithmic ? min * (max / min) ** position : min + (max - min) * position;
  const rounded = isInteger ? Math.round(value) : Number(value.toPrecision(DIGITS));
  return Math.min(max, Math.max(min, rounded));
}

export const startOf = ({ axes }: Tuning): Values => Object.fromEntries(axes.map(({ name, start }) => [name, start]));

export const valuesAt = ({ axes }: Tuning, point: Point): Values =>
  Object.fromEntries(axes.map((axis, index) => [axis.name, valueAt(axis, point[index] ?? 0)]));

/** All parameters of a scenario's runs. */
export const parametersWith = (tuning: Tuning, scenario: Scenario, values: Values): ParameterValues => ({
  ...scenario.parameters,
  ...tuning.startParameters,
  ...(tuning.of === 'parameters' ? values : {}),
  tickHz: scenario.tickHz,
});

/** Means over the seeds, by scenario in their order. */
export type ScenarioMetrics = readonly TuneMetrics[];

function meanMetrics(runs: readonly TuneMetrics[]): TuneMetrics {
  const mean = (name: keyof TuneMetrics): number => runs.reduce((sum, run) => sum + run[name], 0) / runs.length;
  return { loadRmsN: mean('loadRmsN'), pulsesPerMin: mean('pulsesPerMin'), oilLpm: mean('oilLpm') };
}

/**
 * Simulates values of a tuning's parameters or quantities. All values meet the same fields, noise and faults with the same seed
 * (common random numbers; Law, Simulation Modeling and Analysis, §11.2; from memory).
 */
export class Evaluator {
  readonly #pool: WorkerPool<TuneTask, TuneMetrics>;

  constructor(
    private readonly binaries: Binaries,
    private readonly tuning: Tuning,
  ) {
    this.#pool = new WorkerPool(new URL('./worker.js', import.meta.url), binaries);
  }

  /** Ends the workers. */
  close(): Promise<void> {
    return this.#pool.close();
  }

  /** Whether values contradict neither each other nor a scenario's own parameters and quantities. */
  isAllowed(values: Values): boolean {
    const { contract } = this.binaries.controller.description;
    const { tuning } = this;
    return tuning.scenarios.every((scenario) =>
      tuning.of === 'parameters'
        ? brokenRule(parametersWith(tuning, scenario, values), contract) === undefined
        : isValidWith(scenario.machine, values, contract),
    );
  }

  private tasksOf(values: Values, seeds: readonly number[]): TuneTask[] {
    const { tuning } = this;
    const isProportional = tuning.of === 'proportional';
    const actuation: RunSettings['actuation'] = isProportional ? 'proportional' : 'latching';
    return tuning.scenarios.flatMap((scenario) =>
      seeds.map((seed) => ({
        scenario: scenario.file,
        machine: scenario.machine.file,
        quantities: isProportional ? values : {},
        settings: { seed, actuation, parameters: parametersWith(tuning, scenario, values) },
      })),
    );
  }

  /** Runs all scenarios with all seeds for each of several values. */
  async metricsOf(several: readonly Values[], seeds: readonly number[]): Promise<ScenarioMetrics[]> {
    const results = await this.#pool.run(several.flatMap((values) => this.tasksOf(values, seeds)));
    const { scenarios } = this.tuning;
    return several.map((_, which) =>
      scenarios.map((_scenario, index) => {
        const from = (which * scenarios.length + index) * seeds.length;
        return meanMetrics(results.slice(from, from + seeds.length));
      }),
    );
  }
}

/** By what ratio a value is above what is free; 0 if it is not. */
const excess = (value: number, free: number): number => (value <= free ? 0 : value / free - 1);

/**
 * What the search minimises: the mean over the scenarios of the load RMS error relative to the start's, plus penalties for pulses
 * and oil above what is free. Infinite if the controller stopped in a run.
 */
export function objectiveOf(metrics: ScenarioMetrics, start: ScenarioMetrics, objective: Objective): number {
  const terms = metrics.map(({ loadRmsN, pulsesPerMin, oilLpm }, index) => {
    const from = start[index] as TuneMetrics;
    const pulses = excess(pulsesPerMin, objective.pulsesPerMin ?? from.pulsesPerMin);
    return loadRmsN / from.loadRmsN + objective.pulseWeight * pulses + objective.oilWeight * excess(oilLpm, from.oilLpm);
  });
  const mean = terms.reduce((sum, term) => sum + term, 0) / terms.length;
  return Number.isNaN(mean) ? Number.POSITIVE_INFINITY : mean;
}
