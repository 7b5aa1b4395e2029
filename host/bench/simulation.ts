import { execFileSync } from 'node:child_process';
import { join } from 'node:path';
import { ROOT } from '../common/project.js';
import type { Controller } from '../runner/wasm-runner.js';
import { loadPlant } from '../simulate/plant.js';
import { defaultSettings, runScenario } from '../simulate/run.js';
import { runMany } from '../simulate/run-many.js';
import { readScenario } from '../simulate/scenario.js';
import { median } from './inputs.js';

const RUNS = 3;
const SEEDS = 16;

export interface SimulationMetric {
  /** Simulated seconds a second, 48 rows, one core, controller in the loop and metrics taken. */
  readonly realTime: number;
  /** Time of one worker over that of two, on the same seeds. */
  readonly workers: number;
  /** Peak memory of an hour's run against that of six minutes. */
  readonly memoryRatio: number;
  readonly memoryMiB: number;
}

function measureRealTime(controller: Controller): number {
  const scenario = readScenario('forty-eight-rows');
  const plant = loadPlant();
  const rates = Array.from({ length: RUNS }, () => {
    const begin = performance.now();
    runScenario(controller, plant, scenario);
    return scenario.seconds / ((performance.now() - begin) / 1000);
  });
  return median(rates);
}

/** Both pools do the same work; starting them counts. */
async function measureWorkers(controller: Controller): Promise<number> {
  const scenario = readScenario('class-e-at-speed');
  const usual = defaultSettings(scenario);
  const choices = Array.from({ length: SEEDS }, (_, index) => ({ ...usual, seed: index + 1 }));
  const shared = { controller, plant: loadPlant(), scenario: scenario.file };
  const secondsOf = async (workers: number): Promise<number> => {
    const begin = performance.now();
    await runMany(shared, choices, undefined, workers);
    return (performance.now() - begin) / 1000;
  };
  const one = await secondsOf(1);
  return one / (await secondsOf(2));
}

/** Peak memory, KiB, of a fresh process that simulates for some minutes. */
function peakMemory(minutes: number): number {
  const script = join(ROOT, 'dist', 'host', 'bench', 'simulate-once.js');
  return Number(execFileSync(process.execPath, [script, String(minutes)], { encoding: 'utf8' }));
}

export async function measureSimulation(controller: Controller): Promise<SimulationMetric> {
  const long = peakMemory(60);
  return {
    realTime: measureRealTime(controller),
    workers: await measureWorkers(controller),
    memoryRatio: long / peakMemory(6),
    memoryMiB: long / 1024,
  };
}
