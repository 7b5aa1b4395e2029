import { judge, type Verdict } from '../assess/requirements.js';
import type { OnProgress } from '../common/write-atomic.js';
import type { Controller } from '../runner/wasm-runner.js';
import { runMany } from './many.js';
import { type RunChoice, type RunRecording, runScenario, type SimulatedRun } from './run.js';
import type { Scenario } from './scenario.js';

/** A run of a scenario, and what became of its requirements. */
export interface JudgedRun {
  readonly scenario: Scenario;
  readonly choice: RunChoice;
  readonly run: SimulatedRun;
  readonly verdicts: readonly Verdict[];
}

/** What runs: the controller, and the plant around it. */
export interface Binaries {
  readonly controller: Controller;
  readonly plant: WebAssembly.Module;
}

/** Whether a run came to its end and all that was required of it holds. */
export const runHolds = ({ run, verdicts }: JudgedRun): boolean => run.trap === undefined && verdicts.every(({ holds }) => holds);

const judged = (scenario: Scenario, choice: RunChoice, run: SimulatedRun): JudgedRun => ({
  scenario,
  choice,
  run,
  verdicts: judge(run.figures, scenario.requirements),
});

/** Runs a scenario once, in this thread. */
export function runJudged(
  { controller, plant }: Binaries,
  scenario: Scenario,
  choice: RunChoice,
  recording?: RunRecording,
  onProgress?: OnProgress,
): JudgedRun {
  return judged(scenario, choice, runScenario(controller, plant, scenario, choice, recording, onProgress));
}

/** Runs a scenario with so many seeds from the choice's on, over a pool of workers. */
export async function runSeeds(
  binaries: Binaries,
  scenario: Scenario,
  first: RunChoice,
  seeds: number,
  onDone: (done: number) => void,
): Promise<JudgedRun[]> {
  const choices = Array.from({ length: seeds }, (_, index) => ({ ...first, seed: first.seed + index }));
  const runs = await runMany({ ...binaries, scenario: scenario.file }, choices, onDone);
  return runs.map((run, index) => judged(scenario, choices[index] ?? first, run));
}
