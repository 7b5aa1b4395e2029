import { Assessor } from '../assess/assessor.js';
import { BANK_METRICS, type Metric, ROW_METRICS } from '../assess/metrics.js';
import { InputError } from '../common/input-error.js';
import { describeContract } from '../contract/contract.js';
import { messageBytes, messageRecords } from '../contract/messages.js';
import { ClosedLoop, type RunSettings } from '../simulate/run.js';
import type { Scenario } from '../simulate/scenario.js';
import { type Drive, inputCopier, makeSides, messageCopier, type Side, type SideChoice, sameLayout } from './drive.js';
import { metricChange, worstFirst } from './replay-metrics.js';
import type { MetricChange } from './review.js';

/** A side with a machine and a field of its own. */
interface Loop {
  readonly side: Side;
  readonly loop: ClosedLoop;
  readonly assessor: Assessor;
  /** Inputs that it does not get. */
  readonly lacking: readonly string[];
  /** Metrics that it does not give. */
  readonly missing: readonly string[];
  /** After a tick: puts its probes where the assessor reads them. */
  readonly show: () => void;
}

/** Metrics that are made from a probe of the controller. */
const METRIC_OF: Readonly<Record<string, string>> = { waitTicks: 'longestWaitMs', closeWaitTicks: 'longestCloseWaitMs' };

function beginLoop(side: Side, plant: WebAssembly.Module, scenario: Scenario, run: RunSettings): Loop {
  const { rows, tickHz, file } = scenario;
  const theirs = side.controller.description.contract;
  // Plant and assessor know this checkout's contract only.
  const contract = describeContract();
  const [out, ours] = [messageRecords(theirs, 'output'), messageRecords(contract, 'output')];
  if (!sameLayout(out.bank, ours.bank) || !sameLayout(out.row, ours.row)) {
    const allowed = 'a build with this checkout’s outputs; vectors are compared whatever the layouts';
    throw new InputError({ file, what: 'build whose orders the simulated machine cannot read', allowed });
  }
  const inputs = inputCopier(messageRecords(contract, 'input'), side);
  const loop = new ClosedLoop(side.target, plant, scenario, run, inputs.copy);
  const probe = new Uint8Array(messageBytes(contract, 'probe', rows));
  const probes = messageCopier(messageRecords(theirs, 'probe'), messageRecords(contract, 'probe'), rows, probe);
  return {
    side,
    loop,
    assessor: new Assessor({ contract, rows, tickHz, views: { ...loop.views, input: loop.plant.input, probe } }),
    lacking: inputs.lacking,
    missing: probes.lacking.flatMap((name) => METRIC_OF[name] ?? []),
    show: () => probes.copy(side.target.probe),
  };
}

/** Metrics of the machine's truth on both sides. */
function metricChanges(loops: { readonly old: Loop; readonly new: Loop }): MetricChange[] {
  const [old, fresh] = [loops.old.assessor.finish(), loops.new.assessor.finish()];
  const found = ({ missing }: Loop, name: string, value: number): number => (missing.includes(name) ? Number.NaN : value);
  const change = (metric: Metric, a: number, b: number): MetricChange =>
    metricChange(metric, found(loops.old, metric.name, a), found(loops.new, metric.name, b));
  const rows = ROW_METRICS.map((metric) => change(metric, old.over[metric.name][metric.over], fresh.over[metric.name][metric.over]));
  return worstFirst([...rows, ...BANK_METRICS.map((metric) => change(metric, old.bank[metric.name], fresh.bank[metric.name]))]);
}

/**
 * Each side in a closed loop with a machine of its own, on the same field, seed and faults: inputs are the same until the first
 * order that is not.
 * @throws InputError when a build's outputs are laid out otherwise than this checkout's, or a side refuses the run
 */
export function driveByScenario(
  scenario: Scenario,
  plant: WebAssembly.Module,
  run: RunSettings,
  old: SideChoice,
  fresh: SideChoice,
): Drive {
  const sides = makeSides({ old, new: fresh }, scenario, scenario.file);
  const loops = { old: beginLoop(sides.old, plant, scenario, run), new: beginLoop(sides.new, plant, scenario, run) };
  const both = [loops.old, loops.new];
  const { rows, tickHz, timeline } = scenario;
  let tick = 0;
  return {
    rows,
    tickHz,
    ticks: timeline.ticks,
    old: loops.old.side,
    new: loops.new.side,
    notes: (['old', 'new'] as const).flatMap((side) => loops[side].lacking.map((name) => `input ${name} of ${side} is not simulated: 0`)),
    feed(at) {
      tick = at;
      for (const { loop } of both) loop.feed(at);
    },
    obey() {
      for (const { loop, assessor, show } of both) {
        loop.obey();
        show();
        assessor.take(tick);
      }
    },
    close: () => {},
    // A controller that stops in its first tick has no metrics.
    metrics: () => (tick === 0 ? [] : metricChanges(loops)),
  };
}
