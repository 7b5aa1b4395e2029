import { InputError } from '../../common/input-error.js';
import { refuseOverwritingInput } from '../../common/write-atomic.js';
import { type BoardLockstep, type BoardRealTime, lockstepSimulationText, realTimeText } from '../../report/rig/simulate-text.js';
import { scenariosText } from '../../report/simulation/run-text.js';
import { type Build, identifyBuild } from '../../review/builds.js';
import type { FreeRunObserver } from '../../rig/free-run.js';
import { SYSTEM_CLOCK } from '../../rig/link/clock.js';
import type { OpenBoard } from '../../rig/open-rig.js';
import { RunRecorder } from '../../rig/record-run.js';
import type { RigBoard } from '../../rig/rig-file.js';
import { simulateInLockstep } from '../../rig/simulate-lockstep.js';
import { type RealTimeSimulation, simulateInRealTime } from '../../rig/simulate-real-time.js';
import { type Binaries, hasPassed, runAndEvaluate } from '../../simulate/evaluated-run.js';
import type { RunSettings } from '../../simulate/run.js';
import { resolveSettings } from '../../simulate/run-options.js';
import { readScenario, type Scenario } from '../../simulate/scenario.js';
import { type Answer, command, type Job } from '../context.js';
import { checkFlags, type FlagRule, METRIC_RULE } from '../flag-rules.js';
import type { RigFlags } from '../rig-flags.js';
import { currentController, currentPlant } from './binaries.js';
import { metricNames } from './metric-names.js';
import { type ChosenRig, chooseRig, onBoards, rigUse } from './rig.js';

interface Flags extends RigFlags {
  readonly lockstep?: boolean;
  readonly realTime?: boolean;
  readonly times?: number;
  readonly lead?: number;
  readonly parameters?: string;
  readonly set?: readonly string[];
  readonly output?: string;
  readonly metric?: readonly string[];
}

const RULES: readonly FlagRule<Flags>[] = [
  METRIC_RULE,
  { flag: 'lockstep', excludes: 'realTime' },
  ...(['times', 'lead', 'output'] as const).map((flag) => ({ flag, needs: 'realTime' }) as const),
  { flag: 'output', excludes: 'times' },
];

const NS_PER_MS = 1_000_000n;

/** A scenario with what it runs with. */
interface Planned {
  readonly scenario: Scenario;
  readonly settings: RunSettings;
}

/** @throws InputError for no scenario, a board with too few rows, or a recording of more than one run */
function checkUse({ output }: Flags, { rig, boards }: ChosenRig, plans: readonly Planned[]): void {
  if (plans.length === 0) throw new InputError({ file: rig.file, problem: 'no scenario is named, here or in `run.scenarios`' });
  for (const { scenario } of plans) for (const board of boards) checkRows(board, scenario, rig.file);
  if (output === undefined) return;
  if (boards.length !== 1 || plans.length !== 1)
    throw new InputError({
      file: '--output',
      problem: `${boards.length} boards and ${plans.length} scenarios are to be run, but a recording is of one scenario on one board`,
    });
  refuseOverwritingInput(output, rig.file, ...plans.flatMap(({ scenario }) => scenario.files));
}

function checkRows({ name, rows }: RigBoard, scenario: Scenario, file: string): void {
  if (rows < scenario.rows)
    throw new InputError({
      file,
      problem: `board ${name} has ${rows} rows, but scenario ${scenario.name} needs ${scenario.rows}`,
      value: rows,
    });
}

const isSame = ({ divergence, stop }: BoardLockstep): boolean => divergence === undefined && stop === undefined;

/** What a run of a board needs. */
interface Work {
  readonly job: Job;
  readonly build: Build;
  readonly binaries: Binaries;
  readonly plans: readonly Planned[];
  readonly chosen: ChosenRig;
  readonly flags: Flags;
}

async function inLockstep({ job, binaries, plans }: Work, { config, board }: OpenBoard): Promise<BoardLockstep[]> {
  const results: BoardLockstep[] = [];
  for (const { scenario, settings } of plans) {
    const onProgress = job.progress.percentOf(`${config.name}: ${scenario.name}`);
    results.push({ name: config.name, ...(await simulateInLockstep(board, binaries, scenario, settings, onProgress)) });
  }
  return results;
}

