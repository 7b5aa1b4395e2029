import { parse } from 'node:path';
import type { RowMetricName } from '../assess/metrics.js';
import { InputError } from '../common/input-error.js';
import type { Contract, ParameterValues } from '../contract/contract.js';
import type { RunIdentity } from '../contract/run-identity.js';
import type { Binaries } from '../simulate/evaluated-run.js';
import { identifySettings, type RunSettings, type SimulatedRun } from '../simulate/run.js';
import { runMany } from '../simulate/run-many.js';
import { resolveSettings, strategyNames } from '../simulate/run-options.js';
import type { Scenario } from '../simulate/scenario.js';

/** Metrics that contenders are compared by, as means over the rows. The pulse rate is the one that is made equal. */
export const CONTEST_METRICS = [
  'pulsesPerMin',
  'loadRmsN',
  'inBandPercent',
  'oilLpm',
  'coilW',
  'coilLossW',
] as const satisfies RowMetricName[];
export type ContestMetric = (typeof CONTEST_METRICS)[number];

/** Parameters that a sweep scales: those that set the width of the deadband, in any of its modes. */
export const SWEPT_PARAMETERS: readonly string[] = ['deadbandN', 'deadbandMinN', 'deadbandMaxN', 'deadbandSigmas'];

/** Default scales of a sweep; 1 is a contender's own deadband. */
export const DEFAULT_SCALES: readonly number[] = [0.35, 0.5, 0.7, 1, 1.4, 2, 2.8];

/** More curves cannot be distinguished in a picture. */
const CONTENDERS_MAX = 12;
/** Longer names do not fit beside the picture. */
const NAME_LENGTH_MAX = 20;

/** A contender and the settings of its run with the first seed and its own deadband. */
export interface Contender {
  readonly name: string;
  readonly settings: RunSettings;
}

/** The contenders, as written on the command line. */
export interface ContestOptions {
  readonly seed?: number | undefined;
  /** Strategies and baselines, separated by commas. */
  readonly strategies?: string | undefined;
  /** Parameter files, `[name=]file`. */
  readonly parameters?: readonly string[] | undefined;
  /** `name=value`, for all contenders. */
  readonly set?: readonly string[] | undefined;
}

/** The result of one run. All metrics are NaN if the controller stopped. */
export interface ContestRun {
  readonly seed: number;
  readonly hash: string;
  readonly trap?: { readonly tick: number; readonly message: string };
  readonly metrics: ContestValues;
}

/** Those of every contest, and others that were asked for; means over the rows. */
export type ContestValues = Readonly<Record<ContestMetric, number> & Partial<Record<RowMetricName, number>>>;

/** A contender's runs with one deadband, one per seed. */
export interface SweepPoint {
  readonly scale: number;
  readonly runs: readonly ContestRun[];
}

/** All results of a contender. A baseline has no valve pair, hence no pulses, and one point. */
export interface Sweep {
  readonly name: string;
  /** With its own deadband and the first seed. */
  readonly ranWith: RunIdentity;
  readonly hasPulses: boolean;
  readonly points: readonly SweepPoint[];
}

/** Parses `[name=]file`; without a name it is that of the file. */
export function namedFile(text: string): { readonly name: string; readonly file: string } {
  const [, name, file] = /^([^=/]+)=(.+)$/.exec(text) ?? [];
  return name === undefined || file === undefined ? { name: parse(text).name, file: text } : { name, file };
}

/** @throws InputError for too few or too many contenders, or a name that is used twice or too long */
function checkNames(names: readonly string[]): void {
  const count = names.length;
  const twice = names.find((name, index) => names.indexOf(name) !== index);
  const long = names.find((name) => name.length > NAME_LENGTH_MAX);
  if (count < 2 || count > CONTENDERS_MAX)
    throw new InputError({
      file: '--strategies, --parameters',
      problem: `there ${count === 1 ? 'is 1 contender' : `are ${count} contenders`}; a contest needs 2 to ${CONTENDERS_MAX}`,
      value: count,
    });
  if (twice !== undefined)
    throw new InputError({
      file: '--strategies, --parameters',
      problem: `two contenders are called "${twice}"`,
      value: twice,
      hint: 'Give a parameter file a name: --parameters NAME=FILE',
    });
  if (long !== undefined)
    throw new InputError({
      file: '--parameters',
      problem: `the name "${long}" is longer than ${NAME_LENGTH_MAX} characters`,
      value: long,
      hint: 'Give the file a shorter name: --parameters NAME=FILE',
    });
}

