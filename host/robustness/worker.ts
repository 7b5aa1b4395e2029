import { workerData } from 'piscina';
import { workerTask } from '../common/worker-task.js';
import type { Binaries } from '../simulate/evaluated-run.js';
import { defaultSettings, type RunSettings, runScenario, type SimulatedRun } from '../simulate/run.js';
import { readScenarioWith } from '../simulate/scenario.js';
import { SafetyWatch, type Violation } from './safety-watch.js';

/** A run of a scenario file with a machine file. */
export interface WatchedTask {
  readonly scenario: string;
  readonly machine: string;
  readonly seed: number;
  readonly actuation: RunSettings['actuation'];
}

/** A run and the safety rules that it broke. */
export interface WatchedRun {
  readonly run: SimulatedRun;
  readonly violations: readonly Violation[];
}

const { controller, plant } = workerData as Binaries;

function runWatched({ scenario: file, machine, seed, actuation }: WatchedTask): WatchedRun {
  const { contract } = controller.description;
  const scenario = readScenarioWith(file, machine, contract);
  const watch = new SafetyWatch(contract, scenario.rows, scenario.tickHz);
  const settings = { ...defaultSettings(scenario), seed, actuation };
  const run = runScenario(controller, plant, scenario, settings, undefined, undefined, (tick, views) => watch.take(tick, views));
  const bothOpen = run.metrics.byRow.bothOpenMs.flatMap((ms, row): Violation[] =>
    ms > 0 ? [{ kind: 'valve', row: row + 1, rule: `both valves were open for ${ms} ms` }] : [],
  );
  const trap: Violation[] =
    run.trap === undefined ? [] : [{ kind: 'trap', row: 0, rule: `the controller stopped at tick ${run.trap.tick}: ${run.trap.message}` }];
  return { run, violations: [...trap, ...bothOpen, ...watch.violations()] };
}

export default workerTask(runWatched);
