import { oncePer } from '../../common/once.js';
import { TEXT } from '../../common/text-schema.js';
import { type Contract, recordOf } from '../../contract/contract.js';
import { isSignal } from '../../contract/fields.js';
import { MESSAGES } from '../../contract/messages.js';
import { parameterProperties } from '../../contract/parameter-schema.js';
import type { WrittenParameters } from '../../contract/parameter-values.js';
import { DELIMITERS, ENCODINGS, type TableLayout } from './csv-file.js';

/** What stands in for values that are missing: up to a time, and what then. */
export interface WrittenFill {
  readonly fill: 'hold' | 'interpolate';
  readonly upToMs: number;
  readonly beyond?: 'refuse' | 'hold' | 'invalid';
}
export type WrittenMissing = 'refuse' | 'hold' | 'invalid' | WrittenFill;

/** One entry of `signals:`: value = (column or value) · scale + offset, in `unit`. */
export interface SignalEntry {
  readonly signal: string;
  readonly row?: number | 'all';
  readonly column?: string;
  readonly value?: number;
  readonly words?: Readonly<Record<string, number>>;
  readonly unit?: string;
  readonly scale?: number;
  readonly offset?: number;
  readonly between?: 'hold' | 'linear';
  readonly missing?: WrittenMissing;
}

/** One entry of `orders:`, for one valve. */
export interface OrderEntry {
  readonly valve: 'supply' | 'return';
  readonly row: number;
  readonly order?: string;
  readonly position?: string;
  readonly open?: string;
  readonly close?: string;
  readonly current?: string;
  readonly openCurrent?: string;
  readonly closeCurrent?: string;
  readonly words?: Readonly<Record<string, 'none' | 'open' | 'close'>>;
  readonly unit?: string;
  readonly scale?: number;
  readonly onA?: number;
  readonly offA?: number;
  readonly minMs?: number;
  readonly strokeMs?: number;
  readonly overlap?: 'refuse' | 'later' | 'none';
  readonly missing?: 'refuse' | 'none';
}

/** A mapping file: how the columns of a CSV file become messages of a recording. */
export interface MapFile {
  readonly rows: number;
  readonly tickHz?: number;
  readonly table?: TableLayout;
  readonly time?: {
    readonly column?: string;
    readonly columns?: readonly string[];
    readonly unit?: string;
    readonly format?: string;
    readonly zone?: string;
    readonly since?: string;
    readonly repeated?: 'refuse' | 'spread' | 'drop';
    readonly backwards?: 'refuse' | 'continue' | 'drop';
    readonly gaps?: 'keep' | 'close';
  };
  readonly rate?: { readonly hz: number; readonly since?: string };
  readonly gapMs?: number;
  readonly missing?: WrittenMissing;
  readonly parameters?: WrittenParameters;
  readonly about?: Readonly<Record<string, string>>;
  readonly signals: readonly SignalEntry[];
  readonly orders?: readonly OrderEntry[];
}

/** No number of a machine is larger, in any unit: 1 km is 10¹² nm. */
export const NUMBER_MAX = 1e12;
const FILL_MS_MAX = 60_000;

type Schema = Readonly<Record<string, unknown>>;
const described = (description: string, schema: Schema): Schema => ({ ...schema, description });
const text = (description: string): Schema => described(description, TEXT);
const choice = (description: string, ...values: readonly string[]): Schema => ({ type: 'string', enum: values, description });
const number = (description: string, minimum: number, maximum: number, unit = ''): Schema => ({
  type: 'number',
  minimum,
  maximum,
  ...(unit === '' ? {} : { unit }),
  description,
});
const limited = (description: string): Schema => number(description, -NUMBER_MAX, NUMBER_MAX);
const mapping = (description: string, required: readonly string[], properties: Schema): Schema => ({
  type: 'object',
  properties,
  required,
  additionalProperties: false,
  description,
});
const since = text('Date and time of time 0, for viewers; 1970-01-01 for times since 1970');

const TABLE = mapping('How the file is written; what is omitted is detected or the default', [], {
  delimiter: { enum: DELIMITERS, description: 'Between cells: comma, semicolon, tab ("\\t") or bar; detected from the header by default' },
  decimal: choice('Decimal sign, point by default', '.', ','),
  encoding: choice('Encoding: UTF-8, or UTF-16 with a byte order mark, by default', ...ENCODINGS),
  skipLines: { type: 'integer', minimum: 0, maximum: 1000, description: 'Number of lines above the header to skip' },
  comment: { type: 'string', minLength: 1, maxLength: 4, description: 'Start of lines to leave out, such as "#"' },
  unitsRow: { type: 'boolean', description: 'Whether the line below the header holds the units of the columns' },
  repeatedNames: choice('What to do with a second column of the same name: refuse it (default), or call it "name (2)"', 'refuse', 'number'),
});

const TIME = mapping('The column of the time', [], {
  column: text('Name of the column'),
  columns: {
    type: 'array',
    minItems: 2,
    maxItems: 2,
    items: TEXT,
    description: 'Instead of `column`: a column of dates and one of clock times; `format` has a space between the two',
  },
  unit: text('Unit of numbers: s (default), ms, us, ns, min or h'),
  format: text(
    'Of times that are no numbers: `date` for ISO 8601, or a pattern of YYYY, YY, MM, DD, hh, mm, ss, fff (fraction) and AM, such as "DD.MM.YYYY hh:mm:ss.fff" or "hh:mm:ss.fff"',
  ),
  zone: text('Offset from UTC of dates without one, such as "+02:00"; UTC by default'),
  since,
  repeated: choice(
    'Samples with the time of the one before, because the log rounds its times: refuse (default), spread them evenly up to the next time, or drop all but the first',
    'refuse',
    'spread',
    'drop',
  ),
  backwards: choice(
    'A clock that steps back: refuse (default), continue one period after the last sample, or drop samples until it has caught up',
    'refuse',
    'continue',
    'drop',
  ),
  gaps: choice(
    'Intervals longer than gapMs: keep them (default), or close them to one period, because the clock was set forward',
    'keep',
    'close',
  ),
});

