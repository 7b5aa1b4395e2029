import type { Metrics, RowMetricName } from '../../assess/metrics.js';
import { textTable } from '../form/text-table.js';

/** Metrics of a segment in the text; JSON has all of them. */
const SHOWN: readonly RowMetricName[] = ['loadRmsN', 'inBandPercent', 'liftOffPercent', 'meanLoadN', 'errorP90N', 'shallow5Percent'];

/** The segments of a field, one per line, means over the rows; nothing for a field without segments. */
export function segmentsText({ segments }: Metrics): string[] {
  if (segments === undefined) return [];
  const columns = [
    { title: 'segment, mean of rows' },
    ...['from m', 'to m', 'assessed s', ...SHOWN].map((title) => ({ title, isNumber: true })),
  ];
  const lines = segments.map(({ name, fromM, toM, assessedS, over }) => {
    const values = SHOWN.map((metric) => over[metric]?.mean ?? Number.NaN);
    return [name, ...[fromM, toM, assessedS, ...values].map((value) => (Number.isNaN(value) ? '–' : String(Number(value.toPrecision(3)))))];
  });
  return [textTable(columns, lines)];
}
