import { parse } from 'node:path';
import type { RowFigureName } from '../assess/figures.js';
import type { Contract, ParameterValues } from '../contract/contract.js';
import { InputError } from '../files/input-error.js';
import { chooseRun, strategyNames } from '../simulate/choose.js';
import type { Binaries } from '../simulate/judged-run.js';
import { runMany } from '../simulate/many.js';
import type { RunChoice, SimulatedRun } from '../simulate/run.js';
import type { Scenario } from '../simulate/scenario.js';

/** What contenders are compared by: means over the rows. The first is what they are made equal in. */
export const CONTEST_FIGURES = [
  'pulsesPerMin',
  'loadRmsN',
  'inBandPercent',
  'oilLpm',
  'coilW',
  'coilLossW',
] as const satisfies RowFigureName[];
export type ContestFigure = (typeof CONTEST_FIGURES)[number];

/** What a sweep multiplies: all that says how wide the deadband is, whatever its mode. */
export const SWEPT: readonly string[] = ['deadbandN', 'deadbandMinN', 'deadbandMaxN', 'deadbandSigmas'];

/** A sweep's usual scales; 1 is a contender's own deadband. */
export const USUAL_SCALES: readonly number[] = [0.35, 0.5, 0.7, 1, 1.4, 2, 2.8];

/** As many as a picture tells apart. */
const CONTENDERS_MOST = 12;
/** What fits beside a picture. */
const NAME_LETTERS = 20;

/** Who takes part, and how it is run with the first seed and its own deadband. */
export interface Contender {
  readonly name: string;
  readonly choice: RunChoice;
}

/** Who is wanted, as a person writes it. */
export interface ContestWishes {
  readonly seed?: number | undefined;
  /** Strategies and baselines, with commas between. */
  readonly strategies?: string | undefined;
  /** Parameter files, `[name=]file`. */
  readonly parameters?: readonly string[] | undefined;
  /** `name=value`, for all contenders. */
  readonly set?: readonly string[] | undefined;
}

/** What one run came to; of a run in which the controller stopped, no figure is known: NaN. */
export interface ContestRun {
  readonly seed: number;
  readonly hash: string;
  readonly trap?: { readonly tick: number; readonly message: string };
  readonly figures: Readonly<Record<ContestFigure, number>>;
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

/** @throws InputError for too few or too many contenders, or a name that is taken or too long */
function checkNames(names: readonly string[]): void {
  const count = names.length;
  if (count < 2 || count > CONTENDERS_MOST) {
    const allowed = `2 to ${CONTENDERS_MOST}, of --strategies and --parameters together`;
    throw new InputError({ file: '--strategies', what: 'contenders', value: count, allowed });
  }
  const twice = names.find((name, index) => names.indexOf(name) !== index);
  if (twice !== undefined)
    throw new InputError({
      file: '--strategies, --parameters',
      what: 'name of two contenders',
      value: twice,
      allowed: 'each name once; a file may be called name=file',
    });
  const long = names.find((name) => name.length > NAME_LETTERS);
  if (long !== undefined)
    throw new InputError({
      file: '--parameters',
      what: 'name',
      value: long,
      allowed: `name=file with a name of at most ${NAME_LETTERS} letters`,
    });
}

/**
 * The contenders in the order of the flags, strategies first.
 * @throws InputError that names the flag, or the place in a parameter file
 */
export function readContenders(scenario: Scenario, wishes: ContestWishes, contract: Contract): Contender[] {
  const { seed, set = [] } = wishes;
  const strategies = (wishes.strategies ?? '').split(',').filter((name) => name !== '');
  const allowed = strategyNames(contract);
  const unknown = strategies.find((name) => !allowed.includes(name));
  if (unknown !== undefined) throw new InputError({ file: '--strategies', what: 'strategy', value: unknown, allowed });
  const strategySet = set.find((one) => one.startsWith('strategy='));
  if (strategySet !== undefined)
    throw new InputError({
      file: '--set',
      what: 'setting',
      value: strategySet,
      allowed: 'what all contenders may share; their strategies by --strategies',
    });
  const files = (wishes.parameters ?? []).map(namedFile);
  checkNames([...strategies, ...files.map(({ name }) => name)]);
  return [
    ...strategies.map((name) => ({ name, choice: chooseRun(scenario, { seed, set, strategy: name }, contract) })),
    ...files.map(({ name, file }) => ({ name, choice: chooseRun(scenario, { seed, set, parameters: file }, contract) })),
  ];
}

/** Parameters with a deadband so many times as wide; what would leave a parameter's limits stays at the limit. */
export function scaleDeadband(parameters: ParameterValues, scale: number, contract: Contract): ParameterValues {
  const scaled = contract.parameters
    .filter(({ name }) => SWEPT.includes(name))
    .map((one) => [one.name, Math.min(one.max, Math.max(one.min, scale * (parameters[one.name] ?? one.default)))]);
  return { ...parameters, ...Object.fromEntries(scaled) };
}

const contestRun = (seed: number, { hash, trap, figures }: SimulatedRun): ContestRun => ({
  seed,
  hash,
  ...(trap === undefined ? {} : { trap }),
  figures: Object.fromEntries(CONTEST_FIGURES.map((name) => [name, trap === undefined ? figures.over[name].mean : Number.NaN])) as Record<
    ContestFigure,
    number
  >,
});

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
  const entries = contenders.flatMap(({ name, choice }) => {
    const isLatching = choice.actuation === 'latching';
    return (isLatching ? scales : [1]).flatMap((scale) => {
      const parameters = isLatching ? scaleDeadband(choice.parameters, scale, contract) : choice.parameters;
      return Array.from({ length: seeds }, (_, index) => ({ name, scale, choice: { ...choice, parameters, seed: choice.seed + index } }));
    });
  });
  const choices = entries.map(({ choice }) => choice);
  const done = await runMany({ ...binaries, scenario: scenario.file }, choices, (count) => onDone(count, choices.length));
  const runs = entries.map(({ name, scale, choice }, index) => ({
    name,
    scale,
    run: contestRun(choice.seed, done[index] as SimulatedRun),
  }));
  return contenders.map(({ name, choice }) => {
    const own = runs.filter((one) => one.name === name);
    const points = [...new Set(own.map(({ scale }) => scale))].map((scale) => ({
      scale,
      runs: own.filter((one) => one.scale === scale).map(({ run }) => run),
    }));
    return { name, pulses: choice.actuation === 'latching', points };
  });
}
