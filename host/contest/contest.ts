import { parse } from 'node:path';
import type { RowMetricName } from '../assess/metrics.js';
import { InputError } from '../common/input-error.js';
import type { Contract, ParameterValues } from '../contract/contract.js';
import type { Binaries } from '../simulate/evaluated-run.js';
import type { RunSettings, SimulatedRun } from '../simulate/run.js';
import { runMany } from '../simulate/run-many.js';
import { resolveSettings, strategyNames } from '../simulate/run-options.js';
import type { Scenario } from '../simulate/scenario.js';

/** What contenders are compared by: means over the rows. The first is what they are made equal in. */
export const CONTEST_METRICS = [
  'pulsesPerMin',
  'loadRmsN',
  'inBandPercent',
  'oilLpm',
  'coilW',
  'coilLossW',
] as const satisfies RowMetricName[];
export type ContestMetric = (typeof CONTEST_METRICS)[number];

/** What a sweep multiplies: all that says how wide the deadband is, whatever its mode. */
export const SWEPT: readonly string[] = ['deadbandN', 'deadbandMinN', 'deadbandMaxN', 'deadbandSigmas'];

/** A sweep's usual scales; 1 is a contender's own deadband. */
export const USUAL_SCALES: readonly number[] = [0.35, 0.5, 0.7, 1, 1.4, 2, 2.8];

/** As many as a picture tells apart. */
const CONTENDERS_MAX = 12;
/** What fits beside a picture. */
const NAME_LETTERS = 20;

/** Who takes part, and how it is run with the first seed and its own deadband. */
export interface Contender {
  readonly name: string;
  readonly choice: RunSettings;
}

/** Who is wanted, as a person writes it. */
export interface ContestOptions {
  readonly seed?: number | undefined;
  /** Strategies and baselines, with commas between. */
  readonly strategies?: string | undefined;
  /** Parameter files, `[name=]file`. */
  readonly parameters?: readonly string[] | undefined;
  /** `name=value`, for all contenders. */
  readonly set?: readonly string[] | undefined;
}

/** What one run came to; of a run in which the controller stopped, no metric is known: NaN. */
export interface ContestRun {
  readonly seed: number;
  readonly hash: string;
  readonly trap?: { readonly tick: number; readonly message: string };
  readonly metrics: Readonly<Record<ContestMetric, number>>;
}

/** A contender's runs with one deadband: one for each seed, in the order of the seeds. */
export interface SweepPoint {
  readonly scale: number;
  readonly runs: readonly ContestRun[];
}

/** What a contender came to: of a baseline, which has no valve to pulse, one point. */
export interface Sweep {
  readonly name: string;
  readonly pulses: boolean;
  readonly points: readonly SweepPoint[];
}

/** `[name=]file` of a parameter file. */
export function namedFile(words: string): { readonly name: string; readonly file: string } {
  const [, name, file] = /^([^=/]+)=(.+)$/.exec(words) ?? [];
  return name === undefined || file === undefined ? { name: parse(words).name, file: words } : { name, file };
}

const wrong = (file: string, what: string, value: unknown, allowed: string | readonly string[]): InputError =>
  new InputError({ file, what, value, allowed });

/** @throws InputError for too few or too many contenders, or a name that is taken or too long */
function checkNames(names: readonly string[]): void {
  const count = names.length;
  const twice = names.find((name, index) => names.indexOf(name) !== index);
  const long = names.find((name) => name.length > NAME_LETTERS);
  if (count < 2 || count > CONTENDERS_MAX)
    throw wrong('--strategies', 'contenders', count, `2 to ${CONTENDERS_MAX}, of --strategies and --parameters together`);
  if (twice !== undefined)
    throw wrong('--strategies, --parameters', 'name of two contenders', twice, 'each name once; a file may be called name=file');
  if (long !== undefined) throw wrong('--parameters', 'name', long, `name=file with a name of at most ${NAME_LETTERS} letters`);
}

