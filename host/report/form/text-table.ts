/** A column: its title, and whether its cells are numbers. */
export interface Column {
  readonly title: string;
  readonly isNumber?: boolean;
}

// Built from the code point, so that the source has no control character.
const COLOUR = new RegExp(`${String.fromCharCode(27)}\\[[0-9;]*m`, 'g');
const widthOf = (text: string): number => [...text.replace(COLOUR, '')].length;

/** Formats a plain table: two spaces between columns, numbers right-aligned, no lines. Cells may hold colour codes. */
export function textTable(columns: readonly Column[], rows: readonly (readonly string[])[]): string {
  const widths = columns.map((column, index) => Math.max(widthOf(column.title), ...rows.map((row) => widthOf(row[index] ?? ''))));
  const line = (cells: readonly string[]): string =>
    columns
      .map(({ isNumber }, index) => {
        const cell = cells[index] ?? '';
        const spaces = ' '.repeat((widths[index] ?? 0) - widthOf(cell));
        return isNumber ? spaces + cell : cell + spaces;
      })
      .join('  ')
      .trimEnd();
  return [line(columns.map(({ title }) => title)), ...rows.map(line), ''].join('\n');
}

/** Groups the integer digits of a number by three if it has five or more: 9999, 15 000. */
export const grouped = (value: number | string): string =>
  String(value).replace(/^\D*\d{5,}/, (digits) => digits.replace(/\B(?=(\d{3})+$)/g, ' '));

/** `3 vectors`, `1 vector`. */
export const counted = (count: number, word: string): string => `${grouped(count)} ${word}${count === 1 ? '' : 's'}`;
