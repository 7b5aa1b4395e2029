import { borderOf, HEAD } from './fit-table.js';
import { widthOf } from './marks.js';

/** A column of a table. */
export interface Column {
  readonly title: string;
  readonly isNumber?: boolean;
  /** Whether it is left out where a terminal is too narrow. */
  readonly isOptional?: boolean;
}

/** Joins cells without spaces at the end of the line; every border stays, so that the first line has all of them. */
function joined(cells: readonly string[], borders: readonly string[]): string {
  const last = cells.findLastIndex((cell) => cell.trim() !== '');
  const shown = cells.slice(0, last + 1).map((cell, index) => `${borders[index]}${index === last ? cell.trimEnd() : cell}`);
  return shown.join('  ') + borders.slice(last + 1).join('');
}

/**
 * Formats a plain table: two spaces between columns, numbers right-aligned, no lines. Cells may hold colours. A terminal that is too
 * narrow gets it fitted, see `terminalText`.
 */
export function textTable(columns: readonly Column[], rows: readonly (readonly string[])[]): string {
  const widths = columns.map((column, index) => Math.max(widthOf(column.title), ...rows.map((row) => widthOf(row[index] ?? ''))));
  const borders = columns.map(({ isNumber, isOptional }) => borderOf(`${isOptional ? 'optional ' : ''}${isNumber ? 'number' : 'text'}`));
  const line = (cells: readonly string[]): string => {
    const padded = columns.map(({ isNumber }, index) => {
      const cell = cells[index] ?? '';
      const spaces = ' '.repeat((widths[index] ?? 0) - widthOf(cell));
      return isNumber ? spaces + cell : cell + spaces;
    });
    return joined(padded, borders);
  };
  const head = columns.map(({ title }) => title);
  return [HEAD + line(head), ...rows.map(line), ''].join('\n');
}

/** Groups the integer digits of a number by three if it has five or more: 9999, 15 000. */
export const grouped = (value: number | string): string =>
  String(value).replace(/^\D*\d{5,}/, (digits) => digits.replace(/\B(?=(\d{3})+$)/g, ' '));

/** `3 vectors`, `1 vector`. */
export const counted = (count: number, word: string): string => `${grouped(count)} ${word}${count === 1 ? '' : 's'}`;
