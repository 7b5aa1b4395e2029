import { METRICS, type Metric, overallOf } from '../../assess/metrics.js';
import { tickTime } from '../../common/moment.js';
import type { BuildIdentity } from '../../contract/run-identity.js';
import { type EvaluatedRun, hasPassed } from '../../simulate/evaluated-run.js';
import { colours } from '../form/colours.js';
import { buildLine, parametersLine, strategyText } from '../form/run-identity.js';
import { counted, textTable } from '../form/text-table.js';
import type { System } from '../form/units.js';
import { chosenOf, type MetricChoice, metricForm, metricsText, requirementWords, seedRange, spreadText } from './metrics-text.js';
import { segmentsText } from './segments-text.js';

/** Simulated time against wall-clock time. */
const speedLine = (runs: readonly EvaluatedRun[], seconds: number): string => {
  const simulatedS = runs.reduce((sum, { run, scenario }) => sum + run.ticks / scenario.tickHz, 0);
  return `${simulatedS.toFixed(1)} s simulated in ${seconds.toFixed(2)} s (${(simulatedS / seconds).toFixed(1)} times real time)\n`;
};

/** Title of the scenario, what its runs were made by, and their settings. */
const headLines = ({ scenario, ranWith }: EvaluatedRun, seeds: string, build: BuildIdentity): string[] => [
  scenario.title,
  `scenario ${scenario.name}, machine ${scenario.machine.name}, ${seeds}, ${strategyText(ranWith)}`,
  parametersLine(ranWith),
  buildLine(build),
];

/** One run in detail. @param seconds wall-clock time that it took */
export function runText(one: EvaluatedRun, seconds: number, build: BuildIdentity, choice: MetricChoice): string {
  const { settings, run, requirements, scenario } = one;
  const head = headLines(one, `seed ${settings.seed}`, build);
  const trap =
    run.trap === undefined
      ? []
      : [colours.red(`the controller stopped at ${tickTime(run.trap.tick, scenario.tickHz)}: ${run.trap.message}`)];
  const end = [`run hash ${run.hash}; ${speedLine([one], seconds)}`];
  return [...head, metricsText(run.metrics, requirements, choice), ...segmentsText(run.metrics, choice), ...trap, ...end].join('\n');
}

/** Metrics in a table of several runs, unless others are chosen. */
const BRIEF: readonly string[] = ['loadRmsN', 'inBandPercent', 'liftOffPercent', 'pulsesPerMin', 'oilLpm'];

/** Which requirement a run does not meet, in one phrase; empty if it meets all. */
function failure({ run, requirements, scenario }: EvaluatedRun, units: System): string {
  if (run.trap !== undefined) return `stopped at ${tickTime(run.trap.tick, scenario.tickHz)}`;
  const unmet = requirements.filter(({ met }) => !met);
  const [first] = unmet;
  if (first === undefined) return '';
  const { requirement, measured } = requirementWords(first, units);
  return `${requirement}: ${measured}${unmet.length > 1 ? `, and ${unmet.length - 1} more` : ''}`;
}

/** Several runs, one per line, by scenario or by seed. @param seconds wall-clock time that they took together */
function runsTable(runs: readonly EvaluatedRun[], seconds: number, by: 'scenario' | 'seed', choice: MetricChoice): string {
  const { units, metrics = BRIEF } = choice;
  const forms = chosenOf<Metric>(METRICS, { units, metrics }).map((metric) => ({ metric, ...metricForm(metric, units) }));
  const columns = [
    { title: by },
    { title: 'rows', isNumber: true, isOptional: true },
    { title: 'strategy' },
    // The names end in the unit of the numbers only in one system.
    ...forms.map(({ metric, symbol }) => ({ title: units === 'si' ? metric.name : `${metric.name}, ${symbol}`, isNumber: true })),
    { title: 'hash', isOptional: true },
    { title: '' },
    { title: '' },
  ];
  const lines = runs.map((one) => {
    const { scenario, run } = one;
    const values = forms.map(({ metric, text }) => text(overallOf(metric, run.metrics)));
    const result = hasPassed(one) ? colours.green('met') : colours.red('NOT MET');
    return [
      by === 'seed' ? String(one.settings.seed) : scenario.name,
      String(scenario.rows),
      one.ranWith.strategy ?? '–',
      ...values,
      run.hash,
      result,
      failure(one, units),
    ];
  });
  const failed = runs.filter((one) => !hasPassed(one)).length;
  return `${textTable(columns, lines)}\n${counted(runs.length, by)}: ${runs.length - failed} met, ${failed} not met; ${speedLine(runs, seconds)}`;
}

/** Several scenarios, one per line. @param seconds wall-clock time that they took together */
export const scenariosText = (runs: readonly EvaluatedRun[], seconds: number, build: BuildIdentity, choice: MetricChoice): string =>
  `${runsTable(runs, seconds, 'scenario', choice)}${buildLine(build)}; --json lists the parameters of each run\n`;

/** One scenario with several seeds: the spread of each metric, and one line per seed. @param seconds wall-clock time */
export function seedsText(runs: readonly EvaluatedRun[], seconds: number, build: BuildIdentity, choice: MetricChoice): string {
  const spread = spreadText(
    runs.map(({ run, settings }) => ({ seed: settings.seed, metrics: run.metrics })),
    choice,
  );
  const [first] = runs;
  const head = first === undefined ? [] : headLines(first, seedRange(runs.map(({ settings }) => settings.seed)), build);
  return `${head.join('\n')}\n\n${spread}\n${runsTable(runs, seconds, 'seed', choice)}`;
}
