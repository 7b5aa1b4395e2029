import { workerData } from 'piscina';
import { workerTask } from '../common/worker-task.js';
import type { Binaries } from '../simulate/evaluated-run.js';
import { type RunSettings, runScenario } from '../simulate/run.js';
import { readScenarioWith, type Scenario } from '../simulate/scenario.js';

/** One run. A worker reads the scenario from its file, so that only plain values are sent. */
export interface TuneTask {
  readonly scenario: string;
  readonly machine: string;
  /** Quantities of the machine that replace those of its file. */
  readonly quantities: Readonly<Record<string, number>>;
  readonly settings: RunSettings;
}

/** Metrics of a run as means over its rows. All are NaN if the controller stopped. */
export interface TuneMetrics {
  readonly loadRmsN: number;
  readonly pulsesPerMin: number;
  readonly oilLpm: number;
}

const { controller, plant } = workerData as Binaries;
const scenarios = new Map<string, Scenario>();

function scenarioOf({ scenario: file, machine }: TuneTask): Scenario {
  const key = `${file}\n${machine}`;
  const scenario = scenarios.get(key) ?? readScenarioWith(file, machine, controller.description.contract);
  scenarios.set(key, scenario);
  return scenario;
}

function runTask(task: TuneTask): TuneMetrics {
  const scenario = scenarioOf(task);
  const machine = { ...scenario.machine, values: { ...scenario.machine.values, ...task.quantities } };
  const { metrics, trap } = runScenario(controller, plant, { ...scenario, machine }, task.settings);
  const meanOf = (name: keyof TuneMetrics): number => (trap === undefined ? metrics.over[name].mean : Number.NaN);
  return { loadRmsN: meanOf('loadRmsN'), pulsesPerMin: meanOf('pulsesPerMin'), oilLpm: meanOf('oilLpm') };
}

export default workerTask(runTask);
