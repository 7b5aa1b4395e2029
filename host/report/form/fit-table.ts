import { hasMark, mark, widthOf } from './marks.js';

/** Kinds of columns: text may be wrapped; numbers are never broken; optional columns are left out where a terminal is narrow. */
const KINDS = ['text', 'number', 'optional text', 'optional number'] as const;
export type ColumnKind = (typeof KINDS)[number];

/** Codes of the marks; no terminal has such codes. */
const FIRST_CODE = 900;
const BORDERS = KINDS.map((_, kind) => mark(FIRST_CODE + kind));

/** The mark of a table's first line, which also separates tables that follow each other. */
export const HEAD = mark(FIRST_CODE + KINDS.length);

/** The mark at the start of a cell. */
export const borderOf = (kind: ColumnKind): string => BORDERS[KINDS.indexOf(kind)] ?? '';

const GAP = '  ';

interface FitColumn {
  readonly kind: ColumnKind;
  readonly cells: readonly string[];
}

/** Splits at spaces, but not within a number that is grouped by spaces. */
const wordsOf = (cell: string): string[] => cell.split(/ (?!(?<=\d )\d{3}(?!\d))/);

const isNumber = ({ kind }: FitColumn): boolean => kind.endsWith('number');
const maxOf = (widths: readonly number[]): number => Math.max(0, ...widths);
const naturalWidth = ({ cells }: FitColumn): number => maxOf(cells.map(widthOf));
/** Colours end with their cell, so a coloured cell stays whole. */
const wholeParts = (cell: string): string[] => (hasMark(cell) ? [cell] : wordsOf(cell));
const minWidth = (column: FitColumn): number =>
  isNumber(column) ? naturalWidth(column) : maxOf(column.cells.flatMap(wholeParts).map(widthOf));

const total = (widths: readonly number[]): number => widths.reduce((sum, width) => sum + width, GAP.length * (widths.length - 1));

/** Narrows the widest text columns until the table fits, if it can, but none below `floor` or its longest word. */
function narrowed(columns: readonly FitColumn[], max: number, floor: number): number[] {
  const widths = columns.map(naturalWidth);
  const limits = columns.map((column, at) => Math.min(widths[at] ?? 0, isNumber(column) ? Infinity : Math.max(floor, minWidth(column))));
  for (let excess = total(widths) - max; excess > 0; excess--) {
    const widest = widths.reduce((best, width, at) => {
      return width > (limits[at] ?? 0) && (best < 0 || width > (widths[best] ?? 0)) ? at : best;
    }, -1);
    if (widest < 0) break;
    widths[widest] = (widths[widest] ?? 0) - 1;
  }
  return widths;
}

/** A text column is narrowed to this before columns are left out, and further only after that. */
const READABLE = 18;

/** Chooses the columns and their widths. */
function layOut(columns: readonly FitColumn[], max: number): { kept: readonly FitColumn[]; widths: number[] } {
  let kept = columns;
  for (;;) {
    const widths = narrowed(kept, max, READABLE);
    const last = kept.findLastIndex(({ kind }) => kind.startsWith('optional'));
    if (total(widths) <= max) return { kept, widths };
    if (last < 0) return { kept, widths: narrowed(kept, max, 0) };
    kept = kept.filter((_, at) => at !== last);
  }
}

/** Breaks a cell into lines of at most `width` characters; longer words stay whole. */
function wrapped(cell: string, width: number): string[] {
  const lines: string[] = [];
  for (const word of wholeParts(cell)) {
    const line = lines.at(-1);
    if (line !== undefined && widthOf(`${line} ${word}`) <= width) lines[lines.length - 1] = `${line} ${word}`;
    else lines.push(word);
  }
  return lines;
}

function tableLines(columns: readonly FitColumn[], max: number): string[] {
  const { kept, widths } = layOut(columns, max);
  const rows = columns[0]?.cells.length ?? 0;
  const lines = Array.from({ length: rows }, (_, row) => {
    const cells = kept.map(({ cells: all }, at) => wrapped(all[row] ?? '', widths[at] ?? 0));
    return Array.from({ length: maxOf(cells.map(({ length }) => length)) }, (_, line) =>
      cells
        .map((parts, at) => {
          const part = parts[line] ?? '';
          const spaces = ' '.repeat(Math.max(0, (widths[at] ?? 0) - widthOf(part)));
          return isNumber(kept[at] as FitColumn) ? spaces + part : part + spaces;
        })
        .join(GAP)
        .trimEnd(),
    );
  });
  const missing = columns.filter((column) => !kept.includes(column)).map(({ cells }) => cells[0] ?? '');
  return [...lines.flat(), ...(missing.length === 0 ? [] : [`(no room for ${missing.join(', ')})`])];
}

const escaped = (border: string): string => border.replace('[', '\\[');
const BORDER = new RegExp(BORDERS.map(escaped).join('|'), 'g');
const ANY_BORDER = new RegExp([HEAD, ...BORDERS].map(escaped).join('|'), 'g');

/** Reads lines of a table: its first line is the head, which has every column. */
function columnsOf(lines: readonly string[]): FitColumn[] {
  const kinds = [...(lines[0] ?? '').matchAll(BORDER)].map(([border]) => KINDS[BORDERS.indexOf(border)] ?? 'text');
  const rows = lines.map((line) => line.split(BORDER).slice(1));
  // Spaces before the table are part of its first column.
  const before = lines.map((line) => line.split(BORDER, 1)[0] ?? '');
  return kinds.map((kind, at) => {
    const cells = rows.map((cells, row) => {
      const cell = (cells[at] ?? '').trimEnd();
      return at === 0 ? (before[row] ?? '') + (kind.endsWith('number') ? cell.trimStart() : cell) : cell.trimStart();
    });
    return { kind, cells };
  });
}

/** Fits the tables in a text into a terminal: wraps text, then leaves out optional columns and names them. Numbers stay whole. */
export function fitTables(text: string, columns: number): string {
  if (!Number.isFinite(columns)) return text.replace(ANY_BORDER, '');
  const fitted: string[] = [];
  let table: string[] = [];
  const endTable = (): void => {
    const isWide = table.some((line) => widthOf(line) > columns);
    fitted.push(...(isWide ? tableLines(columnsOf(table), columns) : table.map((line) => line.replace(BORDER, ''))));
    table = [];
  };
  for (const line of text.split('\n')) {
    const isOfTable = line.search(BORDER) >= 0;
    if (!isOfTable || line.includes(HEAD)) endTable();
    if (isOfTable) table.push(line.replace(HEAD, ''));
    else fitted.push(line);
  }
  endTable();
  return fitted.join('\n');
}
