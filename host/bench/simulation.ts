import { execFileSync } from 'node:child_process';
import { join } from 'node:path';
import { TOOL_ROOT } from '../common/project.js';
import type { Controller } from '../runner/wasm-runner.js';
import { loadPlant } from '../simulate/plant.js';
import { defaultSettings, runScenario } from '../simulate/run.js';
import { runMany } from '../simulate/run-many.js';
import { readScenario } from '../simulate/scenario.js';
import { median, PROJECT } from './inputs.js';

const RUNS = 3;
const SEEDS = 16;

export interface SimulationResult {
  /** Simulated seconds per second: 48 rows, one core, controller in the loop, metrics computed. */
  readonly realTime: number;
  /** Time of one worker divided by that of two, for the same seeds. */
  readonly workers: number;
  /** Peak memory of a run of 60 minutes divided by that of one of 6 minutes. */
  readonly memoryRatio: number;
  readonly memoryMiB: number;
}

function measureRealTime(controller: Controller): number {
  const scenario = readScenario(PROJECT, 'forty-eight-rows');
  const plant = loadPlant();
  const rates = Array.from({ length: RUNS }, () => {
    const start = performance.now();
    runScenario(controller, plant, scenario);
    return scenario.seconds / ((performance.now() - start) / 1000);
  });
  return median(rates);
}

/** Both pools do the same work; the time to start them counts. */
async function measureWorkers(controller: Controller): Promise<number> {
  const scenario = readScenario(PROJECT, 'class-e-at-speed');
  const base = defaultSettings(scenario);
  const choices = Array.from({ length: SEEDS }, (_, index) => ({ ...base, seed: index + 1 }));
  const shared = { controller, plant: loadPlant(), scenario: scenario.file, machine: scenario.machine.file };
  const secondsOf = async (workers: number): Promise<number> => {
    const start = performance.now();
    await runMany(shared, choices, undefined, workers);
    return (performance.now() - start) / 1000;
  };
  const one = await secondsOf(1);
  return one / (await secondsOf(2));
}

/** Peak memory, KiB, of a process that simulates some minutes. */
function peakMemory(minutes: number): number {
  const script = join(TOOL_ROOT, 'dist', 'host', 'bench', 'simulate-once.js');
  return Number(execFileSync(process.execPath, [script, String(minutes)], { encoding: 'utf8' }));
}

export async function measureSimulation(controller: Controller): Promise<SimulationResult> {
  const long = peakMemory(60);
  return {
    realTime: measureRealTime(controller),
    workers: await measureWorkers(controller),
    memoryRatio: long / peakMemory(6),
    memoryMiB: long / 1024,
  };
}
