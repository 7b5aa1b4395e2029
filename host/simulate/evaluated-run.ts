import { evaluateRequirements, type RequirementResult } from '../assess/requirements.js';
import type { OnProgress } from '../common/progress.js';
import type { RunIdentity } from '../contract/run-identity.js';
import type { Controller } from '../runner/wasm-runner.js';
import { identifySettings, type RunRecording, type RunSettings, runScenario, type SimulatedRun } from './run.js';
import { runMany } from './run-many.js';
import type { Scenario } from './scenario.js';

/** A run of a scenario and the results of its requirements. */
export interface EvaluatedRun {
  readonly scenario: Scenario;
  readonly settings: RunSettings;
  readonly ranWith: RunIdentity;
  readonly run: SimulatedRun;
  readonly requirements: readonly RequirementResult[];
}

/** The binaries of a simulation. */
export interface Binaries {
  readonly controller: Controller;
  readonly plant: WebAssembly.Module;
}

/** Whether a run reached its end and met all requirements. */
export const hasPassed = ({ run, requirements }: EvaluatedRun): boolean => run.trap === undefined && requirements.every(({ met }) => met);

/** Evaluates the requirements of a run. */
export const evaluateRun = ({ controller }: Binaries, scenario: Scenario, settings: RunSettings, run: SimulatedRun): EvaluatedRun => ({
  scenario,
  settings,
  ranWith: identifySettings(settings, controller.description.contract),
  run,
  requirements: evaluateRequirements(run.metrics, scenario.requirements),
});

/** Runs a scenario once, in this thread, and evaluates its requirements. */
export function runAndEvaluate(
  binaries: Binaries,
  scenario: Scenario,
  settings: RunSettings,
  recording?: RunRecording,
  onProgress?: OnProgress,
): EvaluatedRun {
  const { controller, plant } = binaries;
  return evaluateRun(binaries, scenario, settings, runScenario(controller, plant, scenario, settings, recording, onProgress));
}

/** Runs a scenario with `seeds` successive seeds, beginning with that of `first`, in a pool of workers. */
export async function runSeeds(
  binaries: Binaries,
  scenario: Scenario,
  first: RunSettings,
  seeds: number,
  onDone: (done: number) => void,
): Promise<EvaluatedRun[]> {
  const settings = Array.from({ length: seeds }, (_, index) => ({ ...first, seed: first.seed + index }));
  const runs = await runMany({ ...binaries, scenario: scenario.file, machine: scenario.machine.file }, settings, onDone);
  return runs.map((run, index) => evaluateRun(binaries, scenario, settings[index] ?? first, run));
}
