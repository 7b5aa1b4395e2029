import { studentInterval } from '../../assess/interval.js';
import { METRICS, type Metric, overallOf } from '../../assess/metrics.js';
import type { BuildIdentity } from '../../contract/run-identity.js';
import type { LockstepSimulation } from '../../rig/simulate-lockstep.js';
import type { RealTimeSimulation } from '../../rig/simulate-real-time.js';
import type { EvaluatedRun } from '../../simulate/evaluated-run.js';
import { colours } from '../form/colours.js';
import { madeByLines } from '../form/run-identity.js';
import { counted, grouped, textTable } from '../form/text-table.js';
import { paintVerdict } from '../form/verdict.js';
import { chosenOf, type MetricChoice, metricForm, requirementsText } from '../simulation/metrics-text.js';
import { paintRigVerdict, reasonText } from './free-run-text.js';
import { clockText, linkTable, qualityTable } from './link-text.js';

const number = (title: string): { title: string; isNumber: true } => ({ title, isNumber: true });

/** A scenario with a board in lockstep. */
export interface BoardLockstep extends LockstepSimulation {
  readonly name: string;
}

/** The same in real time, with the run of the pure simulation. */
export interface BoardRealTime {
  readonly name: string;
  readonly pure: EvaluatedRun;
  /** Repeated runs. */
  readonly runs: readonly RealTimeSimulation[];
}

function lockstepRow({ name, scenario, sameTicks, divergence, stop, requirements, run }: BoardLockstep): string[] {
  const verdict =
    stop !== undefined ? 'stopped' : divergence === undefined ? 'same' : divergence.signal === 'chain' ? 'stateDiffers' : 'outputsDiffer';
  const where =
    divergence === undefined
      ? (stop ?? '')
      : `tick ${divergence.tick}${divergence.row === 0 ? '' : ` row ${divergence.row}`} ${divergence.signal}: ${divergence.wasm} → ${divergence.chip}`;
  const met = requirements.every((one) => one.met) ? colours.green('met') : colours.red('NOT MET');
  return [name, scenario.name, String(scenario.rows), grouped(sameTicks), run.hash, paintVerdict(verdict), where, met];
}

/** Scenarios with boards in lockstep, one per line. */
export function lockstepSimulationText(all: readonly BoardLockstep[], build: BuildIdentity): string {
  const columns = [
    { title: 'board' },
    { title: 'scenario' },
    number('rows'),
    number('ticks the same'),
    { title: 'run hash' },
    { title: 'compared with wasm' },
    { title: 'first difference' },
    { title: 'requirements' },
  ];
  return `${textTable(columns, all.map(lockstepRow))}\n${madeByLines(all, build)}`;
}

/** Each metric of the pure simulation and of the runs in real time. */
function metricsTable({ pure, runs }: BoardRealTime, choice: MetricChoice): string {
  const columns = [
    { title: 'metric' },
    number('pure'),
    number('real time, mean'),
    number('std dev'),
    number('difference'),
    number('95 % interval'),
    { title: 'unit' },
  ];
  const lines = chosenOf<Metric>(METRICS, choice).map((metric) => {
    const { symbol, text, spread } = metricForm(metric, choice.units);
    const ofPure = overallOf(metric, pure.run.metrics);
    const values = runs.map(({ run }) => overallOf(metric, run.metrics));
    const { mean } = studentInterval(values);
    const deviation = Math.sqrt(values.reduce((sum, value) => sum + (value - mean) ** 2, 0) / (values.length - 1));
    const { ciLow, ciHigh } = studentInterval(values.map((value) => value - ofPure));
    const interval = Number.isNaN(ciLow) ? '' : `${spread(ciLow)} to ${spread(ciHigh)}`;
    return [metric.name, text(ofPure), text(mean), values.length > 1 ? spread(deviation) : '', spread(mean - ofPure), interval, symbol];
  });
  return textTable(columns, lines);
}

function realTimeBlock(one: BoardRealTime, choice: MetricChoice): string {
  const { name, runs, pure } = one;
  const columns = [
    { title: 'run' },
    number('steps explained'),
    number('held'),
    number('lost'),
    number('sent late'),
    number('ahead, ms'),
    number('orders act, steps'),
    { title: 'verdict' },
    { title: 'why' },
  ];
  const rows = runs.map(({ board, leadMs, orderDelaySteps }, index) => [
    String(index + 1),
    grouped(board.explanation.steps),
    ...[board.quality.held, board.quality.lost, board.quality.sentLate].map(grouped),
    String(leadMs),
    `${orderDelaySteps.p50} / ${orderDelaySteps.p99}`,
    paintRigVerdict(board.verdict),
    reasonText(board),
  ]);
  const last = runs.at(-1);
  const good = runs.filter(({ board }) => board.verdict === 'same').length;
  const flaky = good === 0 || good === runs.length ? '' : `${colours.yellow(`flaky: ${good} of ${runs.length} runs explained`)}\n`;
  return [
    `${name}: ${pure.scenario.name}, ${pure.scenario.title}`,
    textTable(columns, rows) + flaky,
    ...(last === undefined ? [] : [qualityTable(last.board.quality), `${clockText(last.board.clock)}\n`]),
    metricsTable(one, choice),
    ...(last === undefined || last.requirements.length === 0 ? [] : [requirementsText(last.requirements, choice.units)]),
    linkTable(runs.map(({ board }, index) => ({ name: runs.length > 1 ? `run ${index + 1}` : name, link: board.link }))),
  ].join('\n');
}

/** Scenarios in real time beside the pure simulation. */
export function realTimeText(all: readonly BoardRealTime[], build: BuildIdentity, choice: MetricChoice): string {
  const runs = all.reduce((sum, one) => sum + one.runs.length, 0);
  return `${all.map((one) => realTimeBlock(one, choice)).join('\n')}\n${madeByLines(
    all.map(({ pure }) => pure),
    build,
  )}${counted(runs, 'run')} in real time; orders act: steps from a board's output until the machine follows it, median / 99 % (1 in the pure simulation)\n`;
}
