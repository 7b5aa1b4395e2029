import type { UnitName } from '../../../shared/units.js';
import {
  BANK_METRICS,
  CYCLE_MIN_KPA,
  type FaultSpan,
  METRICS,
  type Metric,
  type Metrics,
  overallOf,
  ROW_METRICS,
} from '../../assess/metrics.js';
import { quantityWords, type RequirementResult, shortened } from '../../assess/requirements.js';
import { colours } from '../form/colours.js';
import { type Column, counted, grouped, textTable } from '../form/text-table.js';
import { converted, convertedDifference, displayIn, type System } from '../form/units.js';

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

/** What people choose about the metrics in a text. */
export interface MetricChoice {
  readonly units: System;
  /** Metrics to show; all if not given. */
  readonly metrics?: readonly string[] | undefined;
}

export const ALL_METRICS: MetricChoice = { units: 'si' };

/** The metrics of a list that are shown. */
export const chosenOf = <One extends { readonly name: string }>(list: readonly One[], { metrics }: MetricChoice): One[] =>
  list.filter(({ name }) => metrics === undefined || metrics.includes(name));

/** Formats values of a metric in a system of units. */
export function metricForm({ name, unit }: Pick<Metric, 'name' | 'unit'>, units: System) {
  const display = displayIn(units, unit, name);
  return {
    symbol: display.symbol,
    text: (value: number): string => shown(converted(value, display), unit),
    /** Of a difference or a deviation. */
    spread: (value: number): string => shown(convertedDifference(value, display), unit),
  };
}

const number = (title: string): { title: string; isNumber: true } => ({ title, isNumber: true });

/** A table of metrics; empty if none of them is shown. */
const tableOf = (columns: readonly Column[], lines: readonly string[][]): string[] =>
  lines.length === 0 ? [] : [textTable(columns, lines)];

function rowTable({ over }: Metrics, choice: MetricChoice): string[] {
  const lines = chosenOf(ROW_METRICS, choice).map((metric) => {
    const { mean, min, max } = over[metric.name];
    const { symbol, text } = metricForm(metric, choice.units);
    return [metric.name, text(mean), text(min), text(max), symbol];
  });
  return tableOf([{ title: 'per row' }, number('mean'), number('min'), number('max'), { title: 'unit' }], lines);
}

function bankTable({ bank }: Metrics, choice: MetricChoice): string[] {
  const lines = chosenOf(BANK_METRICS, choice).map((metric) => {
    const { symbol, text } = metricForm(metric, choice.units);
    return [metric.name, text(bank[metric.name]), symbol];
  });
  return tableOf([{ title: 'bank' }, number('value'), { title: 'unit' }], lines);
}

function cycleTable({ pressureCycles }: Metrics, { units, metrics }: MetricChoice): string[] {
  if (pressureCycles.length === 0 || metrics !== undefined) return [];
  const [perKpa, symbol] = units === 'si' ? [0.01, 'bar'] : [displayIn(units, 'kilopascal').factor, 'psi'];
  const end = (kpa: number): number => Number((kpa * perKpa).toPrecision(4));
  const lines = pressureCycles.map(({ fromKpa, count }) => [
    `${end(fromKpa)} to ${end(fromKpa + CYCLE_MIN_KPA)} ${symbol}`,
    grouped(count),
  ]);
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

/** A requirement and what was measured, in a system of units. Limits keep six digits, which distinguish them from a value just beyond. */
export function requirementWords(result: RequirementResult, units: System): Pick<RequirementResult, 'requirement' | 'measured'> {
  const { quantity } = result;
  if (quantity === undefined || units === 'si') return result;
  const display = displayIn(units, quantity.unit, quantity.metric);
  const inUnits = (value: number): number => shortened(converted(value, display));
  const { min, max } = quantity;
  const limits = { ...(min === undefined ? {} : { min: inUnits(min) }), ...(max === undefined ? {} : { max: inUnits(max) }) };
  return quantityWords({ ...quantity, value: converted(quantity.value, display), ...limits }, display.symbol);
}

/** Requirements, one per line, with the measured values. */
export function requirementsText(results: readonly RequirementResult[], units: System = 'si'): string {
  const lines = results.map((result) => {
    const { requirement, measured } = requirementWords(result, units);
    return [requirement, measured, result.met ? colours.green('met') : colours.red('NOT MET')];
  });
  return textTable([{ title: 'requirement' }, { title: 'measured' }, { title: '' }], lines);
}

/** A run's metrics for a terminal, at most 100 columns wide: rows, bank, pressure cycles, faults and requirements. */
export function metricsText(metrics: Metrics, results: readonly RequirementResult[] = [], choice: MetricChoice = ALL_METRICS): string {
  const head = `${counted(metrics.rows, 'row')}, ${shown(metrics.seconds, 'second')} s; ${shown(metrics.bank.assessedS, 'second')} s evaluated, after settling\n`;
  const required = results.length === 0 ? [] : [requirementsText(results, choice.units)];
  const tables = [...rowTable(metrics, choice), ...bankTable(metrics, choice), ...cycleTable(metrics, choice)];
  return [head, ...tables, ...faultTable(metrics), ...required].join('\n');
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
export function spreadText(runs: readonly SeedRun[], choice: MetricChoice = ALL_METRICS): string {
  const lines = chosenOf(METRICS, choice).map((metric) => {
    const values = runs.map(({ metrics }) => overallOf(metric, metrics));
    const worst = worstOf(values, metric);
    const { symbol, text, spread } = metricForm(metric, choice.units);
    return [
      metric.name,
      metric.scope === 'row' ? metric.over : 'bank',
      text(meanOf(values)),
      spread(deviationOf(values)),
      symbol,
      text(values[worst] ?? Number.NaN),
      String(runs[worst]?.seed ?? ''),
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
