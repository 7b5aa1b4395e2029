import { describeContract } from '../contract/contract.js';
import { loadController } from '../target/wasm.js';
import { loadPlant } from './plant.js';
import { type RunChoice, runScenario, type SimulatedRun } from './run.js';
import { readScenario } from './scenario.js';

/** A run that a worker is given: the scenario is read there, so that nothing but plain values travels. */
export interface WorkerTask {
  readonly scenario: string;
  readonly controllerFile?: string | undefined;
  readonly choice: RunChoice;
}

const plant = loadPlant();
const contract = describeContract();

export default function runTask({ scenario, controllerFile, choice }: WorkerTask): SimulatedRun {
  return runScenario(loadController(controllerFile), plant, readScenario(scenario, contract), choice);
}
