import type { UnitName } from '../../shared/units.js';
import { differenceInterval, type Interval, studentInterval } from '../assess/interval.js';
import { METRICS, type Metric, type Over, overallOf } from '../assess/metrics.js';
import { evaluateRequirements, type RequirementResult } from '../assess/requirements.js';
import { WorkerPool } from '../common/pool.js';
import type { ParameterValues } from '../contract/contract.js';
import { brokenRule } from '../contract/parameter-values.js';
import type { BuildIdentity, RunIdentity } from '../contract/run-identity.js';
import { identifySettings, type RunSettings, type SimulatedRun } from '../simulate/run.js';
import type { Scenario } from '../simulate/scenario.js';
import { type Build, identifyBuild } from './builds.js';
import type { Shared, SideTask } from './side-worker.js';

/*
 * A scenario before and after a change, over the same seeds: with the same seed both sides have the same field, noise and faults, so
 * that differences are taken seed by seed (common random numbers; Law, Simulation Modeling and Analysis, §11.2; from memory).
 */

export const SIDES = ['base', 'head'] as const;
export type SideName = (typeof SIDES)[number];

/** A side as it is asked for: a build, and the settings of its run with the first seed. */
export interface BeforeAfterSide {
  readonly build: Build;
  readonly settings: RunSettings;
}

/** A run of one side. */
export interface SideRun {
  readonly seed: number;
  readonly hash: string;
  readonly trap: SimulatedRun['trap'];
  readonly requirements: readonly RequirementResult[];
}

export interface SideResult {
  readonly controller: BuildIdentity;
  readonly ranWith: RunIdentity;
  /** In the order of the seeds. */
  readonly runs: readonly SideRun[];
}

/** A metric on both sides, by seed. A run in which the controller stopped, or which has no data, has NaN; in JSON null. */
export interface MetricDifference {
  readonly name: string;
  readonly unit: UnitName;
  /** How it is combined over the rows; undefined for a metric of the bank. */
  readonly over: Over | undefined;
  readonly worse: Metric['worse'];
  readonly base: readonly number[];
  readonly head: readonly number[];
  /** Number of seeds with which both sides have data. */
  readonly pairs: number;
  /** Of these seeds. */
  readonly means: Readonly<Record<SideName, number>>;
  /** Head less base, paired by seed, of the same seeds. */
  readonly difference: Interval;
}

/**
 * Whether a side uses a parameter: the runs are repeated with this parameter alone as on the other side. `used`: inputs, outputs or true
 * signals of a run differ. `unused`: none differs, with any seed. Otherwise why that cannot be measured.
 */
export type ParameterUse = 'used' | 'unused' | { readonly unknown: string };

export interface ParameterEffect {
  readonly name: string;
  readonly unit: UnitName;
  /** A choice is given by its name; undefined on a side whose build does not have the parameter. */
  readonly values: Readonly<Record<SideName, number | string | undefined>>;
  readonly uses: Readonly<Record<SideName, ParameterUse>>;
}

export interface BeforeAfter {
  readonly scenario: string;
  readonly title: string;
  readonly machine: string;
  readonly seeds: readonly number[];
  readonly base: SideResult;
  readonly head: SideResult;
  readonly metrics: readonly MetricDifference[];
  /** Those that differ between the sides. */
  readonly parameters: readonly ParameterEffect[];
}

type Both<T> = Readonly<Record<SideName, T>>;

const otherSide = (side: SideName): SideName => (side === 'base' ? 'head' : 'base');

const contractOf = ({ build }: BeforeAfterSide) => build.controller.description.contract;

/** Value of a parameter; undefined if the side's build does not have it. */
function settingOf(side: BeforeAfterSide, name: string): number | undefined {
  const parameter = contractOf(side).parameters.find((one) => one.name === name);
  return parameter === undefined ? undefined : (side.settings.parameters[name] ?? parameter.default);
}

/** Whether the controllers of both sides get the same value. */
function isEqual({ base, head }: Both<BeforeAfterSide>, name: string): boolean {
  const [left, right] = [settingOf(base, name), settingOf(head, name)];
  return left === right || (left !== undefined && right !== undefined && Math.fround(left) === Math.fround(right));
}

/** Names of the parameters whose values differ, in the order of head's contract, then those that only base has. */
export function differingParameters(sides: Both<BeforeAfterSide>): string[] {
  const names = [sides.head, sides.base].flatMap((side) => contractOf(side).parameters.map(({ name }) => name));
  return [...new Set(names)].filter((name) => !isEqual(sides, name));
}

/** Parameters of a side with one as on the other side, or the reason why there can be none. */
function swapped(sides: Both<BeforeAfterSide>, side: SideName, name: string): ParameterValues | string {
  const contract = contractOf(sides[side]);
  const value = settingOf(sides[otherSide(side)], name);
  if (settingOf(sides[side], name) === undefined) return 'the build does not have it';
  if (value === undefined) return 'the other build does not have it';
  const values = { ...sides[side].settings.parameters, [name]: value };
  const broken = brokenRule(values, contract);
  if (broken !== undefined) return `it cannot be changed alone: ${broken.left} must be ${broken.is} ${broken.right}`;
  const { min, max } = contract.parameters.find((one) => one.name === name) ?? { min: value, max: value };
  return min <= value && value <= max ? values : "the other side's value is outside the limits of the build";
}

