/** A column: its title, and whether its cells are numbers. */
export interface Column {
  readonly title: string;
  readonly isNumber?: boolean;
}

// Built from the code point, so that no control character stands in a source file.
const COLOUR = new RegExp(`${String.fromCharCode(27)}\\[[0-9;]*m`, 'g');
const widthOf = (text: string): number => [...text.replace(COLOUR, '')].length;

/** A plain table: two blanks between columns, numbers to the right, no lines. Cells may hold colour codes. */
export function textTable(columns: readonly Column[], rows: readonly (readonly string[])[]): string {
  const widths = columns.map((column, index) => Math.max(widthOf(column.title), ...rows.map((row) => widthOf(row[index] ?? ''))));
  const line = (cells: readonly string[]): string =>
    columns
      .map(({ isNumber }, index) => {
        const cell = cells[index] ?? '';
        const blanks = ' '.repeat((widths[index] ?? 0) - widthOf(cell));
        return isNumber ? blanks + cell : cell + blanks;
      })
      .join('  ')
      .trimEnd();
  return [line(columns.map(({ title }) => title)), ...rows.map(line), ''].join('\n');
}

/** Whole number with thin groups of three: 15 000. */
export const grouped = (value: number): string => String(value).replace(/\B(?=(\d{3})+$)/g, ' ');

/** `3 cases`, `1 case`. */
export const counted = (count: number, word: string): string => `${grouped(count)} ${word}${count === 1 ? '' : 's'}`;
