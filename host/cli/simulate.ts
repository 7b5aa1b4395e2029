import { buildCommand } from '@stricli/core';
import type { SimulatedRun } from '../simulate/run.js';
import type { Scenario } from '../simulate/scenario.js';
import { type Answer, answer, type Context, jsonFlag, type Progress, progressOf, text, today, wholeNumber, words } from './answer.js';

interface Flags {
  readonly output?: string;
  readonly seed?: number;
  readonly seeds?: number;
  readonly strategy?: string;
  readonly parameters?: string;
  readonly set?: readonly string[];
  readonly controller?: string;
  readonly recordCase?: string;
  readonly by?: string;
  readonly reason?: string;
  readonly json?: boolean;
}

const load = async () => {
  const [wasm, plant, scenario, run, choose, many, requirements, text, figures, add, input, contract] = await Promise.all([
    import('../target/wasm.js'),
    import('../simulate/plant.js'),
    import('../simulate/scenario.js'),
    import('../simulate/run.js'),
    import('../simulate/choose.js'),
    import('../simulate/many.js'),
    import('../assess/requirements.js'),
    import('../report/run-text.js'),
    import('../report/figures-text.js'),
    import('../vector/add.js'),
    import('../files/input-error.js'),
    import('../contract/contract.js'),
  ]);
  return {
    ...wasm,
    ...plant,
    ...scenario,
    ...run,
    ...choose,
    ...many,
    ...requirements,
    ...text,
    ...figures,
    ...add,
    ...input,
    ...contract,
  };
};
type Modules = Awaited<ReturnType<typeof load>>;

/** What machines get of a run. */
const asJson = (scenario: Scenario, seed: number, run: SimulatedRun, verdicts: readonly object[]): object => ({
  scenario: scenario.name,
  title: scenario.title,
  machine: scenario.machine.name,
  rows: scenario.rows,
  seed,
  hash: run.hash,
  ticks: run.ticks,
  ...(run.trap === undefined ? {} : { trap: run.trap }),
  figures: run.figures,
  requirements: verdicts,
});

/** One scenario over several seeds, in a pool of workers. */
async function overSeeds(m: Modules, scenario: Scenario, flags: Flags, seeds: number, progress: Progress): Promise<Answer> {
  const first = m.chooseRun(scenario, flags);
  const choices = Array.from({ length: seeds }, (_, index) => ({ ...first, seed: first.seed + index }));
  const shared = { controller: m.loadController(flags.controller), plant: m.loadPlant(), scenario: scenario.file };
  const begin = performance.now();
  const runs = await m.runMany(shared, choices, (done) => progress.say(`${done} of ${seeds} seeds`));
  const seconds = (performance.now() - begin) / 1000;
  const judged = runs.map((run, index) => {
    const choice = choices[index] ?? first;
    return { scenario, choice, run, verdicts: m.judge(run.figures, scenario.requirements) };
  });
  const spread = m.spreadText(judged.map(({ run, choice }) => ({ seed: choice.seed, figures: run.figures })));
  const json = judged.map(({ run, choice, verdicts }) => asJson(scenario, choice.seed, run, verdicts));
  return {
    text: `${scenario.title}\n\n${spread}\n${m.runsTable(judged, seconds, 'seed')}`,
    json: { runs: json },
    holds: judged.every(m.runHolds),
  };
}

/** Runs scenarios one after the other; one alone is told in full. */
function oneByOne(m: Modules, scenarios: readonly Scenario[], flags: Flags, progress: Progress): Answer {
  const controller = m.loadController(flags.controller);
  const plant = m.loadPlant();
  const recording = (): Parameters<typeof m.runScenario>[4] =>
    flags.output === undefined ? undefined : { file: flags.output, messages: m.ALL_MESSAGES, fromTick: 0 };
  const begin = performance.now();
  const judged = scenarios.map((scenario, index) => {
    const choice = m.chooseRun(scenario, flags);
    const share = progress.share(`${index + 1} of ${scenarios.length}: ${scenario.name}`);
    const run = m.runScenario(controller, plant, scenario, choice, recording(), share);
    return { scenario, choice, run, verdicts: m.judge(run.figures, scenario.requirements) };
  });
  const seconds = (performance.now() - begin) / 1000;
  const [only] = judged;
  const json = judged.map(({ scenario, choice, run, verdicts }) => asJson(scenario, choice.seed, run, verdicts));
  const told = judged.length === 1 && only !== undefined ? m.runText(only, seconds) : m.runsTable(judged, seconds);
  return { text: told, json: { runs: json }, holds: judged.every(m.runHolds) };
}

