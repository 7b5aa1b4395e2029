import type { ColumnSummary } from '../../recording/csv/column-summary.js';
import type { LogInspection } from '../../recording/csv/inspect.js';
import { brief } from '../form/text-plot.js';
import { counted, textTable } from '../form/text-table.js';
import { clockLines } from './import-text.js';

const DELIMITER_NAMES: Readonly<Record<string, string>> = { ',': 'comma', ';': 'semicolon', '\t': 'tab', '|': 'bar' };

function tableLine({ table, headerLine }: LogInspection): string {
  const { delimiter, decimal, encoding, comment, unitsRow } = table;
  return [
    `${DELIMITER_NAMES[delimiter]} between cells`,
    `decimal ${decimal === ',' ? 'comma' : 'point'}`,
    encoding.toUpperCase(),
    `header in line ${headerLine}`,
    ...(unitsRow === true ? ['a row of units below it'] : []),
    ...(comment === undefined ? [] : [`comments after ${comment}`]),
  ].join(', ');
}

function timeText({ time, columns }: LogInspection): string {
  if (time === undefined) return 'no column looks like a time';
  const names = time.columns.map((index) => `"${columns[index]?.name}"`).join(' and ');
  const keys = Object.entries(time.keys).map(([key, value]) => `${key} ${value}`);
  return `time in ${names}: ${keys.join(', ')}${time.note === undefined ? '' : ` (${time.note})`}`;
}

/** What each column seems to be. */
function uses({ time, signals, orders }: LogInspection): ReadonlyMap<ColumnSummary | number, string> {
  return new Map<ColumnSummary | number, string>([
    ...(time?.columns ?? []).map((index) => [index, 'time'] as const),
    ...signals.map(({ column, signal, row }) => [column, row === undefined ? signal : `${signal}[${row}]`] as const),
    ...orders.flatMap(({ valve, row, columns }) =>
      Object.entries(columns).map(([key, column]) => [column, `${key} of row ${row}'s ${valve} valve`] as const),
    ),
  ]);
}

function columnTable(log: LogInspection): string {
  const found = uses(log);
  const rows = log.columns.map((column) => {
    const { name, unit = '', numbers, missing, words, min, max, texts } = column;
    const values = numbers === 0 ? (texts.find((text) => text !== '') ?? '') : `${brief(min)} to ${brief(max)}`;
    const odd = [missing === 0 ? '' : `${missing} empty`, words === 0 || numbers === 0 ? '' : `${words} words`].filter(Boolean);
    return [name, unit, values, odd.join(', '), found.get(column) ?? found.get(column.index) ?? 'not used'];
  });
  return textTable([{ title: 'column' }, { title: 'unit' }, { title: 'values' }, { title: '' }, { title: 'seems to be' }], rows);
}

/** Formats what a log seems to hold. */
export function inspectionText(log: LogInspection): string {
  const { file, lines, isPartial, clock, rows } = log;
  return [
    `${file}: ${counted(lines, 'line')} of data${isPartial ? ', of more' : ''}, ${counted(log.columns.length, 'column')}${rows === undefined ? '' : `, ${counted(rows, 'row')}`}`,
    tableLine(log),
    timeText(log),
    ...(clock === undefined ? [] : clockLines(clock)),
    '',
    columnTable(log),
  ].join('\n');
}
