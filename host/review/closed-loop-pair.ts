import { METRICS, type Metric, overallOf } from '../assess/metrics.js';
import type { RunSettings } from '../simulate/run.js';
import type { Scenario } from '../simulate/scenario.js';
import { type Loop, makeLoop } from './closed-loop-side.js';
import { worstFirst } from './harm.js';
import { metricChange } from './replay-metrics.js';
import type { MetricChange } from './review.js';
import { makeSides, type RunPair, type SideConfig } from './run-pair.js';

/** Metrics of both simulated machines. */
function metricChanges(loops: { readonly base: Loop; readonly head: Loop }): MetricChange[] {
  const [base, head] = [loops.base.assessor.finish(), loops.head.assessor.finish()];
  const known = ({ missingMetrics }: Loop, name: string, value: number): number => (missingMetrics.includes(name) ? Number.NaN : value);
  const change = (metric: Metric, a: number, b: number): MetricChange =>
    metricChange(metric, known(loops.base, metric.name, a), known(loops.head, metric.name, b));
  return worstFirst(METRICS.map((metric) => change(metric, overallOf(metric, base), overallOf(metric, head))));
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
