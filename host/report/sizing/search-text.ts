import { DESIGN_METRICS, type DesignMetrics } from '../../sizing/search/design.js';
import { SIMULATED, type SimulatedMetrics } from '../../sizing/search/finalists.js';
import { SAME_SHARE } from '../../sizing/search/front.js';
import type { Finalist, SearchResult } from '../../sizing/search/run-search.js';
import { colours } from '../form/colours.js';
import { counted, grouped, textTable } from '../form/text-table.js';
import { cautionText } from './sizing-text.js';
import { HYDRAULIC_POWER, type Kind, kindOf, type System, withUnit } from './sizing-units.js';

const PLAIN: Kind = kindOf('none');

const DESIGN_WORDS: Readonly<Record<keyof DesignMetrics, { label: string; kind: Kind }>> = {
  coilW: { label: 'coil power', kind: kindOf('watt') },
  oilW: { label: 'oil power', kind: HYDRAULIC_POWER },
  leastPulseN: { label: 'shortest pulse', kind: kindOf('newton') },
  slewS: { label: 'soil step followed in', kind: kindOf('second') },
  cost: { label: 'price points', kind: PLAIN },
};

const SIMULATED_WORDS: Readonly<Record<keyof SimulatedMetrics, { label: string; kind: Kind }>> = {
  coilTotalW: { label: 'coil power', kind: kindOf('watt') },
  hydraulicW: { label: 'oil power', kind: HYDRAULIC_POWER },
  loadRmsN: { label: 'load RMS', kind: kindOf('newton') },
  inBandPercent: { label: 'load in band', kind: kindOf('percent') },
  liftOffPercent: { label: 'lift-off', kind: kindOf('percent') },
};

/** `−3.2 %`; nothing where there is no share to tell, from nothing to something. */
function changeText(now: number, before: number): string {
  if (before === 0) return now === 0 ? '=' : '';
  const share = (now - before) / Math.abs(before);
  return `${share < 0 ? '−' : '+'}${(100 * Math.abs(share)).toFixed(1)} %`;
}

const verdictText = ({ isConfirmed }: Finalist): string => (isConfirmed ? colours.green('confirmed') : colours.yellow('not confirmed'));

function finalistLines(result: SearchResult, system: System): string[] {
  const { present, finalists } = result;
  return finalists.flatMap((one) => {
    const columns = [
      { title: '  ' },
      { title: 'as it is', isNumber: true },
      { title: 'design', isNumber: true },
      { title: 'change', isNumber: true },
    ];
    const closed = DESIGN_METRICS.map((name) => {
      const { label, kind } = DESIGN_WORDS[name];
      const [before, now] = [present.metrics[name], one.metrics[name]];
      return [`  ${label}, closed form`, withUnit(before, kind, system), withUnit(now, kind, system), changeText(now, before)];
    });
    const simulated = SIMULATED.map(({ name }) => {
      const { label, kind } = SIMULATED_WORDS[name];
      const [before, now] = [present.simulated[name], one.simulated[name]];
      return [`  ${label}, simulated`, withUnit(before, kind, system), withUnit(now, kind, system), changeText(now, before)];
    });
    const head = `${one.name}: ${verdictText(one)} by simulation${one.file === undefined ? '' : `, ${one.file}`}`;
    return [head, ...one.options.map((option) => `  ${option}`), textTable(columns, [...closed, ...simulated])];
  });
}

/** Least and most of each metric on the front, beside the machine as it is. */
function frontTable({ front, present }: SearchResult, system: System): string {
  const rows = DESIGN_METRICS.map((name) => {
    const { label, kind } = DESIGN_WORDS[name];
    const values = front.map(({ metrics }) => metrics[name]);
    return [label, ...[Math.min(...values), Math.max(...values), present.metrics[name]].map((value) => withUnit(value, kind, system))];
  });
  const titles = ['least', 'most', 'as it is'].map((title) => ({ title, isNumber: true }));
  return textTable([{ title: 'on the front' }, ...titles], rows);
}

/** What a search came to. */
export function searchText(result: SearchResult, system: System): string {
  const { machine, catalogue, scenario, rows, seed, designs, tries, fit, runs, front, finalists } = result;
  const confirmed = finalists.filter(({ isConfirmed }) => isConfirmed).length;
  const beaten =
    finalists.length === 0
      ? 'No design was found that beats the machine as it is.'
      : `${counted(finalists.length, 'finalist')}, ${confirmed} confirmed.`;
  return [
    `Machine ${machine}, catalogue ${catalogue}: ${grouped(tries)} of ${grouped(designs)} designs tried with seed ${seed}, ${grouped(fit)} fail`,
    `no check that the machine passes; ${counted(front.length, 'design')} on the trade-off front.`,
    '',
    frontTable(result, system),
    `Finalists beat the machine as it is in two metrics or more and lose in none; less than ${SAME_SHARE * 100} % counts as the same.`,
    `Simulated on ${scenario} with its ${counted(rows, 'row')}, ${counted(runs, 'seed')} each: it confirms a design that is better in two`,
    'metrics and worse in none.',
    '',
    ...finalistLines(result, system),
    cautionText(),
    `${beaten}\n`,
  ].join('\n');
}
