import { ROW_METRICS } from '../../assess/metrics.js';
import { CONTEST_METRICS, type ContestMetric, type Sweep, type SweepPoint } from '../../contest/contest.js';
import { type Compared, type EqualPulses, type Interval, studentInterval } from '../../contest/equal-pulses.js';
import type { BuildIdentity, ChangedParameter } from '../../contract/run-identity.js';
import { colours } from '../form/colours.js';
import { buildLine, parametersLine, parametersText, strategyText } from '../form/run-identity.js';
import { textTable } from '../form/text-table.js';
import { seedRange, shown } from './metrics-text.js';

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
export const meanOf = ({ runs }: SweepPoint, metric: ContestMetric): Interval =>
  studentInterval(runs.map(({ metrics }) => metrics[metric]));

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

const number = (title: string): { title: string; isNumber: true } => ({ title, isNumber: true });
const unitOf = (metric: ContestMetric) => ROW_METRICS.find(({ name }) => name === metric)?.unit ?? 'none';
const shownAs = (value: number, metric: ContestMetric): string => shown(Number.isFinite(value) ? value : Number.NaN, unitOf(metric));

/** Half width of an interval, with `±`. */
const half = ({ mean, ciHigh }: Interval, metric: ContestMetric): string =>
  Number.isNaN(ciHigh) ? '' : `± ${shownAs(ciHigh - mean, metric)}`;

function pointTable({ sweeps }: Contest): string {
  const columns = CONTEST_METRICS.flatMap((name) => [number(name), ...(name === 'loadRmsN' ? [{ title: '' }] : [])]);
  const lines = sweeps.flatMap(({ name, hasPulses, points }) =>
    points.map((point) => {
      const cells = CONTEST_METRICS.flatMap((metric) => {
        const interval = meanOf(point, metric);
        return [shownAs(interval.mean, metric), ...(metric === 'loadRmsN' ? [half(interval, metric)] : [])];
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

function comparedCells({ name, isReached, metrics: { loadRmsN, oilLpm } }: Compared, against: string): string[] {
  if (!isReached) return [name, 'not reached'];
  const values = [shownAs(loadRmsN.mean, 'loadRmsN'), shownAs(oilLpm.mean, 'oilLpm')];
  if (name === against) return [name, ...values, 'reference'];
  return [name, ...values, ratio(loadRmsN.ratio), span(loadRmsN.difference, (value) => shownAs(value, 'loadRmsN')), ratio(oilLpm.ratio)];
}

function equalTable({ equalPulses, against }: Contest): string {
  const columns = [number('pulsesPerMin'), { title: 'contender' }, number('loadRmsN'), number('oilLpm')];
  const ratios = [{ title: 'loadRmsN ratio' }, { title: 'loadRmsN difference, N' }, { title: 'oilLpm ratio' }];
  const lines = equalPulses.flatMap(({ pulsesPerMin, contenders }) =>
    contenders.map((one) => [shown(pulsesPerMin, 'perMinute'), ...comparedCells(one, against)]),
  );
  return textTable([...columns, ...ratios], lines);
}

/** What all contenders share, then what differs. */
function contenderLines({ sweeps, controller }: Contest): string[] {
  const keyOf = ({ name, value }: ChangedParameter): string => `${name} ${value}`;
  const keys = sweeps.map(({ ranWith }) => new Set(ranWith.parameters.map(keyOf)));
  const isShared = (one: ChangedParameter): boolean => keys.every((some) => some.has(keyOf(one)));
  const shared = (sweeps[0]?.ranWith.parameters ?? []).filter(isShared);
  const lines = sweeps.map(({ name, ranWith }) => {
    const own = ranWith.parameters.filter((one) => !isShared(one));
    const words = [strategyText(ranWith), ...(own.length === 0 ? [] : [parametersText(own)])].join(', ');
    return name === ranWith.strategy ? words : `${name}: ${words}`;
  });
  return [parametersLine({ parameters: shared }), ...lines, buildLine(controller)];
}

/** A contest for a terminal: all points of the sweeps, then the comparison at equal pulse rates. */
export function contestText(contest: Contest): string {
  const { scenario, title, machine, seeds, against, equalPulses } = contest;
  const isOne = seeds.length === 1;
  const head = [title, `scenario ${scenario}, machine ${machine}, ${seedRange(seeds)}`, ...contenderLines(contest)].join('\n');
  const points = `Means over rows and seeds${isOne ? ' (one seed gives no confidence interval)' : ', ± 95 % confidence interval'}.`;
  const pairs = isOne
    ? ''
    : '\nRatios and differences are paired by seed, with 95 % confidence intervals, not corrected for multiple comparisons.';
  const equal =
    equalPulses.length === 0
      ? 'The sweeps have no pulse rate in common. Widen --scales, or give rates with --at.\n'
      : `At equal pulse rates, interpolated between the points of each sweep; the reference is ${against}.${pairs}\n\n${equalTable(contest)}`;
  const traps = trapLines(contest).map((line) => colours.red(line));
  return [head, '', points, '', pointTable(contest), equal, ...traps].join('\n');
}
