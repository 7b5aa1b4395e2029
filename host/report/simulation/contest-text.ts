import { type Interval, studentInterval } from '../../assess/interval.js';
import { ROW_METRICS, type RowMetricName } from '../../assess/metrics.js';
import { CONTEST_METRICS, type Sweep, type SweepPoint } from '../../contest/contest.js';
import type { Compared, EqualPulses } from '../../contest/equal-pulses.js';
import type { BuildIdentity, ChangedParameter } from '../../contract/run-identity.js';
import { colours } from '../form/colours.js';
import { buildLine, parametersLine, parametersText, strategyText } from '../form/run-identity.js';
import { textTable } from '../form/text-table.js';
import type { System } from '../form/units.js';
import { metricForm, seedRange, shown } from './metrics-text.js';

/** A contest as it is reported: the sweep of each contender, and the comparison with the reference. */
export interface Contest {
  readonly controller: BuildIdentity;
  readonly scenario: string;
  readonly title: string;
  readonly machine: string;
  readonly seeds: readonly number[];
  readonly sweeps: readonly Sweep[];
  /** Name of the reference. */
  readonly against: string;
  readonly equalPulses: readonly EqualPulses[];
}

/** A metric of a point: mean over its seeds, and its interval. */
export const meanOf = ({ runs }: SweepPoint, metric: RowMetricName): Interval =>
  studentInterval(runs.map(({ metrics }) => metrics[metric] ?? Number.NaN));

/** Runs in which the controller stopped, one per line. */
export function trapLines({ sweeps }: Pick<Contest, 'sweeps'>): string[] {
  return sweeps.flatMap(({ name, points }) =>
    points.flatMap(({ scale, runs }) =>
      runs.flatMap(({ seed, trap }) =>
        trap === undefined ? [] : [`${name}, scale ${scale}, seed ${seed}: the controller stopped at tick ${trap.tick}: ${trap.message}`],
      ),
    ),
  );
}

/** What people choose about the text of a contest: metrics of rows, which are compared. */
export interface ContestChoice {
  readonly units: System;
  readonly metrics?: readonly RowMetricName[] | undefined;
}

const number = (title: string): { title: string; isNumber: true } => ({ title, isNumber: true });
/** A metric as a contest shows it. */
interface Shown extends ReturnType<typeof metricForm> {
  readonly name: RowMetricName;
}

const finite = (value: number): number => (Number.isFinite(value) ? value : Number.NaN);

const formsOf = (names: readonly RowMetricName[], units: System): Shown[] =>
  names.flatMap((name) => ROW_METRICS.filter((metric) => metric.name === name).map((metric) => ({ name, ...metricForm(metric, units) })));

/** The names end in the unit of the numbers only in one system. */
const titleOf = ({ name, symbol }: Shown, units: System): string => (units === 'si' ? name : `${name}, ${symbol}`);

/** Metrics that are compared at equal pulse rates, unless others are chosen; the first also has the interval of each mean. */
const COMPARED: readonly RowMetricName[] = ['loadRmsN', 'oilLpm'];

/** Half width of an interval, with `±`. */
const half = ({ mean, ciHigh }: Interval, { spread }: Shown): string => (Number.isNaN(ciHigh) ? '' : `± ${spread(ciHigh - mean)}`);

function pointTable({ sweeps }: Contest, { units, metrics }: ContestChoice): string {
  const shownOnes = formsOf(metrics === undefined ? CONTEST_METRICS : ['pulsesPerMin', ...metrics], units);
  const [main] = metrics ?? COMPARED;
  const columns = shownOnes.flatMap((one) => [number(titleOf(one, units)), ...(one.name === main ? [{ title: '' }] : [])]);
  const lines = sweeps.flatMap(({ name, hasPulses, points }) =>
    points.map((point) => {
      const cells = shownOnes.flatMap((one) => {
        const interval = meanOf(point, one.name);
        return [one.text(finite(interval.mean)), ...(one.name === main ? [half(interval, one)] : [])];
      });
      return [name, hasPulses ? String(point.scale) : '–', ...cells];
    }),
  );
  return textTable([{ title: 'contender' }, number('scale'), ...columns], lines);
}