function recorderOf({ build, flags: { output } }: Work, { board }: OpenBoard, { scenario, settings }: Planned): RunRecorder | undefined {
  if (output === undefined) return undefined;
  const { title, name, rows, tickHz } = scenario;
  const source = `simulated in real time with board ${board.greeting.board} at ${board.name}: scenario ${name}, seed ${settings.seed}`;
  const startNs = BigInt(Date.now()) * NS_PER_MS;
  return new RunRecorder(output, build.controller, { title, source, rows, tickHz, values: settings.parameters, startNs });
}

async function inRealTime(work: Work, open: OpenBoard): Promise<BoardRealTime[]> {
  const { job, binaries, plans, chosen, flags } = work;
  const { times = 1, lead } = flags;
  const results: BoardRealTime[] = [];
  for (const plan of plans) {
    const { scenario, settings } = plan;
    const runs: RealTimeSimulation[] = [];
    for (let run = 1; run <= times; run++) {
      const onProgress = job.progress.percentOf(`${open.config.name}: ${scenario.name}, run ${run} of ${times}`);
      const recorder = recorderOf(work, open, plan);
      const observer: FreeRunObserver = { onProgress, ...(recorder === undefined ? {} : { onStep: (...step) => recorder.take(...step) }) };
      try {
        runs.push(
          await simulateInRealTime(
            open.board,
            binaries,
            scenario,
            settings,
            { limits: chosen.rig.limits, leadMs: lead },
            SYSTEM_CLOCK,
            observer,
          ),
        );
      } finally {
        recorder?.close();
      }
      if (runs.at(-1)?.board.verdict === 'stopped') break;
    }
    results.push({ name: open.config.name, pure: runAndEvaluate(binaries, scenario, settings), runs });
  }
  return results;
}

const scenarioJson = ({ scenario, ...rest }: { readonly scenario: Scenario }): object => ({ scenario: scenario.name, ...rest });

function pureAnswer({ build, binaries, plans, job, flags }: Work): Answer {
  const start = performance.now();
  const runs = plans.map(({ scenario, settings }) =>
    runAndEvaluate(binaries, scenario, settings, undefined, job.progress.percentOf(scenario.name)),
  );
  const controller = identifyBuild(build);
  const choice = { units: 'si' as const, metrics: metricNames(flags.metric) };
  const text = scenariosText(runs, (performance.now() - start) / 1000, controller, choice);
  return { text, json: { controller, runs: runs.map(scenarioJson) }, passed: runs.every(hasPassed) };
}

export default command<Flags, string[]>(async (job, flags, ...names) => {
  checkFlags(flags, RULES);
  const chosen = chooseRig(job, flags);
  const build = await currentController(job);
  const { contract } = build.controller.description;
  const plans = (names.length > 0 ? names : chosen.rig.scenarios).map((name) => {
    const scenario = readScenario(job.project, name, contract);
    return { scenario, settings: resolveSettings(scenario, flags, contract) };
  });
  checkUse(flags, chosen, plans);
  const binaries = { controller: build.controller, plant: await currentPlant(job) };
  const work: Work = { job, build, binaries, plans, chosen, flags };
  const controller = identifyBuild(build);
  const { title: rig } = chosen.rig;
  if (flags.lockstep === true) {
    const all = (await onBoards(job, flags, chosen, rigUse(job, build, 'files'), (open) => inLockstep(work, open))).flat();
    const passed = all.every((one) => isSame(one) && hasPassed(one));
    return { text: lockstepSimulationText(all, controller), json: { controller, rig, runs: all.map(scenarioJson) }, passed };
  }
  if (flags.realTime !== true) return pureAnswer(work);
  const all = (await onBoards(job, flags, chosen, rigUse(job, build, 'uart'), (open) => inRealTime(work, open))).flat();
  const choice = { units: 'si' as const, metrics: metricNames(flags.metric) };
  const json = {
    controller,
    rig,
    runs: all.map(({ name, pure, runs }) => ({ board: name, pure: scenarioJson(pure), realTime: runs.map(scenarioJson) })),
  };
  const passed = all.every(({ runs }) => runs.every((one) => one.board.verdict === 'same' && hasPassed(one)));
  return { text: realTimeText(all, controller, choice), json, passed };
});
