import { InputError } from '../../common/input-error.js';
import { refuseOverwritingInput } from '../../common/write-atomic.js';
import type { BuildIdentity } from '../../contract/run-identity.js';
import type { System } from '../../report/form/units.js';
import type { MetricChoice } from '../../report/simulation/metrics-text.js';
import { runText, scenariosText, seedsText } from '../../report/simulation/run-text.js';
import { acceptanceTable } from '../../report/vector/verdicts.js';
import { identifyBuild } from '../../review/builds.js';
import { type Binaries, type EvaluatedRun, hasPassed, runAndEvaluate, runSeeds } from '../../simulate/evaluated-run.js';
import { ALL_MESSAGES, type RunSettings } from '../../simulate/run.js';
import { resolveSettings } from '../../simulate/run-options.js';
import { readScenario, type Scenario, scenarioNames } from '../../simulate/scenario.js';
import { checkRuns } from '../../simulate/work.js';
import type { Approval } from '../../vector/accept.js';
import { newVectorFolder } from '../../vector/add.js';
import { recordScenario } from '../../vector/record-scenario.js';
import { type Answer, command, type Progress } from '../context.js';
import { checkFlags, type FlagRule, METRIC_RULE, UNITS_RULE } from '../flag-rules.js';
import { runAgainst } from './against.js';
import { approvalOf } from './approval.js';
import { currentPlant, namedController } from './binaries.js';
import { metricNames } from './metric-names.js';

interface Flags {
  readonly output?: string;
  readonly seed?: number;
  readonly seeds?: number;
  readonly strategy?: string;
  readonly parameters?: string;
  readonly set?: readonly string[];
  readonly against?: string;
  readonly controller?: string;
  readonly recordVector?: string;
  readonly by?: string;
  readonly reason?: string;
  readonly metric?: readonly string[];
  readonly units?: System;
  readonly yes?: boolean;
  readonly json?: boolean;
}

/** A run in JSON output. */
const runJson = ({ scenario, settings, ranWith, run, requirements }: EvaluatedRun): object => ({
  scenario: scenario.name,
  title: scenario.title,
  machine: scenario.machine.name,
  rows: scenario.rows,
  seed: settings.seed,
  ranWith,
  hash: run.hash,
  ticks: run.ticks,
  ...(run.trap === undefined ? {} : { trap: run.trap }),
  metrics: run.metrics,
  requirements,
});

/** Scenarios to run, each with how to run it. */
interface Work {
  readonly build: BuildIdentity;
  readonly binaries: Binaries;
  readonly scenarios: readonly Scenario[];
  readonly settings: readonly RunSettings[];
  readonly progress: Progress;
  readonly choice: MetricChoice;
}

/** Runs one scenario with several seeds. */
async function runOverSeeds({ build, binaries, scenarios, settings, progress, choice }: Work, seeds: number): Promise<Answer> {
  const [[scenario], [first]] = [scenarios, settings] as [[Scenario], [RunSettings]];
  const start = performance.now();
  const runs = await runSeeds(binaries, scenario, first, seeds, (done) => progress.show(`${done} of ${seeds} seeds`));
  const text = seedsText(runs, (performance.now() - start) / 1000, build, choice);
  return { text, json: { controller: build, runs: runs.map(runJson) }, passed: runs.every(hasPassed) };
}

/** Runs scenarios one after another; a single one is shown in detail. */
function runOneByOne({ build, binaries, scenarios, settings, progress, choice }: Work, output: string | undefined): Answer {
  const recording = output === undefined ? undefined : { file: output, messages: ALL_MESSAGES, fromTick: 0 };
  const start = performance.now();
  const runs = scenarios.map((scenario, index) => {
    const onProgress = progress.percentOf(`${index + 1} of ${scenarios.length}: ${scenario.name}`);
    return runAndEvaluate(binaries, scenario, settings[index] as RunSettings, recording, onProgress);
  });
  const seconds = (performance.now() - start) / 1000;
  const [only] = runs;
  const isOne = runs.length === 1 && only !== undefined;
  const text = isOne ? runText(only, seconds, build, choice) : scenariosText(runs, seconds, build, choice);
  return { text, json: { controller: build, runs: runs.map(runJson) }, passed: runs.every(hasPassed) };
}

