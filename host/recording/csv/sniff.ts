import { InputFile } from '../../common/read-file.js';
import { unitIn } from './columns.js';
import { DELIMITERS, type Encoding, markedEncoding, type TableLayout } from './csv-file.js';

/** Of a file, this much is read to see how it is written. */
const HEAD_BYTES = 1 << 18;
const LINES_MAX = 500;
const COMMENTS = ['#', '//', '%'];
/** Share of the lines that have the same number of cells, if they are split at the right character. */
const REGULAR_SHARE = 0.7;

const NUMBER_POINT = /^\s*[-+]?\d+\.\d+(e[-+]?\d+)?\s*$/i;
const NUMBER_COMMA = /^\s*[-+]?\d+,\d+(e[-+]?\d+)?\s*$/i;
const NUMBER = /^\s*[-+]?(\d+[.,]?\d*|[.,]\d+)(e[-+]?\d+)?\s*$/i;

/** The encoding: by a byte order mark, or UTF-8 if the bytes are that, or zero bytes of UTF-16, or Windows-1252. */
function sniffEncoding(bytes: Uint8Array): Encoding {
  const marked = markedEncoding(bytes);
  if (marked !== 'utf-8') return marked;
  const zeros = [0, 1].map((parity) => bytes.reduce((count, byte, at) => count + Number(byte === 0 && at % 2 === parity), 0));
  const [even = 0, odd = 0] = zeros;
  if (Math.max(even, odd) > bytes.length / 4) return odd > even ? 'utf-16le' : 'utf-16be';
  try {
    new TextDecoder('utf-8', { fatal: true }).decode(bytes, { stream: true });
    return 'utf-8';
  } catch {
    return 'windows-1252';
  }
}

/** Splits a line at a delimiter that is not in quotes. */
function splitLine(line: string, delimiter: string): string[] {
  const cells: string[] = [];
  let start = 0;
  let isQuoted = false;
  for (let at = 0; at < line.length; at++) {
    if (line[at] === '"') isQuoted = !isQuoted;
    else if (!isQuoted && line[at] === delimiter) {
      cells.push(line.slice(start, at));
      start = at + 1;
    }
  }
  return [...cells, line.slice(start)];
}

/** The most frequent number of cells, and the share of lines that have it. */
function commonWidth(lines: readonly string[], delimiter: string): { width: number; share: number } {
  const counts = new Map<number, number>();
  for (const line of lines) {
    const width = splitLine(line, delimiter).length;
    counts.set(width, (counts.get(width) ?? 0) + 1);
  }
  const [[width, count] = [1, 0]] = [...counts].sort((a, b) => b[1] - a[1]);
  return { width, share: count / lines.length };
}

/** Semicolons, tabs and bars come first: where they fit, a comma is likely the decimal sign. */
function sniffDelimiter(lines: readonly string[]): { delimiter: string; width: number } {
  const order = [...DELIMITERS.filter((one) => one !== ','), ','];
  const found = order
    .map((delimiter) => ({ delimiter, ...commonWidth(lines, delimiter) }))
    .filter(({ width, share }) => width > 1 && share >= REGULAR_SHARE);
  return found[0] ?? { delimiter: ',', width: 1 };
}

/** Whether the cells below the header are units: none is a number, and one at least is a known unit. */
const isUnitsRow = (cells: readonly string[]): boolean =>
  cells.every((cell) => !NUMBER.test(cell)) && cells.some((cell) => unitIn(cell) !== undefined);

function sniffDecimal(rows: readonly string[][]): '.' | ',' {
  const cells = rows.flat();
  const count = (form: RegExp): number => cells.reduce((sum, cell) => sum + Number(form.test(cell.replaceAll('"', ''))), 0);
  return count(NUMBER_COMMA) > count(NUMBER_POINT) ? ',' : '.';
}

/** How a file seems to be written. */
export interface Sniffed {
  readonly layout: TableLayout & { readonly delimiter: string; readonly decimal: '.' | ','; readonly encoding: Encoding };
  /** Line of the header, from 1. */
  readonly headerLine: number;
  /** The header is a line of numbers, so that the names of the columns are missing. */
  readonly isHeaderless: boolean;
}

/** Finds out from the beginning of a file how it is written. @throws InputError if it can't be read */
export function sniffTable(file: string): Sniffed {
  const open = new InputFile(file, 'csv');
  const bytes = new Uint8Array(Math.min(HEAD_BYTES, open.size));
  open.read(bytes);
  open.close();
  const encoding = sniffEncoding(bytes);
  const text = new TextDecoder(encoding).decode(bytes);
  const lines = text.split(/\r?\n/).slice(0, LINES_MAX);
  if (open.size > bytes.length || lines.at(-1) === '') lines.pop();
  const comment = COMMENTS.find((sign) => lines.some((line) => line.startsWith(sign)) && !lines.every((line) => line.startsWith(sign)));
  const isData = (line: string): boolean => line.trim() !== '' && !(comment !== undefined && line.trimStart().startsWith(comment));
  const data = lines.filter(isData);
  const { delimiter, width } = sniffDelimiter(data);
  // Some programs end each row with a delimiter, but not the header.
  const hasTail = data.at(-1)?.endsWith(delimiter) === true && width > 2;
  const isHeader = (line: string): boolean =>
    isData(line) && [width, hasTail ? width - 1 : width].includes(splitLine(line, delimiter).length);
  const header = Math.max(0, lines.findIndex(isHeader));
  const names = splitLine(lines[header] ?? '', delimiter).map((name) => name.replaceAll('"', '').trim());
  const below = lines
    .slice(header + 1)
    .filter(isData)
    .map((line) => splitLine(line, delimiter));
  const hasPreamble = lines.slice(0, header).some((line) => comment === undefined || !line.trimStart().startsWith(comment));
  const named = names.filter((name) => name !== '');
  return {
    layout: {
      delimiter,
      decimal: delimiter === ',' ? '.' : sniffDecimal(below),
      encoding,
      ...(hasPreamble ? { skipLines: header } : {}),
      ...(comment === undefined ? {} : { comment }),
      ...(isUnitsRow(below[0] ?? []) ? { unitsRow: true } : {}),
      ...(new Set(named).size < named.length ? { repeatedNames: 'number' as const } : {}),
    },
    headerLine: header + 1,
    isHeaderless: named.length > 0 && named.every((name) => NUMBER.test(name)),
  };
}
