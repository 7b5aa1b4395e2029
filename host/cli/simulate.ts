import { buildCommand } from '@stricli/core';
import type { Binaries, EvaluatedRun } from '../simulate/evaluated-run.js';
import type { RunSettings } from '../simulate/run.js';
import type { Scenario } from '../simulate/scenario.js';
import {
  type Answer,
  answer,
  type Context,
  jsonFlag,
  type Progress,
  progressOf,
  seedCount,
  text,
  today,
  wholeNumber,
  words,
} from './answer.js';
import { noteIfStale } from './stale.js';

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

/** What machines get of a run. */
const asJson = ({ scenario, settings, run, requirements }: EvaluatedRun): object => ({
  scenario: scenario.name,
  title: scenario.title,
  machine: scenario.machine.name,
  rows: scenario.rows,
  seed: settings.seed,
  hash: run.hash,
  ticks: run.ticks,
  ...(run.trap === undefined ? {} : { trap: run.trap }),
  metrics: run.metrics,
  requirements,
});

/** What is to be run, and how. */
interface Work {
  readonly binaries: Binaries;
  readonly scenarios: readonly Scenario[];
  readonly chosen: readonly RunSettings[];
  readonly flags: Flags;
  readonly progress: Progress;
}

/** One scenario over several seeds. */
async function overSeeds({ binaries, scenarios, chosen, progress }: Work, seeds: number): Promise<Answer> {
  const [{ runSeeds, hasPassed }, { seedsText }] = await Promise.all([
    import('../simulate/evaluated-run.js'),
    import('../report/simulation/run-text.js'),
  ]);
  const [[scenario], [first]] = [scenarios, chosen] as [[Scenario], [RunSettings]];
  const begin = performance.now();
  const runs = await runSeeds(binaries, scenario, first, seeds, (done) => progress.say(`${done} of ${seeds} seeds`));
  const text = seedsText(runs, (performance.now() - begin) / 1000);
  return { text, json: { runs: runs.map(asJson) }, holds: runs.every(hasPassed) };
}

/** Scenarios one after the other; one alone is told in full. */
async function oneByOne({ binaries, scenarios, chosen, flags, progress }: Work): Promise<Answer> {
  const [{ runAndEvaluate, hasPassed }, { runText, runsTable }, { ALL_MESSAGES }] = await Promise.all([
    import('../simulate/evaluated-run.js'),
    import('../report/simulation/run-text.js'),
    import('../simulate/run.js'),
  ]);
  const recording = flags.output === undefined ? undefined : { file: flags.output, messages: ALL_MESSAGES, fromTick: 0 };
  const begin = performance.now();
  const runs = scenarios.map((scenario, index) => {
    const share = progress.share(`${index + 1} of ${scenarios.length}: ${scenario.name}`);
    return runAndEvaluate(binaries, scenario, chosen[index] as RunSettings, recording, share);
  });
  const seconds = (performance.now() - begin) / 1000;
  const [only] = runs;
  const text = runs.length === 1 && only !== undefined ? runText(only, seconds) : runsTable(runs, seconds);
  return { text, json: { runs: runs.map(asJson) }, holds: runs.every(hasPassed) };
}

/** Makes a vector of a scenario's run. */
async function recordCase({ binaries, scenarios, chosen, flags }: Work, name: string): Promise<Answer> {
  const [{ recordScenario }, { acceptanceTable }] = await Promise.all([
    import('../vector/record-scenario.js'),
    import('../report/vector/verdicts.js'),
  ]);
  const [[scenario], [choice]] = [scenarios, chosen] as [[Scenario], [RunSettings]];
  const approval = { by: flags.by ?? '', reason: flags.reason ?? '', date: today() };
  const { files: _, ...result } = recordScenario(binaries, scenario, choice, name, approval);
  return { text: acceptanceTable([result]), json: result, holds: true };
}

/** @throws InputError for flags that don't go together, or an output over an input */
async function checkFlags(flags: Flags, scenarios: readonly Scenario[]): Promise<void> {
  const [{ InputError }, { refuseOverwritingInput }] = await Promise.all([
    import('../common/input-error.js'),
    import('../common/write-atomic.js'),
  ]);
  const { output, seeds, recordCase: name, by, reason, parameters, controller } = flags;
  const given = Object.entries({ '--output': output, '--seeds': seeds, '--record-case': name }).filter(([, value]) => value !== undefined);
  const [[one] = [], [other] = []] = given;
  if (one !== undefined && scenarios.length !== 1)
    throw new InputError({ file: one, what: 'scenarios', value: scenarios.length, allowed: 'one' });
  if (one !== undefined && other !== undefined) throw new InputError({ file: one, what: `together with ${other}`, allowed: 'one of them' });
  if (name !== undefined && (by === undefined || reason === undefined))
    throw new InputError({ file: '--record-case', what: 'an acceptance without name or reason', allowed: '--by NAME --reason TEXT' });
  const read = [parameters, controller].filter((file) => file !== undefined);
  if (output !== undefined) refuseOverwritingInput(output, ...read, ...scenarios.flatMap(({ files }) => files));
}

async function simulate(this: Context, flags: Flags, ...names: string[]): Promise<void> {
  await answer(this, flags, async () => {
    const [{ loadController }, { loadPlant }, { readScenario, scenarioNames }, { resolveSettings }] = await Promise.all([
      import('../runner/wasm-runner.js'),
      import('../simulate/plant.js'),
      import('../simulate/scenario.js'),
      import('../simulate/run-options.js'),
    ]);
    const controller = loadController(flags.controller);
    const { contract, sourceHash } = controller.description;
    if (flags.controller === undefined) await noteIfStale(this, sourceHash);
    const scenarios = (names.length > 0 ? names : scenarioNames()).map((name) => readScenario(name, contract));
    await checkFlags(flags, scenarios);
    const chosen = scenarios.map((scenario) => resolveSettings(scenario, flags, contract));
    const progress = progressOf(this, flags.json);
    const work: Work = { binaries: { controller, plant: loadPlant() }, scenarios, chosen, flags, progress };
    try {
      if (flags.recordCase !== undefined) return await recordCase(work, flags.recordCase);
      return await (flags.seeds === undefined ? oneByOne(work) : overSeeds(work, flags.seeds));
    } finally {
      progress.done();
    }
  });
}

const option = (brief: string, placeholder: string) => ({ kind: 'parsed', parse: text, brief, optional: true, placeholder }) as const;

export const simulateCommand = buildCommand({
  docs: {
    brief: 'Run the controller in a closed loop with a simulated machine and field',
    fullDescription:
      'A scenario says machine, field, drive, what goes wrong and what is required. The controller that ships is run against a physical ' +
      'model; metrics of each row and of the bank are printed, and whether the requirements hold. Exit code 0: all hold. 1: one does ' +
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
      strategy: option('threshold, cascade or predictive; for comparison the baselines proportional and perfect', 'name'),
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
