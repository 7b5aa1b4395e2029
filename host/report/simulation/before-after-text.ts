import { UNITS } from '../../../shared/units.js';
import { METRICS } from '../../assess/metrics.js';
import type { BeforeAfter, MetricDifference, ParameterEffect, ParameterUse, SideName, SideResult } from '../../review/before-after.js';
import { SIDES } from '../../review/before-after.js';
import { colours } from '../form/colours.js';
import { buildText, parametersLine, strategyText } from '../form/run-identity.js';
import { textTable } from '../form/text-table.js';
import { chosenOf, type MetricChoice, metricForm, requirementWords, seedRange } from './metrics-text.js';

const number = (title: string): { title: string; isNumber: true } => ({ title, isNumber: true });

/** `better` or `worse` if the interval of the difference does not contain 0; of one seed nothing can be said. */
function verdictOf({ difference: { ciLow, ciHigh }, worse }: MetricDifference): string {
  if (!(ciLow > 0 || ciHigh < 0)) return '';
  return ciLow > 0 === (worse === 'more') ? colours.red('worse') : colours.green('better');
}

function metricTable({ metrics, seeds }: BeforeAfter, choice: MetricChoice): string {
  const isPaired = seeds.length > 1;
  const shown = new Set(chosenOf(METRICS, choice).map(({ name }) => name as string));
  const lines = metrics
    .filter(({ name }) => shown.has(name))
    .map((one) => {
      const { name, over = 'bank', pairs, means, difference } = one;
      const { symbol, text, spread } = metricForm(one, choice.units);
      const { mean, ciLow, ciHigh } = difference;
      const values = [text(means.base), text(means.head), spread(mean)];
      const interval = Number.isNaN(ciLow) ? '–' : `[${spread(ciLow)}, ${spread(ciHigh)}]`;
      return [
        name,
        over,
        ...values,
        ...(isPaired ? [interval] : []),
        symbol,
        ...(isPaired
          ? [[verdictOf(one), pairs > 0 && pairs < seeds.length ? `${pairs} of ${seeds.length} seeds` : ''].filter(Boolean).join(', ')]
          : []),
      ];
    });
  const paired = isPaired ? [{ title: '95 % interval' }] : [];
  const columns = [{ title: 'metric' }, { title: 'of rows', isOptional: true }, number('base'), number('head'), number('difference')];
  return textTable([...columns, ...paired, { title: 'unit' }, { title: '' }], lines);
}

function useWords(use: ParameterUse): string {
  if (typeof use !== 'string') return use.unknown;
  return use === 'used' ? 'used' : colours.red('NOT USED');
}

function parameterTable({ parameters }: BeforeAfter): string[] {
  if (parameters.length === 0) return ['All parameters are the same on both sides.\n'];
  const lines = parameters.map(({ name, unit, values, uses }) => [
    name,
    String(values.base ?? '–'),
    String(values.head ?? '–'),
    UNITS[unit].symbol,
    ...SIDES.map((side) => useWords(uses[side])),
  ]);
  const columns = [{ title: 'parameter' }, number('base'), number('head'), { title: 'unit' }, { title: 'in base' }, { title: 'in head' }];
  return [textTable(columns, lines)];
}

const isUnused = ({ uses }: ParameterEffect): boolean => SIDES.every((side) => uses[side] === 'unused');

/** What the uses mean, and a warning where a change has no effect. */
function useLines({ parameters, seeds }: BeforeAfter): string[] {
  if (parameters.length === 0) return [];
  const measured = `Measured: each side ran again with one parameter as on the other side. NOT USED: no input, output or true signal changed in any tick, ${seedRange(seeds)}.`;
  const unused = parameters.filter(isUnused).map(({ name }) => name);
  const warning = `NO EFFECT in this scenario, with the strategy that runs: ${unused.join(', ')}. Changing ${unused.length === 1 ? 'it' : 'one of them'} alone changes nothing.`;
  return [measured, ...(unused.length === 0 ? [] : [colours.red(warning)]), ''];
}

function requirementTable({ base, head, seeds }: BeforeAfter, { units }: MetricChoice): string[] {
  const results = (side: SideResult, index: number) => side.runs.flatMap(({ requirements }) => requirements[index] ?? []);
  const first = head.runs[0]?.requirements ?? [];
  if (first.length === 0) return [];
  const cell = (side: SideResult, index: number): string => {
    const all = results(side, index);
    const unmet = all.findIndex(({ met }) => !met);
    const [only] = all;
    const failed = all[unmet];
    if (only === undefined) return '–';
    if (failed === undefined) return colours.green(seeds.length === 1 ? `met: ${requirementWords(only, units).measured}` : 'met');
    const count = all.filter(({ met }) => !met).length;
    const where = seeds.length === 1 ? '' : ` with ${count} of ${seeds.length} seeds, first ${seeds[unmet]}`;
    return colours.red(`NOT MET${where}: ${requirementWords(failed, units).measured}`);
  };
  const lines = first.map((one, index) => [requirementWords(one, units).requirement, cell(base, index), cell(head, index)]);
  return [textTable([{ title: 'requirement' }, { title: 'base' }, { title: 'head' }], lines)];
}

const stopLines = (result: BeforeAfter): string[] =>
  SIDES.flatMap((side) =>
    result[side].runs.flatMap(({ seed, trap }) =>
      trap === undefined ? [] : [colours.red(`${side} with seed ${seed}: the controller stopped at tick ${trap.tick}: ${trap.message}`)],
    ),
  );

const isSame = ({ base, head }: BeforeAfter): boolean => base.runs.every(({ hash }, index) => hash === head.runs[index]?.hash);

/** A scenario before and after a change: parameters and whether they are used, metrics with paired intervals, requirements. */
export function beforeAfterText(result: BeforeAfter, choice: MetricChoice): string {
  const { scenario, title, machine, seeds } = result;
  const sideLine = (side: SideName): string => {
    const { controller, ranWith } = result[side];
    return `${side}: ${buildText(controller)}; ${strategyText(ranWith)}; ${parametersLine(ranWith)}`;
  };
  const pairs =
    seeds.length === 1
      ? 'One seed gives no interval: run --seeds 5 to see whether a difference is more than chance.'
      : 'Means over the seeds; difference of head to base, paired by seed, with its 95 % confidence interval (Student t), not corrected for\nmultiple comparisons.';
  return [
    title,
    `scenario ${scenario}, machine ${machine}, ${seedRange(seeds)}`,
    ...SIDES.map(sideLine),
    '',
    ...parameterTable(result),
    ...useLines(result),
    ...(isSame(result)
      ? [colours.red('NOTHING DIFFERS: inputs, outputs and true signals of both sides are equal in every tick.'), '']
      : []),
    pairs,
    '',
    metricTable(result, choice),
    ...requirementTable(result, choice),
    ...stopLines(result),
  ].join('\n');
}
