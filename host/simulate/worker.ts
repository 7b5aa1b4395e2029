import { workerData } from 'piscina';
import type { Controller } from '../runner/wasm-runner.js';
import { type RunChoice, runScenario, type SimulatedRun } from './run.js';
import { readScenario, type Scenario } from './scenario.js';

/** What all workers of a pool share; compiled modules travel without being compiled again. */
export interface Shared {
  readonly controller: Controller;
  readonly plant: WebAssembly.Module;
  /** Scenario's file: it is read in each worker, so that nothing but plain values travels. */
  readonly scenario: string;
  /** A machine’s file in place of the scenario’s own machine. */
  readonly machine?: string | undefined;
}

const { controller, plant, scenario: file, machine } = workerData as Shared;
let scenario: Scenario | undefined;

/** One run of the pool's scenario. */
export default function runChoice(choice: RunChoice): SimulatedRun {
  scenario ??= readScenario(file, controller.description.contract, machine);
  return runScenario(controller, plant, scenario, choice);
}
