import type { BuildIdentity } from '../../contract/run-identity.js';
import { OBJECTIVES, type Objectives } from '../../sizing/search/design.js';
import { SIMULATED, type SimulatedMetrics } from '../../sizing/search/finalists.js';
import { EQUAL_RATIO } from '../../sizing/search/front.js';
import type { Finalist, SearchResult } from '../../sizing/search/run-search.js';
import { colours } from '../form/colours.js';
import { madeByLines } from '../form/run-identity.js';
import { counted, grouped, textTable } from '../form/text-table.js';
import { cautionText } from './sizing-text.js';
import { HYDRAULIC_POWER, type Kind, kindOf, type System, withUnit } from './sizing-units.js';

interface Label {
  readonly label: string;
  readonly kind: Kind;
}

const OBJECTIVE_LABELS: Readonly<Record<keyof Objectives, Label>> = {
  coilW: { label: 'coil power', kind: kindOf('watt') },
  oilW: { label: 'oil power', kind: HYDRAULIC_POWER },
  floatSwingN: { label: 'force change over the float travel', kind: kindOf('newton') },
  minPulseN: { label: 'minimum pulse', kind: kindOf('newton') },
  slewUpS: { label: 'time to follow a soil step up', kind: kindOf('second') },
  slewDownS: { label: 'time to follow a soil step down', kind: kindOf('second') },
  failingChecks: { label: 'failing checks', kind: kindOf('none') },
  cost: { label: 'relative cost', kind: kindOf('none') },
};

const METRIC_LABELS: Readonly<Record<keyof SimulatedMetrics, Label>> = {
  coilTotalW: { label: 'coil power', kind: kindOf('watt') },
  hydraulicW: { label: 'oil power', kind: HYDRAULIC_POWER },
  loadRmsN: { label: 'load RMS', kind: kindOf('newton') },
  inBandPercent: { label: 'load in band', kind: kindOf('percent') },
  liftOffPercent: { label: 'lift-off', kind: kindOf('percent') },
};

/** `−3.2 %`; empty for a change from zero. */
function changeText(now: number, before: number): string {
  if (before === 0) return now === 0 ? '=' : '';
  const share = (now - before) / Math.abs(before);
  return `${share < 0 ? '−' : '+'}${(100 * Math.abs(share)).toFixed(1)} %`;
}

/** `confirmed by simulation`, or why not. */
function confirmation({ isConfirmed, worse, better, fixed }: Finalist): string {
  if (isConfirmed) return colours.green('confirmed by simulation');
  const names = (of: Finalist['worse']): string => of.map((name) => METRIC_LABELS[name].label).join(', ');
  const gained = [...better.map((name) => METRIC_LABELS[name].label), ...(fixed.length > 0 ? ['design checks'] : [])];
  const reason = worse.length > 0 ? `worse in ${names(worse)}` : `better only in ${gained.join(', ') || 'nothing'}`;
  return `${colours.yellow('not confirmed by simulation')}, ${reason}`;
}

/** Which of the machine's failing checks a design passes and which it fails too. */
const checkLines = ({ fixed, failing }: Finalist): string[] => [
  ...(fixed.length > 0 ? [`  passes, where the machine fails: ${fixed.join(', ')}`] : []),
  ...(failing.length > 0 ? [`  fails, as the machine does: ${failing.join(', ')}`] : []),
];

/** What the search starts from, if it is a machine that fails checks. */
const startText = ({ failing }: SearchResult['baseline']): string =>
  failing.length === 0
    ? 'The machine fails no check.'
    : `The search starts from a machine that fails ${counted(failing.length, 'check')}: ${failing.join(', ')}.`;

function finalistText(finalist: Finalist, { baseline }: SearchResult, system: System): string {
  const columns = [
    { title: '  ' },
    { title: 'baseline', isNumber: true },
    { title: 'design', isNumber: true },
    { title: 'change', isNumber: true },
  ];
  const row = ({ label, kind }: Label, method: string, before: number, now: number): string[] => [
    `  ${label}, ${method}`,
    withUnit(before, kind, system),
    withUnit(now, kind, system),
    changeText(now, before),
  ];
  const calculated = OBJECTIVES.filter((name) => name !== 'failingChecks').map((name) =>
    row(OBJECTIVE_LABELS[name], 'calculated', baseline.objectives[name], finalist.objectives[name]),
  );
  const simulated = SIMULATED.map(({ name }) => row(METRIC_LABELS[name], 'simulated', baseline.simulated[name], finalist.simulated[name]));
  const head = `${finalist.name}: ${confirmation(finalist)}${finalist.file === undefined ? '' : `; ${finalist.file}`}`;
  return [
    head,
    ...finalist.options.map((option) => `  ${option}`),
    ...checkLines(finalist),
    textTable(columns, [...calculated, ...simulated]),
  ].join('\n');
}

/** Minimum and maximum of each objective on the front, beside the baseline. */
function frontTable({ front, baseline }: SearchResult, system: System): string {
  const rows = OBJECTIVES.map((name) => {
    const { label, kind } = OBJECTIVE_LABELS[name];
    const values = front.map(({ objectives }) => objectives[name]);
    const cells = [Math.min(...values), Math.max(...values), baseline.objectives[name]];
    return [label, ...cells.map((value) => withUnit(value, kind, system))];
  });
  const titles = ['min', 'max', 'baseline'].map((title) => ({ title, isNumber: true }));
  return textTable([{ title: 'Pareto front' }, ...titles], rows);
}

/** Returns the result of a search as text. */
export function searchText(result: SearchResult, system: System, build: BuildIdentity): string {
  const { machine, catalogue, scenario, rows, seed, designs, tries, feasible, runs, front, finalists } = result;
  const confirmed = finalists.filter(({ isConfirmed }) => isConfirmed).length;
  const summary =
    finalists.length === 0 ? 'No design beats the baseline.' : `${counted(finalists.length, 'finalist')}, ${confirmed} confirmed.`;
  return [
    `Machine ${machine}, catalogue ${catalogue}: ${grouped(tries)} of ${grouped(designs)} designs tried with seed ${seed}.`,
    startText(result.baseline),
    `Feasible (pass every check that the machine passes, and are not much worse in the others): ${grouped(feasible)}; on the Pareto front: ${grouped(front.length)}.`,
    '',
    frontTable(result, system),
    'The baseline is the machine without changes. Finalists beat it in at least two objectives and are worse in none; they may cost',
    `more if fewer checks fail. Differences below ${EQUAL_RATIO * 100} % count as equal. Finalists are simulated on ${scenario} with its ${counted(rows, 'row')} and`,
    `${counted(runs, 'seed')}. A design is confirmed if load quality (load RMS, load in band, lift-off) and power are not worse, and at least two`,
    'metrics are better, where checks that no longer fail count as one.',
    madeByLines([result], build),
    '',
    ...finalists.map((one) => finalistText(one, result, system)),
    cautionText(),
    `${summary}\n`,
  ].join('\n');
}
