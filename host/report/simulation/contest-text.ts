import { ROW_METRICS } from '../../assess/metrics.js';
import { CONTEST_METRICS, type ContestMetric, type Sweep, type SweepPoint } from '../../contest/contest.js';
import { type Compared, type EqualPulses, type Interval, studentInterval } from '../../contest/equal-pulses.js';
import { colours } from '../form/colours.js';
import { counted, textTable } from '../form/text-table.js';
import { shown } from './metrics-text.js';

/** A contest as it is told: who came to what, and how they compare with one of them. */
export interface Contest {
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

/** Runs in which the controller stopped, a line each. */
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

/** `±` half of an interval. */
const half = ({ mean, to }: Interval, metric: ContestMetric): string => (Number.isNaN(to) ? '' : `± ${shownAs(to - mean, metric)}`);

function pointTable({ sweeps }: Contest): string {
  const columns = CONTEST_METRICS.flatMap((name) => [number(name), ...(name === 'loadRmsN' ? [{ title: '' }] : [])]);
  const lines = sweeps.flatMap(({ name, pulses, points }) =>
    points.map((point) => {
      const cells = CONTEST_METRICS.flatMap((metric) => {
        const interval = meanOf(point, metric);
        return [shownAs(interval.mean, metric), ...(metric === 'loadRmsN' ? [half(interval, metric)] : [])];
      });
      return [name, pulses ? String(point.scale) : '–', ...cells];
    }),
  );
  return textTable([{ title: 'contender' }, number('scale'), ...columns], lines);
}

/** `0.912 [0.880, 0.945]`, or the mean alone. */
function span({ mean, from, to }: Interval, show: (value: number) => string): string {
  if (!Number.isFinite(mean)) return '–';
  return Number.isNaN(from) ? show(mean) : `${show(mean)} [${show(from)}, ${show(to)}]`;
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
  const ratios = [{ title: 'ratio of loadRmsN' }, { title: 'difference, N' }, { title: 'ratio of oilLpm' }];
  const lines = equalPulses.flatMap(({ pulsesPerMin, contenders }) =>
    contenders.map((one) => [shown(pulsesPerMin, 'perMinute'), ...comparedCells(one, against)]),
  );
  return textTable([...columns, ...ratios], lines);
}

/** A contest for a terminal: each point of the sweeps, then all contenders at equal pulses per minute. */
export function contestText(contest: Contest): string {
  const { scenario, title, machine, seeds, against, equalPulses } = contest;
  const isOne = seeds.length === 1;
  const head = `${title}\nscenario ${scenario}, machine ${machine}, ${counted(seeds.length, 'seed')} from ${seeds[0]}`;
  const points = `Means over rows and seeds${isOne ? '; with one seed there is no interval' : '; ± 95 % interval of the mean'}.`;
  const pairs = isOne ? '' : '\nMean and 95 % interval over pairs of the same seed, not widened for the number of comparisons.';
  const equal =
    equalPulses.length === 0
      ? 'No rate of pulses is reached by every contender that pulses with every seed: choose other --scales, or rates by --at.\n'
      : `At equal pulses per minute, between the points of each sweep; against ${against}.${pairs}\n\n${equalTable(contest)}`;
  const traps = trapLines(contest).map((line) => colours.red(line));
  return [head, '', points, '', pointTable(contest), equal, ...traps].join('\n');
}
