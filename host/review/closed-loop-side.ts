import { crc32 } from 'node:zlib';
import { Assessor } from '../assess/assessor.js';
import { InputError } from '../common/input-error.js';
import { describeContract } from '../contract/contract.js';
import { messageBytes, messageRecords } from '../contract/messages.js';
import { ClosedLoop, type RunSettings, runScenario, type SimulatedRun, tickOrTrap } from '../simulate/run.js';
import type { Scenario } from '../simulate/scenario.js';
import { hasSameLayout, inputCopier, makeSide, messageCopier, type Side } from './run-pair.js';

/** A side with its own simulated machine and field. */
export interface Loop {
  readonly side: Side;
  readonly loop: ClosedLoop;
  readonly assessor: Assessor;
  /** Inputs of the side that are not simulated. */
  readonly missingInputs: readonly string[];
  /** Metrics that the side has no probes for. */
  readonly missingMetrics: readonly string[];
  /** Copies the probes to where the assessor reads them. */
  readonly copyProbes: () => void;
}

/** Metrics that are computed from a probe of the controller. */
const METRIC_OF_PROBE: Readonly<Record<string, string>> = { waitTicks: 'longestWaitMs', closeWaitTicks: 'longestCloseWaitMs' };

export function makeLoop(side: Side, plant: WebAssembly.Module, scenario: Scenario, run: RunSettings): Loop {
  const { rows, tickHz, file } = scenario;
  const theirs = side.controller.description.contract;
  // Plant and assessor know the contract of this checkout only.
  const contract = describeContract();
  const [out, ours] = [messageRecords(theirs, 'output'), messageRecords(contract, 'output')];
  if (!hasSameLayout(out.bank, ours.bank) || !hasSameLayout(out.row, ours.row)) {
    const problem = 'the simulated machine cannot read the outputs of a build whose outputs have a different layout';
    throw new InputError({ file, problem, hint: 'Compare such builds on vectors, which works with any layout' });
  }
  const inputs = inputCopier(messageRecords(contract, 'input'), side);
  const loop = new ClosedLoop(side.runner, plant, scenario, run, inputs.copy);
  const probe = new Uint8Array(messageBytes(contract, 'probe', rows));
  const probes = messageCopier(messageRecords(theirs, 'probe'), messageRecords(contract, 'probe'), rows, probe);
  return {
    side,
    loop,
    assessor: new Assessor({ contract, rows, tickHz, views: { ...loop.views, input: loop.plant.input, probe } }),
    missingInputs: inputs.missing,
    missingMetrics: probes.missing.flatMap((name) => METRIC_OF_PROBE[name] ?? []),
    copyProbes: () => probes.copy(side.runner.probe),
  };
}

/**
 * Runs a build of any contract in a closed loop. Metrics for which it has no probes are NaN.
 * @throws InputError if the outputs of the build have a layout other than this checkout's, or it refuses the run
 */
export function runSide(controller: Side['controller'], plant: WebAssembly.Module, scenario: Scenario, run: RunSettings): SimulatedRun {
  if (controller.description.contract.hash === describeContract().hash) return runScenario(controller, plant, scenario, run);
  const { rows, timeline, file } = scenario;
  const { side, loop, assessor, missingMetrics, copyProbes } = makeLoop(
    makeSide({ controller, values: run.parameters }, rows, file),
    plant,
    scenario,
    run,
  );
  const hashed = [loop.plant.input, side.runner.output, loop.plant.truth];
  let hash = 0;
  let trap: SimulatedRun['trap'];
  let tick = 0;
  for (; tick < timeline.ticks; tick++) {
    trap = tickOrTrap(loop, tick);
    if (trap !== undefined) break;
    copyProbes();
    assessor.take(tick);
    for (const view of hashed) hash = crc32(view, hash);
  }
  if (trap?.tick === 0) throw new InputError({ file, problem: `the build stops in the first tick: ${trap.message}` });
  const metrics = assessor.finish();
  const nothing = { mean: Number.NaN, min: Number.NaN, max: Number.NaN };
  const over = { ...metrics.over, ...Object.fromEntries(missingMetrics.map((name) => [name, nothing])) };
  return { metrics: { ...metrics, over }, hash: hash.toString(16).padStart(8, '0'), ticks: tick, trap };
}