/** Creates a vector from a scenario's run. */
function recordAsVector({ build, binaries, scenarios, settings }: Work, folder: string, approval: Approval): Answer {
  const [[scenario], [first]] = [scenarios, settings] as [[Scenario], [RunSettings]];
  const { files: _, ...result } = recordScenario(binaries, scenario, first, folder, approval);
  return { text: acceptanceTable([result], build, 'accepted'), json: { controller: build, ...result }, passed: true };
}

const RULES: readonly FlagRule<Flags>[] = [
  UNITS_RULE,
  METRIC_RULE,
  ...(['output', 'recordVector'] as const).map((flag) => ({ flag, excludes: 'against' }) as const),
  { flag: 'output', excludes: 'seeds' },
  { flag: 'output', excludes: 'recordVector' },
  { flag: 'seeds', excludes: 'recordVector' },
  { flag: 'by', needs: 'recordVector' },
  { flag: 'reason', needs: 'recordVector' },
  { flag: 'recordVector', needs: 'by', why: 'who accepts the new vector' },
  { flag: 'recordVector', needs: 'reason', why: 'why its outputs are right' },
];

/** @throws InputError for flags that cannot be combined, or an output that is also an input */
function checkUse(flags: Flags, scenarios: readonly Scenario[]): void {
  const { output, seeds, recordVector, parameters, controller } = flags;
  const single = { '--output': output, '--seeds': seeds, '--record-vector': recordVector, '--against': flags.against };
  const [one] = Object.entries(single).find(([, value]) => value !== undefined) ?? [];
  if (one !== undefined && scenarios.length !== 1)
    throw new InputError({ file: one, problem: `${scenarios.length} scenarios are given, but this flag needs exactly one` });
  const read = [parameters, controller, flags.against].filter((file) => file !== undefined);
  if (output !== undefined) refuseOverwritingInput(output, ...read, ...scenarios.flatMap(({ files }) => files));
}

export default command<Flags, string[]>(async (job, flags, ...names) => {
  const { project, progress } = job;
  checkFlags(flags, RULES);
  // A recorded vector holds accepted outputs.
  const whenStale = flags.recordVector === undefined ? 'build' : 'refuse';
  const build = await namedController(job, flags.controller, whenStale);
  const { controller } = build;
  const { contract } = controller.description;
  const scenarios = (names.length > 0 ? names : scenarioNames(project)).map((name) => readScenario(project, name, contract));
  checkUse(flags, scenarios);
  const choice = { units: flags.units ?? 'si', metrics: metricNames(flags.metric) };
  for (const scenario of scenarios) checkRuns(scenario, flags.seeds ?? 1, flags.yes);
  const settings = scenarios.map((scenario) => resolveSettings(scenario, flags, contract));
  const binaries = { controller, plant: await currentPlant(job, whenStale) };
  const [[scenario], [first]] = [scenarios, settings] as [[Scenario], [RunSettings]];
  if (flags.against !== undefined)
    return runAgainst(
      job,
      flags.against,
      { build, settings: first },
      { scenario, plant: binaries.plant, seeds: flags.seeds ?? 1, choice, isConfirmed: flags.yes },
    );
  const work: Work = { build: identifyBuild(build), binaries, scenarios, settings, progress, choice };
  const { recordVector, by = '', reason = '' } = flags;
  if (recordVector !== undefined) return recordAsVector(work, newVectorFolder(project, recordVector), approvalOf(project.root, by, reason));
  return flags.seeds === undefined ? runOneByOne(work, flags.output) : runOverSeeds(work, flags.seeds);
});
