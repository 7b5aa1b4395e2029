import { METRICS, type Metric, type Metrics, type RowMetricName } from '../../assess/metrics.js';
import { textTable } from '../form/text-table.js';
import { converted, displayIn } from '../form/units.js';
import { ALL_METRICS, chosenOf, type MetricChoice, metricForm } from './metrics-text.js';

/** Metrics of a segment in the text, unless others are chosen; JSON has all of them. */
const SHOWN: readonly RowMetricName[] = ['loadRmsN', 'inBandPercent', 'liftOffPercent', 'meanLoadN', 'errorP90N', 'shallow5Percent'];

/** The segments of a field, one per line, means over the rows; nothing for a field without segments. */
export function segmentsText({ segments }: Metrics, { units, metrics = SHOWN }: MetricChoice = ALL_METRICS): string[] {
  if (segments === undefined) return [];
  const forms = chosenOf<Metric>(METRICS, { units, metrics }).map((metric) => ({ metric, ...metricForm(metric, units) }));
  const distance = displayIn(units, 'metre');
  const columns = [
    { title: 'segment, mean of rows' },
    ...[`from ${distance.symbol}`, `to ${distance.symbol}`, 'assessed s'].map((title) => ({ title, isNumber: true })),
    ...forms.map(({ metric, symbol }) => ({ title: units === 'si' ? metric.name : `${metric.name}, ${symbol}`, isNumber: true })),
  ];
  const place = (value: number): string => (Number.isNaN(value) ? '–' : String(Number(value.toPrecision(3))));
  const lines = segments.map(({ name, fromM, toM, assessedS, over }) => {
    const values = forms.map(({ metric, text }) => text(over[metric.name as RowMetricName]?.mean ?? Number.NaN));
    return [name, place(converted(fromM, distance)), place(converted(toM, distance)), place(assessedS), ...values];
  });
  return [textTable(columns, lines)];
}