/** `0.912 [0.880, 0.945]`; without an interval the mean alone. */
function span({ mean, ciLow, ciHigh }: Interval, show: (value: number) => string): string {
  if (!Number.isFinite(mean)) return '–';
  return Number.isNaN(ciLow) ? show(mean) : `${show(mean)} [${show(ciLow)}, ${show(ciHigh)}]`;
}

const ratio = (interval: Interval): string => span(interval, (value) => value.toFixed(3));

function comparedCells({ name, isReached, metrics }: Compared, against: string, forms: readonly Shown[]): string[] {
  if (!isReached) return [name, 'not reached'];
  const found = forms.flatMap((form) => {
    const comparison = metrics[form.name];
    return comparison === undefined ? [] : [{ form, comparison }];
  });
  const values = found.map(({ form, comparison }) => form.text(finite(comparison.mean)));
  if (name === against) return [name, ...values, 'reference'];
  const pairs = found.flatMap(({ form, comparison }) => [ratio(comparison.ratio), span(comparison.difference, form.spread)]);
  return [name, ...values, ...pairs];
}

function equalTable({ equalPulses, against }: Contest, { units, metrics = COMPARED }: ContestChoice): string {
  const forms = formsOf(metrics, units).filter(({ name }) => name !== 'pulsesPerMin');
  const columns = [
    number('pulsesPerMin'),
    { title: 'contender' },
    ...forms.map((one) => number(titleOf(one, units))),
    ...forms.flatMap(({ name, symbol }) => [{ title: `${name} ratio` }, { title: `${name} difference, ${symbol}` }]),
  ];
  const lines = equalPulses.flatMap(({ pulsesPerMin, contenders }) =>
    contenders.map((one) => [shown(pulsesPerMin, 'perMinute'), ...comparedCells(one, against, forms)]),
  );
  return textTable(columns, lines);
}

/** `wide: cascade`; a contender that is named after its strategy, by that alone. */
export const contenderText = ({ name, ranWith }: Pick<Sweep, 'name' | 'ranWith'>): string =>
  name === ranWith.strategy ? strategyText(ranWith) : `${name}: ${strategyText(ranWith)}`;

/** What all contenders share, then what differs. */
function contenderLines({ sweeps, controller }: Contest): string[] {
  const keyOf = ({ name, value }: ChangedParameter): string => `${name} ${value}`;
  const keys = sweeps.map(({ ranWith }) => new Set(ranWith.parameters.map(keyOf)));
  const isShared = (one: ChangedParameter): boolean => keys.every((some) => some.has(keyOf(one)));
  const shared = (sweeps[0]?.ranWith.parameters ?? []).filter(isShared);
  const lines = sweeps.map(({ name, ranWith }) => {
    const own = ranWith.parameters.filter((one) => !isShared(one));
    return [contenderText({ name, ranWith }), ...(own.length === 0 ? [] : [parametersText(own)])].join(', ');
  });
  return [parametersLine({ parameters: shared }), ...lines, buildLine(controller)];
}

/** A contest for a terminal: all points of the sweeps, then the comparison at equal pulse rates. */
export function contestText(contest: Contest, choice: ContestChoice = { units: 'si' }): string {
  const { scenario, title, machine, seeds, against, equalPulses } = contest;
  const isOne = seeds.length === 1;
  const head = [title, `scenario ${scenario}, machine ${machine}, ${seedRange(seeds)}`, ...contenderLines(contest)].join('\n');
  const points = `Means over rows and seeds${isOne ? ' (one seed gives no confidence interval)' : ', ± 95 % confidence interval of each mean alone'}.`;
  const pairs = isOne
    ? ''
    : '\nRatios and differences are paired by seed, with 95 % confidence intervals, not corrected for multiple comparisons. They may be sure\nwhere the intervals of the means overlap: what the seeds have in common cancels.';
  const equal =
    equalPulses.length === 0
      ? 'The sweeps have no pulse rate in common. Widen --scales, or give rates with --at.\n'
      : `At equal pulse rates, interpolated between the points of each sweep; the reference is ${against}.${pairs}\n\n${equalTable(contest, choice)}`;
  const traps = trapLines(contest).map((line) => colours.red(line));
  return [head, '', points, '', pointTable(contest, choice), equal, ...traps].join('\n');
}
