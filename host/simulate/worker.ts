import { workerData } from 'piscina';
import { workerTask } from '../common/worker-task.js';
import type { Controller } from '../runner/wasm-runner.js';
import { type RunSettings, runScenario, type SimulatedRun } from './run.js';
import { readScenarioWith, type Scenario } from './scenario.js';

/** What all workers of a pool share. Compiled modules are not compiled again in a worker. */
export interface Shared {
  readonly controller: Controller;
  readonly plant: WebAssembly.Module;
  /** The scenario's file. Each worker reads it, so that only plain values are sent. */
  readonly scenario: string;
  /** Machine file that replaces the scenario's machine. */
  readonly machine: string;
}

const { controller, plant, scenario: file, machine } = workerData as Shared;
let scenario: Scenario | undefined;

/** Runs the pool's scenario once. */
function runOnce(settings: RunSettings): SimulatedRun {
  scenario ??= readScenarioWith(file, machine, controller.description.contract);
  return runScenario(controller, plant, scenario, settings);
}

export default workerTask(runOnce);