/** Runs tasks on both sides. */
type RunTasks = (tasks: readonly SideTask[]) => Promise<SimulatedRun[]>;

const withSeed = (settings: RunSettings, index: number): RunSettings => ({ ...settings, seed: settings.seed + index });

/** Finds out whether a side uses a parameter; the other seeds run only if the first shows no effect. */
async function useOf(
  run: RunTasks,
  sides: Both<BeforeAfterSide>,
  side: SideName,
  name: string,
  hashes: readonly string[],
): Promise<ParameterUse> {
  const parameters = swapped(sides, side, name);
  if (typeof parameters === 'string') return { unknown: parameters };
  const settings = { ...sides[side].settings, parameters };
  const tasks = hashes.map((_, index) => ({ side, settings: withSeed(settings, index) }));
  const [first] = await run(tasks.slice(0, 1));
  if (first?.hash !== hashes[0]) return 'used';
  const others = await run(tasks.slice(1));
  return others.some(({ hash }, index) => hash !== hashes[index + 1]) ? 'used' : 'unused';
}

function metricDifferences(runs: Both<readonly SimulatedRun[]>): MetricDifference[] {
  return METRICS.map((metric) => {
    const values = (side: SideName): number[] =>
      runs[side].map(({ trap, metrics }) => (trap === undefined ? overallOf(metric, metrics) : Number.NaN));
    const [base, head] = [values('base'), values('head')];
    const { name, unit, worse } = metric;
    const over = metric.scope === 'row' ? metric.over : undefined;
    const pairs = [...base.keys()].filter((at) => Number.isFinite((head[at] ?? Number.NaN) - (base[at] ?? Number.NaN)));
    const of = (values: readonly number[]): number[] => pairs.map((at) => values[at] ?? Number.NaN);
    const means = { base: studentInterval(of(base)).mean, head: studentInterval(of(head)).mean };
    return { name, unit, over, worse, base, head, pairs: pairs.length, means, difference: differenceInterval(of(head), of(base)) };
  });
}

function sideResult({ build, settings }: BeforeAfterSide, scenario: Scenario, runs: readonly SimulatedRun[]): SideResult {
  return {
    controller: identifyBuild(build),
    ranWith: identifySettings(settings, build.controller.description.contract),
    runs: runs.map(({ hash, trap, metrics }, index) => {
      return { seed: settings.seed + index, hash, trap, requirements: evaluateRequirements(metrics, scenario.requirements) };
    }),
  };
}

async function effectsOf(run: RunTasks, sides: Both<BeforeAfterSide>, runs: Both<readonly SimulatedRun[]>): Promise<ParameterEffect[]> {
  const hashes = { base: runs.base.map(({ hash }) => hash), head: runs.head.map(({ hash }) => hash) };
  return Promise.all(
    differingParameters(sides).map(async (name) => {
      const [base, head] = await Promise.all(SIDES.map((side) => useOf(run, sides, side, name, hashes[side])));
      const parameter = SIDES.flatMap((side) => contractOf(sides[side]).parameters).find((one) => one.name === name);
      const shown = (side: SideName): number | string | undefined => {
        const value = settingOf(sides[side], name);
        return value === undefined ? undefined : (parameter?.choices?.[value] ?? value);
      };
      const values = { base: shown('base'), head: shown('head') };
      return { name, unit: parameter?.unit ?? 'none', values, uses: { base: base as ParameterUse, head: head as ParameterUse } };
    }),
  );
}

/** Maximum number of runs: of both sides with every seed, and again for each parameter that differs. */
export const runsNeeded = (sides: Both<BeforeAfterSide>, seeds: number): number => 2 * seeds * (1 + differingParameters(sides).length);

/**
 * Runs a scenario on both sides with `seeds` successive seeds, in a pool of workers, and finds out which of the parameters that differ
 * are used at all.
 * @param onDone called with the number of finished runs
 * @throws InputError if a side refuses its parameters, or has outputs of another layout
 */
export async function runBeforeAfter(
  scenario: Scenario,
  plant: WebAssembly.Module,
  sides: Both<BeforeAfterSide>,
  seeds: number,
  onDone: (done: number) => void,
): Promise<BeforeAfter> {
  const controllers = { base: sides.base.build.controller, head: sides.head.build.controller };
  const shared: Shared = { controllers, plant, scenario: scenario.file, machine: scenario.machine.file };
  const pool = new WorkerPool<SideTask, SimulatedRun>(new URL('./side-worker.js', import.meta.url), shared);
  let done = 0;
  const run: RunTasks = (tasks) => pool.run(tasks, () => onDone(++done));
  const ofSide = (side: SideName): Promise<SimulatedRun[]> =>
    run(Array.from({ length: seeds }, (_, index) => ({ side, settings: withSeed(sides[side].settings, index) })));
  try {
    const [base, head] = (await Promise.all(SIDES.map(ofSide))) as [SimulatedRun[], SimulatedRun[]];
    const parameters = await effectsOf(run, sides, { base, head });
    return {
      scenario: scenario.name,
      title: scenario.title,
      machine: scenario.machine.name,
      seeds: base.map((_, index) => sides.base.settings.seed + index),
      base: sideResult(sides.base, scenario, base),
      head: sideResult(sides.head, scenario, head),
      metrics: metricDifferences({ base, head }),
      parameters,
    };
  } finally {
    await pool.close();
  }
}
