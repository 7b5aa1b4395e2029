import { workerData } from 'piscina';
import { workerTask } from '../common/worker-task.js';
import type { Controller } from '../runner/wasm-runner.js';
import type { RunSettings, SimulatedRun } from '../simulate/run.js';
import { readScenarioWith, type Scenario } from '../simulate/scenario.js';
import { runSide } from './closed-loop-side.js';

/** What all workers of a pool share. */
export interface Shared {
  readonly controllers: Readonly<Record<'base' | 'head', Controller>>;
  readonly plant: WebAssembly.Module;
  /** Files, so that only plain values are sent. */
  readonly scenario: string;
  readonly machine: string;
}

/** A run of one side. */
export interface SideTask {
  readonly side: 'base' | 'head';
  readonly settings: RunSettings;
}

const { controllers, plant, scenario: file, machine } = workerData as Shared;
let scenario: Scenario | undefined;

function runOnce({ side, settings }: SideTask): SimulatedRun {
  scenario ??= readScenarioWith(file, machine);
  return runSide(controllers[side], plant, scenario, settings);
}

export default workerTask(runOnce);
