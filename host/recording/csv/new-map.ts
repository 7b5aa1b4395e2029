import { basename } from 'node:path';
import { CHANNELS } from '../../../shared/channels.js';
import { showControls } from '../../common/control-characters.js';
import { shellWord } from '../../common/shell-word.js';
import { convertibleSymbols } from '../../common/unit-conversion.js';
import type { ColumnSummary } from './column-summary.js';
import type { OrderGuess, SignalGuess } from './guess-columns.js';
import { DECIDE } from './guess-time.js';
import type { LogInspection } from './inspect.js';

/** Text in double quotes: JSON's are YAML's too. */
const quoted = (text: string): string => JSON.stringify(text);
const inline = (keys: Readonly<Record<string, string | number | boolean>>): string =>
  Object.entries(keys)
    .map(([key, value]) => `${key}: ${value}`)
    .join(', ');

/** Text of a log as part of a comment: on one line, whatever characters it has. */
const commented = (text: string): string => showControls(text.replaceAll(/\s+/g, ' '));

function tableLines({ table }: LogInspection): string[] {
  const { delimiter, decimal, encoding, skipLines, comment, unitsRow, repeatedNames } = table;
  const keys = {
    delimiter: quoted(delimiter),
    decimal: quoted(decimal),
    ...(encoding === 'utf-8' ? {} : { encoding }),
    ...(skipLines === undefined ? {} : { skipLines }),
    ...(comment === undefined ? {} : { comment: quoted(comment) }),
    ...(unitsRow === undefined ? {} : { unitsRow }),
    ...(repeatedNames === undefined ? {} : { repeatedNames }),
  };
  return [`table: { ${inline(keys)} }`];
}

/** The time, with a decision for each thing that its clock does and that an import refuses. */
function timeLines({ time, clock, columns }: LogInspection): string[] {
  if (time === undefined)
    return [
      '# No column looks like a time: give the rate of the samples here, or `time: { column: NAME, unit: ms }` instead.',
      `rate: { hz: ${DECIDE} }`,
    ];
  const names = time.columns.map((index) => quoted(columns[index]?.name ?? ''));
  const { unit, format, since } = time.keys;
  const keys = {
    ...(names.length === 1 ? { column: names[0] ?? '' } : { columns: `[${names.join(', ')}]` }),
    ...(unit === undefined ? {} : { unit }),
    ...(format === undefined ? {} : { format: format === DECIDE ? format : quoted(format) }),
    ...(since === undefined ? {} : { since }),
    ...((clock?.repeatedTimes ?? 0) > 0 ? { repeated: DECIDE } : {}),
    ...((clock?.stepsBack ?? 0) > 0 ? { backwards: DECIDE } : {}),
  };
  return [
    ...(time.note === undefined ? [] : [`# ${commented(time.note)}`]),
    ...(clock !== undefined && clock.repeatedTimes > 0
      ? [`# ${clock.repeatedTimes} with the time of the sample before: spread them up to the next time, or drop them.`]
      : []),
    ...(clock !== undefined && clock.stepsBack > 0
      ? [
          `# The clock steps back (${clock.stepsBack} ${clock.stepsBack === 1 ? 'time' : 'times'}): continue after the last sample, or drop samples until it has caught up.`,
        ]
      : []),
    ...(format !== undefined && /^(date|.*Y)/.test(format)
      ? ['# Dates without an offset are taken as UTC; add zone: "+02:00" if they are not.']
      : []),
    `time: { ${inline(keys)} }`,
  ];
}

const SENSORS: ReadonlySet<string> = new Set(CHANNELS.map(({ input }) => input));
/** From this interval between samples on, held values of sensors look like jumps to the controller, s. */
const SLOW_S = 0.005;

function signalLine({ column, signal, row, unit, quantity }: SignalGuess, isSlow: boolean): string {
  const { name, missing, missingLine } = column;
  const isSensor = SENSORS.has(signal);
  const needsUnit = quantity !== 'none';
  const keys = {
    signal,
    ...(row === undefined ? {} : { row }),
    column: quoted(name),
    ...(needsUnit ? { unit: unit === undefined ? DECIDE : quoted(unit) } : {}),
    ...(isSensor && isSlow ? { between: 'linear' } : {}),
    ...(missing === 0 ? {} : { missing: DECIDE }),
  };
  const units = [...(isSensor ? ['counts'] : []), ...convertibleSymbols(quantity)].join(', ');
  const notes = [
    ...(needsUnit && unit === undefined ? [`unit: one of ${units}`] : []),
    ...(missing === 0
      ? []
      : [
          `${missing} ${missing === 1 ? 'cell' : 'cells'} without a value, the first in line ${missingLine}: hold, invalid, or { fill: interpolate, upToMs: 100 }`,
        ]),
  ];
  return `  - { ${inline(keys)} }${notes.length === 0 ? '' : `  # ${notes.join('; ')}`}`;
}