/**
 * The contenders in the order of the flags, strategies first.
 * @throws InputError that names the flag, or the place in a parameter file
 */
export function readContenders(scenario: Scenario, wishes: ContestOptions, contract: Contract): Contender[] {
  const { seed, set = [] } = wishes;
  const strategies = (wishes.strategies ?? '').split(',').filter((name) => name !== '');
  const files = (wishes.parameters ?? []).map(namedFile);
  const allowed = strategyNames(contract);
  const unknown = strategies.find((name) => !allowed.includes(name));
  const forAll = set.find((one) => one.startsWith('strategy='));
  if (unknown !== undefined) throw wrong('--strategies', 'strategy', unknown, allowed);
  if (forAll !== undefined) throw wrong('--set', 'setting', forAll, 'what contenders may share; their strategies by --strategies');
  checkNames([...strategies, ...files.map(({ name }) => name)]);
  return [
    ...strategies.map((name) => ({ name, choice: resolveSettings(scenario, { seed, set, strategy: name }, contract) })),
    ...files.map(({ name, file }) => ({ name, choice: resolveSettings(scenario, { seed, set, parameters: file }, contract) })),
  ];
}

/** Parameters with a deadband so many times as wide; what would leave a parameter's limits stays at the limit. */
export function scaleDeadband(parameters: ParameterValues, scale: number, contract: Contract): ParameterValues {
  const scaled = contract.parameters
    .filter(({ name }) => SWEPT.includes(name))
    .map((one) => [one.name, Math.min(one.max, Math.max(one.min, scale * (parameters[one.name] ?? one.default)))]);
  return { ...parameters, ...Object.fromEntries(scaled) };
}

function contestRun(seed: number, { hash, trap, metrics }: SimulatedRun): ContestRun {
  const metricOf = (name: ContestMetric): number => (trap === undefined ? metrics.over[name].mean : Number.NaN);
  const values = Object.fromEntries(CONTEST_METRICS.map((name) => [name, metricOf(name)])) as ContestRun['metrics'];
  return { seed, hash, ...(trap === undefined ? {} : { trap }), metrics: values };
}

/** What a contest is run with. */
export interface ContestSetup {
  readonly binaries: Binaries;
  readonly scenario: Scenario;
  readonly contenders: readonly Contender[];
  /** How many seeds, from each contender's own on. */
  readonly seeds: number;
  /** Of the deadbands. */
  readonly scales: readonly number[];
}

/**
 * Runs every contender with every scale of its deadband and every seed, over a pool of workers. The same seed gives all of them
 * the same field, noise and faults (common random numbers; Law, Simulation Modeling and Analysis, §11.2; from memory).
 * @param onDone told how many runs are done, and of how many
 * @returns sweeps in the order of the contenders, their points in the order of the scales
 */
export async function runContest(setup: ContestSetup, onDone: (done: number, all: number) => void): Promise<Sweep[]> {
  const { binaries, scenario, contenders, seeds, scales } = setup;
  const { contract } = binaries.controller.description;
  const plan = contenders.map(({ name, choice }) => {
    const pulses = choice.actuation === 'latching';
    const points = (pulses ? scales : [1]).map((scale) => {
      const parameters = pulses ? scaleDeadband(choice.parameters, scale, contract) : choice.parameters;
      return { scale, choices: Array.from({ length: seeds }, (_, index) => ({ ...choice, parameters, seed: choice.seed + index })) };
    });
    return { name, pulses, points };
  });
  const choices = plan.flatMap(({ points }) => points.flatMap((point) => point.choices));
  const results = await runMany({ ...binaries, scenario: scenario.file, machine: scenario.machine.file }, choices, (done) =>
    onDone(done, choices.length),
  );
  const runOf = new Map(results.map((result, index) => [choices[index], result]));
  return plan.map(({ name, pulses, points }) => ({
    name,
    pulses,
    points: points.map((point) => ({
      scale: point.scale,
      runs: point.choices.map((one) => contestRun(one.seed, runOf.get(one) as SimulatedRun)),
    })),
  }));
}
