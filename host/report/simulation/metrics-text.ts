import { UNITS, type Unit, type UnitName } from '../../../shared/units.js';
import { BANK_FIGURES, type FaultSpan, type Figure, type Figures, ROW_FIGURES } from '../../assess/metrics.js';
import type { Verdict } from '../../assess/requirements.js';
import { colours } from '../form/colours.js';
import { counted, textTable } from '../form/text-table.js';

const FAULTS_SHOWN = 16;
/** Digits that say something of a simulated machine. */
const DIGITS = 3;
const DECIMALS_MOST = 4;

/** A value as a metric reader wants it: bar in place of kPa. */
export function shown(value: number, unit: UnitName): string {
  const { metric }: Unit = UNITS[unit];
  const number = value * (metric?.factor ?? 1);
  if (Number.isNaN(number)) return '–';
  if (number === 0 || (unit === 'none' && Number.isInteger(number))) return String(number);
  // Rounded first: 9.999 is to become 10.0, not 10.00.
  const size = Math.abs(Number(number.toPrecision(DIGITS)));
  const whole = size === 0 ? 1 : Math.floor(Math.log10(size)) + 1;
  return number.toFixed(Math.min(DECIMALS_MOST, Math.max(0, DIGITS - whole)));
}

function unitOf(unit: UnitName): string {
  const { symbol, metric }: Unit = UNITS[unit];
  return metric?.symbol ?? symbol;
}

const number = (title: string): { title: string; isNumber: true } => ({ title, isNumber: true });

function rowTable({ over }: Figures): string {
  const lines = ROW_FIGURES.map(({ name, unit }) => {
    const { mean, least, most } = over[name];
    return [name, shown(mean, unit), shown(least, unit), shown(most, unit), unitOf(unit)];
  });
  return textTable([{ title: 'each row' }, number('mean'), number('least'), number('most'), { title: 'unit' }], lines);
}

function bankTable({ bank }: Figures): string {
  const lines = BANK_FIGURES.map(({ name, unit }) => [name, shown(bank[name], unit), unitOf(unit)]);
  return textTable([{ title: 'bank' }, number('value'), { title: 'unit' }], lines);
}

function cycleTable({ pressureCycles }: Figures): string[] {
  if (pressureCycles.length === 0) return [];
  const lines = pressureCycles.map(({ fromKpa, count }) => [`from ${shown(fromKpa, 'kilopascal')} bar`, String(count)]);
  return [textTable([{ title: 'pressure cycles, all rows' }, number('count')], lines)];
}

function faultLine({ name, row, fromS, toS, isRaisedAtEnd }: FaultSpan): string[] {
  return [name, row === 0 ? 'bank' : `row ${row}`, fromS.toFixed(3), isRaisedAtEnd ? 'the end' : toS.toFixed(3)];
}

function faultTable({ faults }: Figures): string[] {
  if (faults.length === 0) return [];
  const columns = [{ title: 'fault' }, { title: 'of' }, number('from s'), number('to s')];
  const table = textTable(columns, faults.slice(0, FAULTS_SHOWN).map(faultLine));
  return [faults.length > FAULTS_SHOWN ? `${table}and ${counted(faults.length - FAULTS_SHOWN, 'more fault')}\n` : table];
}

/** Which requirements hold, one to a line with what was found. */
export function verdictText(verdicts: readonly Verdict[]): string {
  const lines = verdicts.map(({ words, found, holds }) => [words, found, holds ? colours.green('holds') : colours.red('FAILS')]);
  return textTable([{ title: 'requirement' }, { title: 'found' }, { title: '' }], lines);
}

/** A run's figures for a terminal, at most 100 columns wide: rows, bank, pressure cycles, faults, and what was required. */
export function figuresText(figures: Figures, verdicts: readonly Verdict[] = []): string {
  const head = `${counted(figures.rows, 'row')}, ${shown(figures.seconds, 'second')} s; ${shown(figures.bank.assessedS, 'second')} s assessed\n`;
  const required = verdicts.length === 0 ? [] : [verdictText(verdicts)];
  return [head, rowTable(figures), bankTable(figures), ...cycleTable(figures), ...faultTable(figures), ...required].join('\n');
}

/** The figures of one seed's run. */
export interface SeedRun {
  readonly seed: number;
  readonly figures: Figures;
}

const meanOf = (values: readonly number[]): number => values.reduce((sum, value) => sum + value, 0) / values.length;

/** Standard deviation of a sample; NaN for a single value. */
function deviationOf(values: readonly number[]): number {
  const mean = meanOf(values);
  return Math.sqrt(values.reduce((sum, value) => sum + (value - mean) ** 2, 0) / (values.length - 1));
}

/** The run whose value is worst: one without a value before all others, then the first of equals. */
function worstOf(values: readonly number[], { worse }: Figure): number {
  const badness = values.map((value) => (Number.isNaN(value) ? Number.POSITIVE_INFINITY : worse === 'more' ? value : -value));
  return badness.indexOf(Math.max(...badness));
}

/**
 * The same scenario with several seeds: mean and standard deviation of each figure over the seeds, and the worst seed with its
 * value. Of figures of rows, what a requirement judges by default.
 */
export function spreadText(runs: readonly SeedRun[]): string {
  const ofRows = ROW_FIGURES.map((figure) => ({
    figure,
    label: figure.over,
    values: runs.map(({ figures }) => figures.over[figure.name][figure.over]),
  }));
  const ofBank = BANK_FIGURES.map((figure) => ({ figure, label: 'bank', values: runs.map(({ figures }) => figures.bank[figure.name]) }));
  const lines = [...ofRows, ...ofBank].map(({ figure, label, values }) => {
    const { name, unit } = figure;
    const worst = worstOf(values, figure);
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
    { title: 'figure' },
    { title: 'over rows' },
    number('mean'),
    number('deviation'),
    { title: 'unit' },
    number('worst'),
    number('of seed'),
  ];
  return `${counted(runs.length, 'seed')}\n\n${textTable(columns, lines)}`;
}
