import { UNITS, type UnitName } from '../../../shared/units.js';
import { BANK_METRICS, CYCLE_MIN_KPA, type FaultSpan, type Metric, type Metrics, ROW_METRICS } from '../../assess/metrics.js';
import type { RequirementResult } from '../../assess/requirements.js';
import { colours } from '../form/colours.js';
import { counted, grouped, textTable } from '../form/text-table.js';

const FAULTS_SHOWN = 16;
/** Significant digits: more would be false precision for a simulation. */
const DIGITS = 3;
const DECIMALS_MAX = 4;

/** Formats a value with three digits; of a count all. NaN gives a dash. */
export function shown(value: number, unit: UnitName): string {
  if (Number.isNaN(value)) return '–';
  if (value === 0 || (unit === 'none' && Number.isInteger(value))) return grouped(value);
  // Rounded first: 9.999 becomes 10.0, not 10.00.
  const rounded = Number(value.toPrecision(DIGITS));
  const size = Math.abs(rounded);
  const whole = size === 0 ? 1 : Math.floor(Math.log10(size)) + 1;
  return grouped((whole > DIGITS ? rounded : value).toFixed(Math.min(DECIMALS_MAX, Math.max(0, DIGITS - whole))));
}

const unitOf = (unit: UnitName): string => UNITS[unit].symbol;

const number = (title: string): { title: string; isNumber: true } => ({ title, isNumber: true });

function rowTable({ over }: Metrics): string {
  const lines = ROW_METRICS.map(({ name, unit }) => {
    const { mean, min, max } = over[name];
    return [name, shown(mean, unit), shown(min, unit), shown(max, unit), unitOf(unit)];
  });
  return textTable([{ title: 'per row' }, number('mean'), number('min'), number('max'), { title: 'unit' }], lines);
}

function bankTable({ bank }: Metrics): string {
  const lines = BANK_METRICS.map(({ name, unit }) => [name, shown(bank[name], unit), unitOf(unit)]);
  return textTable([{ title: 'bank' }, number('value'), { title: 'unit' }], lines);
}

function cycleTable({ pressureCycles }: Metrics): string[] {
  if (pressureCycles.length === 0) return [];
  const lines = pressureCycles.map(({ fromKpa, count }) => [`${fromKpa / 100} to ${(fromKpa + CYCLE_MIN_KPA) / 100} bar`, grouped(count)]);
  return [textTable([{ title: 'pressure cycles of all rows, by range' }, number('count')], lines)];
}

function faultLine({ name, row, fromS, toS, isSetAtEnd }: FaultSpan): string[] {
  return [name, row === 0 ? 'bank' : `row ${row}`, fromS.toFixed(3), isSetAtEnd ? 'end' : toS.toFixed(3)];
}

function faultTable({ faults }: Metrics): string[] {
  if (faults.length === 0) return [];
  const columns = [{ title: 'fault' }, { title: 'where' }, number('set at, s'), number('cleared at, s')];
  const table = textTable(columns, faults.slice(0, FAULTS_SHOWN).map(faultLine));
  return [faults.length > FAULTS_SHOWN ? `${table}and ${counted(faults.length - FAULTS_SHOWN, 'more fault')}; --json lists all\n` : table];
}

/** Requirements, one per line, with the measured values. */
export function requirementsText(results: readonly RequirementResult[]): string {
  const lines = results.map(({ requirement, measured, met }) => [
    requirement,
    measured,
    met ? colours.green('met') : colours.red('NOT MET'),
  ]);
  return textTable([{ title: 'requirement' }, { title: 'measured' }, { title: '' }], lines);
}

/** A run's metrics for a terminal, at most 100 columns wide: rows, bank, pressure cycles, faults and requirements. */
export function metricsText(metrics: Metrics, results: readonly RequirementResult[] = []): string {
  const head = `${counted(metrics.rows, 'row')}, ${shown(metrics.seconds, 'second')} s; ${shown(metrics.bank.assessedS, 'second')} s evaluated, after settling\n`;
  const required = results.length === 0 ? [] : [requirementsText(results)];
  return [head, rowTable(metrics), bankTable(metrics), ...cycleTable(metrics), ...faultTable(metrics), ...required].join('\n');
}

/** `seed 3`, `seeds 1 to 5`. @param seeds successive numbers */
export const seedRange = (seeds: readonly number[]): string =>
  seeds.length === 1 ? `seed ${seeds[0]}` : `seeds ${seeds[0]} to ${seeds.at(-1)}`;

/** The metrics of one seed's run. */
export interface SeedRun {
  readonly seed: number;
  readonly metrics: Metrics;
}

const meanOf = (values: readonly number[]): number => values.reduce((sum, value) => sum + value, 0) / values.length;

/** Standard deviation of a sample; NaN for a single value. */
function deviationOf(values: readonly number[]): number {
  const mean = meanOf(values);
  return Math.sqrt(values.reduce((sum, value) => sum + (value - mean) ** 2, 0) / (values.length - 1));
}

/** Index of the worst value: NaN is worse than any number; of equal values the first. */
function worstOf(values: readonly number[], { worse }: Metric): number {
  const badness = values.map((value) => (Number.isNaN(value) ? Number.POSITIVE_INFINITY : worse === 'more' ? value : -value));
  return badness.indexOf(Math.max(...badness));
}

/**
 * One scenario with several seeds: mean and standard deviation of each metric over the seeds, and the worst seed with its
 * value. A row metric is combined over the rows as requirements do by default.
 */
export function spreadText(runs: readonly SeedRun[]): string {
  const ofRows = ROW_METRICS.map((metric) => ({
    metric,
    label: metric.over,
    values: runs.map(({ metrics }) => metrics.over[metric.name][metric.over]),
  }));
  const ofBank = BANK_METRICS.map((metric) => ({ metric, label: 'bank', values: runs.map(({ metrics }) => metrics.bank[metric.name]) }));
  const lines = [...ofRows, ...ofBank].map(({ metric, label, values }) => {
    const { name, unit } = metric;
    const worst = worstOf(values, metric);
    const seed = String(runs[worst]?.seed ?? '');
    return [
      name,
      label,
      shown(meanOf(values), unit),
      shown(deviationOf(values), unit),
      unitOf(unit),
      shown(values[worst] ?? Number.NaN, unit),
      seed,
    ];
  });
  const columns = [
    { title: 'metric' },
    { title: 'of rows' },
    number('mean'),
    number('std dev'),
    { title: 'unit' },
    number('worst'),
    number('seed'),
  ];
  return textTable(columns, lines);
}
