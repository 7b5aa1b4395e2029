import { buildCommand } from '@stricli/core';
import type { Contest } from '../report/simulation/contest-text.js';
import { type Answer, answer, type Context, jsonFlag, type Progress, progressOf, seedCount, text, wholeNumber } from './answer.js';
import { noteIfStale } from './stale.js';

interface Flags {
  readonly strategies?: string;
  readonly parameters?: readonly string[];
  readonly against?: string;
  readonly seeds: number;
  readonly seed?: number;
  readonly scales?: string;
  readonly at?: string;
  readonly set?: readonly string[];
  readonly output?: string;
  readonly json?: boolean;
}

/** Numbers in a list; as many scales with many seeds take long enough. */
const NUMBERS_MOST = 30;

/** `0.5,1,2`: so many different numbers at most, all inside limits. @throws InputError that names the flag */
async function numbersOf(flag: string, list: string, least: number, most: number): Promise<number[]> {
  const { InputError } = await import('../common/input-error.js');
  const numbers = list.split(',').map((word) => (word.trim() === '' ? Number.NaN : Number(word)));
  const isRight = numbers.every((one, index) => one >= least && one <= most && numbers.indexOf(one) === index);
  if (isRight && numbers.length <= NUMBERS_MOST) return numbers;
  const allowed = `1 to ${NUMBERS_MOST} different numbers from ${least} to ${most} with commas between`;
  throw new InputError({ file: flag, what: 'value', value: list, allowed });
}

/** Reads what was asked for and checks all of it before anything runs. */
async function prepare(context: Context, name: string, flags: Flags) {
  const [{ loadController }, { loadPlant }, { readScenario }, contest, { InputError }, { refuseOverwritingInput }] = await Promise.all([
    import('../runner/wasm-runner.js'),
    import('../simulate/plant.js'),
    import('../simulate/scenario.js'),
    import('../contest/contest.js'),
    import('../common/input-error.js'),
    import('../common/write-atomic.js'),
  ]);
  const controller = loadController();
  const { contract, sourceHash } = controller.description;
  await noteIfStale(context, sourceHash);
  const scenario = readScenario(name, contract);
  const contenders = contest.readContenders(scenario, flags, contract);
  const names = contenders.map((one) => one.name);
  const { against = names[0] ?? '', parameters = [], output, scales, at } = flags;
  if (!names.includes(against)) throw new InputError({ file: '--against', what: 'contender', value: against, allowed: names });
  const files = parameters.map((words) => contest.namedFile(words).file);
  if (output !== undefined) refuseOverwritingInput(output, ...scenario.files, ...files);
  return {
    setup: {
      binaries: { controller, plant: loadPlant() },
      scenario,
      contenders,
      seeds: flags.seeds,
      scales: scales === undefined ? contest.USUAL_SCALES : await numbersOf('--scales', scales, 0.01, 100),
    },
    against,
    rates: at === undefined ? undefined : await numbersOf('--at', at, 0.01, 100_000),
  };
}

async function holdContest(context: Context, name: string, flags: Flags, progress: Progress): Promise<Answer> {
  const { setup, against, rates } = await prepare(context, name, flags);
  const [{ runContest }, { compareSweeps, seedsOf, usualRates }, { contestText, trapLines }, { contestSvg }, { writeAtomic }] =
    await Promise.all([
      import('../contest/contest.js'),
      import('../contest/equal-pulses.js'),
      import('../report/simulation/contest-text.js'),
      import('../report/simulation/contest-svg.js'),
      import('../common/write-atomic.js'),
    ]);
  const sweeps = await runContest(setup, (done, all) => progress.say(`${done} of ${all} runs`));
  const equalPulses = compareSweeps(sweeps, against, rates ?? usualRates(sweeps));
  const { title, name: scenario, machine } = setup.scenario;
  const contest: Contest = { scenario, title, machine: machine.name, seeds: seedsOf(sweeps), against, equalPulses, sweeps };
  const { output } = flags;
  if (output !== undefined) writeAtomic(output, contestSvg(contest));
  return {
    text: `${contestText(contest)}${output === undefined ? '' : `\n${output} written\n`}`,
    json: output === undefined ? contest : { ...contest, picture: output },
    holds: trapLines(contest).length === 0,
  };
}

async function contest(this: Context, flags: Flags, name: string): Promise<void> {
  await answer(this, flags, async () => {
    const progress = progressOf(this, flags.json);
    try {
      return await holdContest(this, name, flags, progress);
    } finally {
      progress.done();
    }
  });
}

const option = (brief: string, placeholder: string) => ({ kind: 'parsed', parse: text, brief, optional: true, placeholder }) as const;

export const contestCommand = buildCommand({
  docs: {
    brief: 'Compare strategies and settings at equal pulses per minute',
    fullDescription:
      'The same field, seeds and faults for several contenders: strategies, baselines and parameter files. Whoever pulses more can hold ' +
      'the load better, and an untuned contender flatters its rivals; so the deadband of each is swept, and load and oil are compared ' +
      'where the pulses per minute are equal, seed by seed. Exit code 1: the controller stopped in a run. 2: bad input. The model is ' +
      'an engineering aid: its values are estimates of an invented machine.',
  },
  parameters: {
    positional: { kind: 'tuple', parameters: [{ brief: 'Scenario by name or file', parse: text, placeholder: 'scenario' }] },
    flags: {
      strategies: option('Contenders: threshold, cascade, predictive; the baselines proportional, perfect; with commas between', 'names'),
      parameters: { ...option('A contender: a parameter file, called by its own name or this one', '[name=]file'), variadic: true },
      against: option('The contender that all are compared with; the first if not given', 'name'),
      seeds: { kind: 'parsed', parse: seedCount, brief: 'How many seeds', default: '5', placeholder: 'count' },
      seed: { kind: 'parsed', parse: wholeNumber, brief: 'First seed in place of the scenario’s', optional: true, placeholder: 'number' },
      scales: option('Widths of the deadband, 1 being a contender’s own; 0.35,0.5,0.7,1,1.4,2,2.8 if not given', 'numbers'),
      at: option('Pulses per minute to compare at; three that all reach if not given', 'numbers'),
      set: { ...option('A parameter of all contenders as name=value', 'name=value'), variadic: true },
      output: option('Picture of the curves to write, SVG', 'file'),
      json: jsonFlag,
    },
    aliases: { o: 'output' },
  },
  func: contest,
});
