import { join } from 'node:path';
import { InputError } from '../common/input-error.js';
import { makeTemporaryFolder, removeTemporaryFolder } from '../common/unfinished.js';
import type { ParameterValues } from '../contract/contract.js';
import type { WrittenParameters } from '../contract/parameter-values.js';
import { changedParameters } from '../contract/run-identity.js';
import type { Controller } from '../runner/wasm-runner.js';
import type { Binaries } from '../simulate/evaluated-run.js';
import { type RunSettings, runScenario } from '../simulate/run.js';
import type { Scenario } from '../simulate/scenario.js';
import type { AcceptanceResult, Approval } from './accept.js';
import { addVector } from './add.js';

/** Returns the parameters that differ from their defaults. The tick rate has its own key in case.yaml. */
function overrides(values: ParameterValues, { description }: Controller): WrittenParameters {
  const changed = changedParameters(description.contract, values).filter(({ name }) => name !== 'tickHz');
  return Object.fromEntries(changed.map(({ name, value }) => [name, value]));
}

/** Returns the last tick at which the controller restarts. The vector starts there, because a vector starts with configure(). */
function lastStart({ timeline }: Scenario): number {
  for (let tick = timeline.ticks - 1; tick > 0; tick--) if (timeline.restarts(tick)) return tick;
  return 0;
}

/**
 * Makes a vector from a simulated run: its inputs are those that the controller got in the closed loop.
 * @throws InputError if the vector exercises nothing
 */
export function recordScenario(
  { controller, plant }: Binaries,
  scenario: Scenario,
  choice: RunSettings,
  folder: string,
  approval: Approval,
): AcceptanceResult {
  if (choice.actuation !== 'latching')
    throw new InputError({
      file: '--record-vector',
      problem: `the strategy ${choice.actuation} does not run the controller`,
      value: choice.actuation,
    });
  const temporary = makeTemporaryFolder('latchbench-');
  try {
    const file = join(temporary, 'input.mcap');
    const run = runScenario(controller, plant, scenario, choice, { file, messages: ['input'], fromTick: lastStart(scenario) });
    if (run.trap !== undefined)
      throw new InputError({ file: scenario.file, problem: `the controller stopped at tick ${run.trap.tick}: ${run.trap.message}` });
    const { title, story } = scenario;
    const origin = `Invented: scenario ${scenario.name} in a closed loop with the simulated machine, seed ${choice.seed}.`;
    const changed = overrides(choice.parameters, controller);
    const parameters = Object.keys(changed).length > 0 ? changed : undefined;
    return addVector(controller, { folder, recording: file, title, why: story, origin, parameters }, approval);
  } finally {
    removeTemporaryFolder(temporary);
  }
}