/** Makes a vector of a scenario's run. */
async function recordCase(m: Modules, scenario: Scenario, flags: Flags, name: string): Promise<Answer> {
  const { by, reason } = flags;
  if (by === undefined || reason === undefined)
    throw new m.InputError({ file: '--record-case', what: 'an acceptance without name or reason', allowed: '--by NAME --reason TEXT' });
  const [{ recordScenario }, { acceptanceTable }] = await Promise.all([
    import('../vector/record-scenario.js'),
    import('../report/verdicts.js'),
  ]);
  const controller = m.loadController(flags.controller);
  const choice = m.chooseRun(scenario, flags);
  const { files: _, ...result } = recordScenario(controller, m.loadPlant(), scenario, choice, name, { by, reason, date: today() });
  return { text: acceptanceTable([result]), json: result, holds: true };
}

function checkFlags(m: Modules, flags: Flags, count: number): void {
  const single = [
    ['--output', flags.output],
    ['--seeds', flags.seeds],
    ['--record-case', flags.recordCase],
  ].filter(([, value]) => value !== undefined);
  const [one, other] = single;
  if (one !== undefined && count !== 1) throw new m.InputError({ file: String(one[0]), what: 'scenarios', value: count, allowed: 'one' });
  if (other !== undefined) throw new m.InputError({ file: String(one?.[0]), what: `together with ${other[0]}`, allowed: 'one of them' });
}

async function simulate(this: Context, flags: Flags, ...names: string[]): Promise<void> {
  await answer(this, flags, async () => {
    const m = await load();
    const contract = m.describeContract();
    const scenarios = (names.length > 0 ? names : m.scenarioNames()).map((name) => m.readScenario(name, contract));
    checkFlags(m, flags, scenarios.length);
    const progress = progressOf(this, flags.json);
    const [first] = scenarios;
    try {
      if (first !== undefined && flags.recordCase !== undefined) return await recordCase(m, first, flags, flags.recordCase);
      if (first !== undefined && flags.seeds !== undefined) return await overSeeds(m, first, flags, flags.seeds, progress);
      return oneByOne(m, scenarios, flags, progress);
    } finally {
      progress.done();
    }
  });
}

/** How many seeds: at least one. */
function seedCount(value: string): number {
  const count = wholeNumber(value);
  if (count < 1 || count > 10000) throw new Error(`${value} is no number of seeds from 1 to 10000`);
  return count;
}

const option = (brief: string, placeholder: string) => ({ kind: 'parsed', parse: text, brief, optional: true, placeholder }) as const;

export const simulateCommand = buildCommand({
  docs: {
    brief: 'Run the controller in a closed loop with a simulated machine and field',
    fullDescription:
      'A scenario says machine, field, drive, what goes wrong and what is required. The controller that ships is run against a physical ' +
      'model; figures of each row and of the bank are printed, and whether the requirements hold. Exit code 0: all hold. 1: one does ' +
      'not, or the controller stopped. 2: bad input. The model is an engineering aid: its values are estimates of an invented machine.',
  },
  parameters: {
    positional: {
      kind: 'array',
      parameter: { brief: 'Scenarios by name or file; all of vectors/scenarios if none', parse: text, placeholder: 'scenario' },
    },
    flags: {
      output: option('Record inputs, outputs, every value in between and the plant’s truth', 'file'),
      seed: { kind: 'parsed', parse: wholeNumber, brief: 'Seed in place of the scenario’s', optional: true, placeholder: 'number' },
      seeds: { kind: 'parsed', parse: seedCount, brief: 'So many seeds, for mean and spread', optional: true, placeholder: 'count' },
      strategy: option('threshold or cascade; for comparison the baselines proportional and perfect', 'name'),
      parameters: option('Parameter file, over the scenario’s own', 'file'),
      set: {
        kind: 'parsed',
        parse: text,
        brief: 'A parameter as name=value, over the file’s',
        optional: true,
        variadic: true,
        placeholder: 'name=value',
      },
      controller: option('Controller binary; dist/controller.wasm if not given', 'file'),
      recordCase: option('Make a vector of this name of the run’s inputs; needs --by and --reason', 'name'),
      by: { kind: 'parsed', parse: words, brief: 'Who accepts the vector', optional: true, placeholder: 'name' },
      reason: { kind: 'parsed', parse: words, brief: 'Why its outputs are right', optional: true, placeholder: 'text' },
      json: jsonFlag,
    },
    aliases: { o: 'output' },
  },
  func: simulate,
});
