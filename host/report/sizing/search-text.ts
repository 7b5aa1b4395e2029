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
  minPulseN: { label: 'minimum pulse', kind: kindOf('newton') },
  slewS: { label: 'time to follow a soil step', kind: kindOf('second') },
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

const confirmation = ({ isConfirmed }: Finalist): string => (isConfirmed ? colours.green('confirmed') : colours.yellow('not confirmed'));

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
  const calculated = OBJECTIVES.map((name) =>
    row(OBJECTIVE_LABELS[name], 'calculated', baseline.objectives[name], finalist.objectives[name]),
  );
  const simulated = SIMULATED.map(({ name }) => row(METRIC_LABELS[name], 'simulated', baseline.simulated[name], finalist.simulated[name]));
  const head = `${finalist.name}: ${confirmation(finalist)} by simulation${finalist.file === undefined ? '' : `, ${finalist.file}`}`;
  return [head, ...finalist.options.map((option) => `  ${option}`), textTable(columns, [...calculated, ...simulated])].join('\n');
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
    `Feasible (pass every check that the machine passes, and are not much worse in the others): ${grouped(feasible)}; on the Pareto front: ${grouped(front.length)}.`,
    '',
    frontTable(result, system),
    'The baseline is the machine without changes. Finalists beat it in at least two objectives and are worse in none; differences',
    `below ${EQUAL_RATIO * 100} % count as equal. They are simulated on ${scenario} with its ${counted(rows, 'row')} and ${counted(runs, 'seed')}; a design is confirmed if at least`,
    'two metrics are better and none is worse.',
    madeByLines([result], build),
    '',
    ...finalists.map((one) => finalistText(one, result, system)),
    cautionText(),
    `${summary}\n`,
  ].join('\n');
}