/**
 * Returns the contenders in the order of the flags, strategies first.
 * @throws InputError that names the flag, or the place in a parameter file
 */
export function readContenders(scenario: Scenario, options: ContestOptions, contract: Contract): Contender[] {
  const { seed, set = [] } = options;
  const strategies = (options.strategies ?? '').split(',').filter((name) => name !== '');
  const files = (options.parameters ?? []).map(namedFile);
  const allowed = strategyNames(contract);
  const unknown = strategies.find((name) => !allowed.includes(name));
  const forAll = set.find((one) => one.startsWith('strategy='));
  if (unknown !== undefined)
    throw new InputError({ file: '--strategies', problem: `one strategy is "${unknown}"`, value: unknown, allowed });
  if (forAll !== undefined)
    throw new InputError({
      file: '--set',
      problem: 'strategy would be the same for all contenders',
      value: forAll,
      hint: 'Name the strategies with --strategies',
    });
  checkNames([...strategies, ...files.map(({ name }) => name)]);
  return [
    ...strategies.map((name) => ({ name, settings: resolveSettings(scenario, { seed, set, strategy: name }, contract) })),
    ...files.map(({ name, file }) => ({ name, settings: resolveSettings(scenario, { seed, set, parameters: file }, contract) })),
  ];
}

/** Returns the parameters with the width of the deadband multiplied by `scale`, clamped to the limits of each parameter. */
export function scaleDeadband(parameters: ParameterValues, scale: number, contract: Contract): ParameterValues {
  const scaled = contract.parameters
    .filter(({ name }) => SWEPT_PARAMETERS.includes(name))
    .map((one) => [one.name, Math.min(one.max, Math.max(one.min, scale * (parameters[one.name] ?? one.default)))]);
  return { ...parameters, ...Object.fromEntries(scaled) };
}

function contestRun(seed: number, { hash, trap, metrics }: SimulatedRun, names: readonly RowMetricName[]): ContestRun {
  const metricOf = (name: RowMetricName): number => (trap === undefined ? metrics.over[name].mean : Number.NaN);
  const values = Object.fromEntries([...CONTEST_METRICS, ...names].map((name) => [name, metricOf(name)])) as ContestValues;
  return { seed, hash, ...(trap === undefined ? {} : { trap }), metrics: values };
}

/** Everything that a contest needs. */
export interface ContestSetup {
  readonly binaries: Binaries;
  readonly scenario: Scenario;
  readonly contenders: readonly Contender[];
  /** Number of successive seeds, beginning with that of each contender. */
  readonly seeds: number;
  /** Scales of the deadband. */
  readonly scales: readonly number[];
  /** Metrics beside those of every contest. */
  readonly metrics?: readonly RowMetricName[] | undefined;
}

/**
 * Runs every contender with every scale of its deadband and every seed, in a pool of workers. With the same seed all of them
 * have the same field, noise and faults (common random numbers; Law, Simulation Modeling and Analysis, §11.2; from memory).
 * @param onDone called with the number of finished runs and of all runs
 * @returns sweeps in the order of the contenders, with their points in the order of the scales
 */
export async function runContest(setup: ContestSetup, onDone: (done: number, all: number) => void): Promise<Sweep[]> {
  const { binaries, scenario, contenders, seeds, scales, metrics = [] } = setup;
  const { contract } = binaries.controller.description;
  const plan = contenders.map(({ name, settings }) => {
    const hasPulses = settings.actuation === 'latching';
    const points = (hasPulses ? scales : [1]).map((scale) => {
      const parameters = hasPulses ? scaleDeadband(settings.parameters, scale, contract) : settings.parameters;
      return { scale, runs: Array.from({ length: seeds }, (_, index) => ({ ...settings, parameters, seed: settings.seed + index })) };
    });
    return { name, ranWith: identifySettings(settings, contract), hasPulses, points };
  });
  const all = plan.flatMap(({ points }) => points.flatMap(({ runs }) => runs));
  const shared = { ...binaries, scenario: scenario.file, machine: scenario.machine.file };
  const results = await runMany(shared, all, (done) => onDone(done, all.length));
  const resultOf = new Map(results.map((result, index) => [all[index], result]));
  return plan.map(({ points, ...sweep }) => ({
    ...sweep,
    points: points.map(({ scale, runs }) => ({
      scale,
      runs: runs.map((one) => contestRun(one.seed, resultOf.get(one) as SimulatedRun, metrics)),
    })),
  }));
}
