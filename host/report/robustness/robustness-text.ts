import { titleOf } from '../../robustness/case.js';
import type { CaseResult } from '../../robustness/measure.js';
import type { SoakFinding } from '../../robustness/soak.js';
import { aimsOf, type Distribution, isBeyond, type Summary } from '../../robustness/summary.js';
import { colours } from '../form/colours.js';
import { counted, textTable } from '../form/text-table.js';

const number = (title: string): { title: string; isNumber: true } => ({ title, isNumber: true });
const fixed = (value: number, decimals: number): string => (Number.isFinite(value) ? value.toFixed(decimals) : '–');

const COLUMNS = [
  { title: 'case' },
  number('load, N'),
  number('/ nominal'),
  number('/ perfect'),
  number('added'),
  number('limit'),
  number('pulses'),
  number('oil'),
  number('shallow'),
  number('alarms/h'),
  number('lost/h'),
  { title: '' },
];

/** `wheels down: up to 1420 N and 158 bar, 2.8 s` for a case with a lowering. */
function loweringText({ lowering: { peakN, maxKpa, seconds } }: CaseResult): string {
  if (Number.isNaN(peakN)) return '';
  return `lowering: up to ${peakN.toFixed(0)} N, ${(maxKpa / 100).toFixed(0)} bar, ${seconds.toFixed(1)} s`;
}

function verdictOf(result: CaseResult): string {
  const beyond = result.of.group !== 'random' && isBeyond(result) ? colours.red('BEYOND LIMIT') : '';
  const unsafe = result.violations.length > 0 ? colours.red('UNSAFE') : '';
  const small = result.undersized.length > 0 ? `undersized: ${result.undersized.join(' ')}` : '';
  return [unsafe, beyond, small, loweringText(result)].filter((text) => text !== '').join(', ');
}

function caseLine(result: CaseResult): string[] {
  const { of, means, ratios, toPerfect, addedRatio, wanted, falseAlarmsPerH, rowsLostPerH } = result;
  return [
    titleOf(of),
    fixed(means.loadRmsN, 1),
    fixed(ratios.loadRmsN, 2),
    fixed(toPerfect, 2),
    fixed(addedRatio, 2),
    of.group === 'random' || of.group === 'nominal' ? '' : fixed(wanted, 2),
    fixed(ratios.pulsesPerMin, 2),
    fixed(ratios.oilLpm, 2),
    fixed(ratios.shallow5Percent, 2),
    fixed(falseAlarmsPerH, 0),
    fixed(rowsLostPerH, 0),
    verdictOf(result),
  ];
}

/** What the columns mean. */
const LEGEND = `load: RMS error, low-passed at 1 Hz; / nominal, pulses, oil, shallow (5 mm): over the nominal case on the same seeds
/ perfect: load over that of the perfect actuation on the same machine and field
added: √(load² − perfect²) over the same of the nominal case; it has the limit where machine or field are harder for any actuation, otherwise / nominal has it
undersized: design checks of the machine for this job that fail, without which no controller can hold the load (latchbench size)
alarms, lost: faults without a cause, and rows that end stopped though no part of them is broken, per hour and row
`;

/** Faults without a cause, by case. */
function alarmLines(results: readonly CaseResult[]): string[] {
  const lines = results
    .filter(({ falseAlarms }) => Object.keys(falseAlarms).length > 0)
    .map(({ of, falseAlarms }) => [
      titleOf(of),
      Object.entries(falseAlarms)
        .map(([name, count]) => `${name} ${count}`)
        .join(', '),
    ]);
  return lines.length === 0 ? [] : [textTable([{ title: 'false alarms in' }, { title: '' }], lines)];
}

function violationLines(results: readonly CaseResult[]): string[] {
  const lines = results.flatMap(({ of, violations }) =>
    violations.map(({ seed, row, rule }) => [titleOf(of), String(seed), row === 0 ? 'bank' : `row ${row}`, rule]),
  );
  const columns = [{ title: 'safety rule broken in' }, number('seed'), { title: 'where' }, { title: 'what' }];
  return lines.length === 0 ? [] : [textTable(columns, lines)];
}

function summaryTable(summary: Summary): string[] {
  const line = (name: string, { median, ninthDecile, worst }: Distribution): string[] => [
    name,
    fixed(median, 2),
    fixed(ninthDecile, 2),
    fixed(worst, 2),
  ];
  if (Number.isNaN(summary.addedRatio.median)) return [];
  return [
    textTable(
      [{ title: 'random machines' }, number('median'), number('ninth decile'), number('worst')],
      [
        line('load RMS error / nominal', summary.loadRatio),
        line('added', summary.addedRatio),
        line(`added, with the ${summary.undersized} that are undersized`, summary.addedRatioOfAll),
      ],
    ),
  ];
}

function aimTable(summary: Summary): string {
  const lines = aimsOf(summary).map(({ aim, measured, max, isReached }) => [
    aim,
    String(Number(measured.toFixed(2))),
    `at most ${max}`,
    isReached ? colours.green('reached') : colours.red('NOT REACHED'),
  ]);
  return textTable([{ title: 'aim' }, number('measured'), { title: 'limit' }, { title: '' }], lines);
}

/** What a soak found. */
export function soakText(machines: number, findings: readonly SoakFinding[]): string {
  const head = `${counted(machines, 'random machine')}: ${counted(findings.length, 'broken safety rule')}\n`;
  const lines = findings.map(({ title, seed, row, rule }) => [title, String(seed), row === 0 ? 'bank' : `row ${row}`, rule]);
  const columns = [{ title: 'case' }, number('seed'), { title: 'where' }, { title: 'what' }];
  return lines.length === 0 ? head : `${head}\n${textTable(columns, lines)}`;
}

/** All cases as a table, what went wrong in them, and the aims. */
export function robustnessText(results: readonly CaseResult[], summary: Summary): string {
  return [
    textTable(COLUMNS, results.map(caseLine)),
    LEGEND,
    ...alarmLines(results),
    ...violationLines(results),
    ...summaryTable(summary),
    aimTable(summary),
  ].join('\n');
}
