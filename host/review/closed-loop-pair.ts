import { Assessor } from '../assess/assessor.js';
import { BANK_METRICS, type Metric, ROW_METRICS } from '../assess/metrics.js';
import { InputError } from '../common/input-error.js';
import { describeContract } from '../contract/contract.js';
import { messageBytes, messageRecords } from '../contract/messages.js';
import { ClosedLoop, type RunSettings } from '../simulate/run.js';
import type { Scenario } from '../simulate/scenario.js';
import { metricChange, worstFirst } from './replay-metrics.js';
import type { MetricChange } from './review.js';
import { hasSameLayout, inputCopier, makeSides, messageCopier, type RunPair, type Side, type SideConfig } from './run-pair.js';

/** A side with its own simulated machine and field. */
interface Loop {
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

function makeLoop(side: Side, plant: WebAssembly.Module, scenario: Scenario, run: RunSettings): Loop {
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

/** Metrics of both simulated machines. */
function metricChanges(loops: { readonly base: Loop; readonly head: Loop }): MetricChange[] {
  const [base, head] = [loops.base.assessor.finish(), loops.head.assessor.finish()];
  const known = ({ missingMetrics }: Loop, name: string, value: number): number => (missingMetrics.includes(name) ? Number.NaN : value);
  const change = (metric: Metric, a: number, b: number): MetricChange =>
    metricChange(metric, known(loops.base, metric.name, a), known(loops.head, metric.name, b));
  const rows = ROW_METRICS.map((metric) => change(metric, base.over[metric.name][metric.over], head.over[metric.name][metric.over]));
  return worstFirst([...rows, ...BANK_METRICS.map((metric) => change(metric, base.bank[metric.name], head.bank[metric.name]))]);
}

/**
 * Each side in a closed loop with its own machine, on the same field and with the same seed and faults: inputs are equal until the
 * first order that differs.
 * @throws InputError if the outputs of a build have a layout other than this checkout's, or a side refuses the run
 */
export function closedLoopPair(
  scenario: Scenario,
  plant: WebAssembly.Module,
  run: RunSettings,
  base: SideConfig,
  head: SideConfig,
): RunPair {
  const sides = makeSides({ base, head }, scenario, scenario.file);
  const loops = { base: makeLoop(sides.base, plant, scenario, run), head: makeLoop(sides.head, plant, scenario, run) };
  const both = [loops.base, loops.head];
  const { rows, tickHz, timeline } = scenario;
  let tick = 0;
  return {
    rows,
    tickHz,
    ticks: timeline.ticks,
    base: loops.base.side,
    head: loops.head.side,
    notes: (['base', 'head'] as const).flatMap((side) =>
      loops[side].missingInputs.map((name) => `input ${name} of ${side} is not simulated: 0`),
    ),
    feed(at) {
      tick = at;
      for (const { loop } of both) loop.stepPlant(at);
    },
    applyOutputs() {
      for (const { loop, assessor, copyProbes } of both) {
        loop.passOrders();
        copyProbes();
        assessor.take(tick);
      }
    },
    close: () => {},
    // A controller that stops in the first tick has no metrics.
    metrics: () => (tick === 0 ? [] : metricChanges(loops)),
  };
}