/** Half of the highest current, to two digits. */
const thresholdOf = (columns: readonly ColumnSummary[], gain: number): number =>
  Number(((Math.max(...columns.map(({ min, max }) => Math.max(max, -min))) * gain) / 2).toPrecision(2));

function orderLine({ valve, row, columns }: OrderGuess): string {
  const all = Object.entries(columns);
  const [[key, first] = ['', undefined]] = all;
  const isCurrent = /current/i.test(key);
  const unit = first?.unit ?? first?.name.split(/[\s_]+/).at(-1) ?? '';
  const onA = thresholdOf(
    all.map(([, column]) => column),
    /^mA$/i.test(unit) ? 1e-3 : 1,
  );
  const missing = all.some(([, column]) => column.missing > 0);
  const keys = {
    valve,
    row,
    ...Object.fromEntries(all.map(([name, column]) => [name, quoted(column.name)])),
    ...(isCurrent ? { unit: quoted(unit), onA } : {}),
    ...(missing ? { missing: DECIDE } : {}),
  };
  return `  - { ${inline(keys)} }${isCurrent ? '  # onA: half of the highest current in the log' : ''}`;
}

function rangeOf({ min, max, numbers, words, texts }: ColumnSummary): string {
  if (numbers === 0) return words === 0 ? 'empty' : `text such as ${quoted(texts.find((text) => text !== '') ?? '')}`;
  return words === 0 ? `${min} to ${max}` : 'numbers and text';
}

/** Columns that nothing was found for. */
export function unusedColumns({ columns, time, signals, orders }: LogInspection): ColumnSummary[] {
  const used = new Set<ColumnSummary | undefined>([
    ...(time?.columns ?? []).map((index) => columns[index]),
    ...signals.map(({ column }) => column),
    ...orders.flatMap((one) => Object.values(one.columns)),
  ]);
  return columns.filter((column) => !used.has(column) && column.name !== '');
}

/**
 * Writes the mapping file that a log seems to need. What can't be known is the word `decide`, which an import refuses with what is
 * allowed in its place. The rest is valid as it stands.
 */
export function newMap(log: LogInspection): string {
  const { file, rows, isOneRow, signals, orders, clock } = log;
  const unused = unusedColumns(log);
  const isSlow = (clock?.intervals?.medianS ?? 0) >= SLOW_S;
  const lines = [
    ...(rows === undefined ? ['# No names of columns have the numbers of rows.'] : []),
    `rows: ${rows ?? DECIDE}${isOneRow ? '  # no name of a column has the number of a row' : ''}`,
    ...tableLines(log),
    ...timeLines(log),
    '',
    '# What the log does not have takes a default, which the import lists.',
    ...(isSlow
      ? ['# Values of sensors are interpolated: held this long, the controller would take them for jumps and frozen sensors.']
      : []),
    ...(signals.length === 0 ? ['signals: []'] : ['signals:', ...signals.map((one) => signalLine(one, isSlow))]),
    '',
    ...(orders.length === 0
      ? [
          '# Orders of the controller that made the log; a fit needs them, for both valves of every row:',
          '# orders:',
          '#   - { valve: supply, row: 1, current: NAME, unit: A, onA: 2 }',
          '#   - { valve: return, row: 1, position: NAME }',
        ]
      : ['orders:', ...orders.map(orderLine)]),
    ...(unused.length === 0 ? [] : ['', '# Columns that are not used:']),
    ...unused.map((column) => `#   ${commented(quoted(column.name))}: ${commented(rangeOf(column))}`),
  ];
  const isDecided = decisionLines(lines.join('\n')).length === 0;
  return [
    `# Mapping of ${commented(shellWord(basename(file)))}: guessed from names and numbers, so check it.`,
    `# ${isDecided ? '' : `Replace each \`${DECIDE}\`. `}All keys: host/recording/csv/README.md.`,
    '',
    ...lines,
    '',
  ].join('\n');
}

/** Lines, from 1, of a mapping file in which something is to be decided. */
export const decisionLines = (map: string): number[] =>
  map.split('\n').flatMap((line, index) => (/^[^#]*: decide\b/.test(line) ? [index + 1] : []));