const MISSING: Schema = {
  anyOf: [
    { type: 'string', enum: ['refuse', 'hold', 'invalid'], title: 'refuse, hold, invalid' },
    mapping('Up to a time, and what then', ['fill', 'upToMs'], {
      fill: choice('What stands in for missing values', 'hold', 'interpolate'),
      upToMs: number('Longest time without a value', 0, FILL_MS_MAX, 'ms'),
      beyond: choice('After a longer time: refuse (default), hold, or invalid', 'refuse', 'hold', 'invalid'),
    }),
  ],
  title: 'refuse, hold, invalid, or { fill: hold or interpolate, upToMs: …, beyond: … }',
  description:
    'Empty cells, NaN, NA, n/a, null and dashes: refuse (default), hold the last value, or invalid, which the controller sees as a sensor with an open circuit; or fill up to a time, and what then',
};

const signalEntry = (signals: readonly string[], rowsMax: number): Schema =>
  mapping('value = (column or value) · scale + offset, in unit', ['signal'], {
    signal: choice('Input of the controller', ...signals),
    row: {
      anyOf: [{ type: 'integer', minimum: 1, maximum: rowsMax }, { const: 'all' }],
      description: 'Row of a signal that each row has; all by default',
    },
    column: text('Name of the column'),
    value: limited('Instead of a column: a constant'),
    words: {
      type: 'object',
      additionalProperties: { type: 'number' },
      description: 'Of a column with words: the number of each, such as { up: 0, down: 1 }',
    },
    unit: text('Unit of the column or value; by default that in the header, or the own unit of the signal'),
    scale: limited('1 by default'),
    offset: limited('0 by default'),
    between: choice('Values between samples: hold the last one (default), or linear', 'hold', 'linear'),
    missing: MISSING,
  });

const orderEntry = (rowsMax: number): Schema =>
  mapping('Strokes of one valve, as the controller of the log ordered them', ['valve', 'row'], {
    valve: choice('The valve', 'supply', 'return'),
    row: { type: 'integer', minimum: 1, maximum: rowsMax, description: 'The row' },
    order: text('Column of orders: 0 none, 1 open, 2 close, or `words`'),
    position: text('Column of the position: 0 closed, otherwise open; each change is a stroke'),
    open: text('Column that is not 0 while the valve is driven open; with `close`'),
    close: text('Column that is not 0 while it is driven closed'),
    current: text('Column of a coil current that is positive to open and negative to close'),
    openCurrent: text('Column of the current of the coil that opens; with `closeCurrent`'),
    closeCurrent: text('Column of the current of the coil that closes'),
    words: {
      type: 'object',
      additionalProperties: { type: 'string', enum: ['none', 'open', 'close'] },
      description: 'What each word or code in the column of orders means',
    },
    unit: text('Unit of currents: A or mA; by default that in the header'),
    scale: limited('Factor of currents; -1 if negative currents open'),
    onA: number('A stroke begins when the current reaches this', 0, 1000, 'A'),
    offA: number('It ends when the current falls below this; half of onA by default', 0, 1000, 'A'),
    minMs: number('Shorter strokes are ignored', 0, 1000, 'ms'),
    strokeMs: number(
      'Length of every stroke, where the log does not show it; of positions the parameter strokeMs by default',
      0.1,
      100,
      'ms',
    ),
    overlap: choice('Open and close at the same time: refuse (default), the later one wins, or neither counts', 'refuse', 'later', 'none'),
    missing: choice('Missing values: refuse (default), or no stroke', 'refuse', 'none'),
  });

/** Returns the JSON Schema of a mapping file. */
export const mappingSchema = oncePer((contract: Contract): object => {
  const records = [MESSAGES.input.bank, MESSAGES.input.row].map((name) => recordOf(contract, name));
  const signals = new Set(records.flatMap(({ fields }) => fields.filter(isSignal).map(({ name }) => name)));
  const { tickHz, parameters } = parameterProperties(contract);
  return mapping('How the columns of a log (CSV) become a recording', ['rows', 'signals'], {
    rows: { type: 'integer', minimum: 1, maximum: contract.rowsMax, description: 'Number of rows of the recording' },
    tickHz,
    table: TABLE,
    time: TIME,
    rate: mapping('Instead of `time`: samples at a fixed rate', ['hz'], { hz: number('Samples per second', 1e-6, 1e6, 'Hz'), since }),
    gapMs: number('A longer interval is reported as a gap; 5 sample periods by default', 0, 1e9, 'ms'),
    missing: MISSING,
    parameters,
    about: { type: 'object', additionalProperties: TEXT, description: 'Free text, stored in the recording: title, source, licence' },
    signals: { type: 'array', items: signalEntry([...signals], contract.rowsMax), description: 'Where each input comes from' },
    orders: {
      type: 'array',
      maxItems: 2 * contract.rowsMax,
      items: orderEntry(contract.rowsMax),
      description: "Where the orders of the log's own controller come from: both valves of every row, or none",
    },
  });
});
