import { InputError, showValue } from '../../common/input-error.js';
import { parseNumber } from '../../common/parse-number.js';
import { refuseOverwritingInput, writeAtomic } from '../../common/write-atomic.js';
import { DEFAULT_SCALES, namedFile, readContenders, runContest } from '../../contest/contest.js';
import { compareSweeps, defaultRates, seedsOf } from '../../contest/equal-pulses.js';
import type { System } from '../../report/form/units.js';
import { contestSvg } from '../../report/simulation/contest-svg.js';
import { type Contest, contestText, trapLines } from '../../report/simulation/contest-text.js';
import { identifyBuild } from '../../review/builds.js';
import { readScenario } from '../../simulate/scenario.js';
import { checkRuns } from '../../simulate/work.js';
import { command, type Job } from '../context.js';
import { checkFlags, UNITS_RULE } from '../flag-rules.js';
import { currentController, currentPlant } from './binaries.js';
import { rowMetricNames } from './metric-names.js';

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
  readonly metric?: readonly string[];
  readonly units?: System;
  readonly yes?: boolean;
  readonly json?: boolean;
}

/** Maximum length of a list: each number means many runs. */
const NUMBERS_MAX = 30;

/** Reads a list of different numbers such as `0.5,1,2`. @throws InputError that names the flag */
function numbersOf(flag: string, list: string, min: number, max: number): number[] {
  const numbers = list.split(',').map((word) => parseNumber(word) ?? Number.NaN);
  const isValid = numbers.every((one, index) => one >= min && one <= max && numbers.indexOf(one) === index);
  if (isValid && numbers.length <= NUMBERS_MAX) return numbers;
  const allowed = `1 to ${NUMBERS_MAX} different numbers between ${min} and ${max}, separated by commas`;
  throw new InputError({ file: flag, problem: `the list is ${showValue(list)}`, value: list, allowed });
}

/** Reads all inputs and checks them before anything runs. */
async function prepare(job: Job, name: string, flags: Flags) {
  const { project } = job;
  const build = await currentController(job);
  const { controller } = build;
  const { contract } = controller.description;
  const scenario = readScenario(project, name, contract);
  const contenders = readContenders(scenario, flags, contract);
  const hasPulses = contenders.some(({ settings }) => settings.actuation === 'latching');
  const stray = hasPulses ? undefined : (['scales', 'at'] as const).find((flag) => flags[flag] !== undefined);
  if (stray !== undefined) throw new InputError({ file: `--${stray}`, problem: 'has no effect: no contender has a deadband or pulses' });
  const names = contenders.map((one) => one.name);
  const { against = names[0] ?? '', parameters = [], output, scales, at } = flags;
  if (!names.includes(against))
    throw new InputError({ file: '--against', problem: `${showValue(against)} is not a contender`, value: against, allowed: names });
  const files = parameters.map((words) => namedFile(words).file);
  if (output !== undefined) refuseOverwritingInput(output, ...scenario.files, ...files);
  const factors = scales === undefined ? DEFAULT_SCALES : numbersOf('--scales', scales, 0.01, 100);
  checkRuns(scenario, contenders.length * factors.length * flags.seeds, flags.yes);
  return {
    setup: {
      binaries: { controller, plant: await currentPlant(job) },
      scenario,
      contenders,
      seeds: flags.seeds,
      scales: factors,
      metrics: rowMetricNames(flags.metric),
    },
    build: identifyBuild(build),
    against,
    rates: at === undefined ? undefined : numbersOf('--at', at, 0.01, 100_000),
  };
}

export default command<Flags, [string]>(async (job, flags, name) => {
  checkFlags(flags, flags.output === undefined ? [UNITS_RULE] : []);
  const { setup, build, against, rates } = await prepare(job, name, flags);
  const sweeps = await runContest(setup, (done, all) => job.progress.show(`${done} of ${all} runs`));
  const equalPulses = compareSweeps(sweeps, against, rates ?? defaultRates(sweeps));
  const { title, name: scenario, machine } = setup.scenario;
  const contest: Contest = {
    controller: build,
    scenario,
    title,
    machine: machine.name,
    seeds: seedsOf(sweeps),
    against,
    equalPulses,
    sweeps,
  };
  const { output, units = 'si' } = flags;
  if (output !== undefined) writeAtomic(output, contestSvg({ ...contest, units }));
  return {
    text: `${contestText(contest, { units, metrics: setup.metrics })}${output === undefined ? '' : `\n${output} written\n`}`,
    json: output === undefined ? contest : { ...contest, picture: output },
    passed: trapLines(contest).length === 0,
  };
});
