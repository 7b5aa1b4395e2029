import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { InputError } from '../common/input-error.js';
import type { ParameterValues } from '../contract/contract.js';
import type { Controller } from '../runner/wasm-runner.js';
import type { Binaries } from '../simulate/evaluated-run.js';
import { type RunSettings, runScenario } from '../simulate/run.js';
import type { Scenario } from '../simulate/scenario.js';
import type { AcceptanceResult, Approval } from './accept.js';
import { addCase } from './add.js';

/** Parameters that differ from their defaults; the tick rate stands apart in a case. */
function overrides(values: ParameterValues, controller: Controller): ParameterValues {
  const { parameters } = controller.description.contract;
  const isOwn = (name: string, value: number): boolean =>
    name !== 'tickHz' && parameters.find((one) => one.name === name)?.default !== value;
  return Object.fromEntries(Object.entries(values).filter(([name, value]) => isOwn(name, value)));
}

/** The last tick at which the controller is restarted; a vector begins there, since it begins with configure(). */
function lastStart({ timeline }: Scenario): number {
  for (let tick = timeline.ticks - 1; tick > 0; tick--) if (timeline.restarts(tick)) return tick;
  return 0;
}

/**
 * Makes a vector of a scenario's run: its inputs are those that the controller got in the closed loop.
 * @throws InputError when the name is taken, or the case proves nothing
 */
export function recordScenario(
  { controller, plant }: Binaries,
  scenario: Scenario,
  choice: RunSettings,
  name: string,
  approval: Approval,
): AcceptanceResult {
  if (choice.actuation !== 'latching')
    throw new InputError({ file: '--record-case', what: 'strategy', value: choice.actuation, allowed: 'one of the controller’s' });
  const folder = mkdtempSync(join(tmpdir(), 'latchbench-'));
  try {
    const file = join(folder, 'input.mcap');
    const run = runScenario(controller, plant, scenario, choice, { file, messages: ['input'], fromTick: lastStart(scenario) });
    if (run.trap !== undefined)
      throw new InputError({ file: scenario.file, what: `controller that stopped at tick ${run.trap.tick}`, allowed: 'a run to the end' });
    const { title, story } = scenario;
    const origin = `Invented: scenario ${scenario.name} in a closed loop with the simulated machine, seed ${choice.seed}.`;
    const own = overrides(choice.parameters, controller);
    const parameters = Object.keys(own).length > 0 ? own : undefined;
    return addCase(controller, { name, recording: file, title, why: story, origin, parameters }, approval);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}
