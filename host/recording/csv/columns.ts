import { showValue } from '../../common/input-error.js';
import { isUnit } from '../../common/unit-conversion.js';
import type { YamlPath } from '../../common/yaml-file.js';
import type { CellProblem, CsvFile, CsvRow } from './csv-file.js';
import type { LogMapping } from './csv-mapping.js';
import { NUMBER_MAX } from './mapping-schema.js';

/** Texts of cells without a value, in lower case. */
const MISSING_TEXTS = new Set(['', 'nan', 'na', 'n/a', '#n/a', 'null', 'none', '-', '--', '---']);

/** Whether a cell has no value. */
export const isMissing = (cell: string): boolean => MISSING_TEXTS.has(cell.trim().toLowerCase());

/** @throws InputError at the mapping's line if the log has no such column */
export function findColumn(csv: CsvFile, map: LogMapping, name: string, path: YamlPath): number {
  const column = csv.header.indexOf(name);
  if (column < 0) throw map.yaml.errorAt(path, { problem: `${csv.file} has no column ${showValue(name)}`, allowed: csv.header });
  return column;
}

const COUNTS = /^(counts?|adc|codes?)$/i;

/** The unit that a text in brackets or alone is: `[kgf]`, `(bar)`, `km/h`. */
export function unitIn(text: string): string | undefined {
  const bare = text
    .trim()
    .replace(/^[[(](.*)[\])]$/, '$1')
    .trim();
  if (COUNTS.test(bare)) return 'counts';
  return isUnit(bare) ? bare : undefined;
}

/** The unit of a column by the row of units, or in brackets at the end of its name. */
export function headerUnit(csv: CsvFile, column: number): string | undefined {
  const below = unitIn(csv.units[column] ?? '');
  if (below !== undefined) return below;
  const [brackets] = /[[(][^[\]()]*[\])]\s*$/.exec(csv.header[column] ?? '') ?? [];
  return brackets === undefined ? undefined : unitIn(brackets);
}

/** How the cells of a column become numbers. */
export interface NumberColumn {
  readonly column: number;
  /** Numbers of words, in lower case. */
  readonly words?: ReadonlyMap<string, number> | undefined;
  /** The options for a missing value, named in the error; undefined if missing values are allowed. */
  readonly missingHint?: string | undefined;
}

/** Returns a cell's number, NaN if it is missing. @throws InputError if it is neither, or missing values are refused */
export function readCell(csv: CsvFile, row: CsvRow, { column, words, missingHint }: NumberColumn): number {
  const value = row.cells[column] ?? '';
  const number = csv.parseNumber(value);
  const worded = words?.get(value.trim().toLowerCase()) ?? words?.get(String(number));
  if (worded !== undefined) return worded;
  const refuse = (problem: CellProblem) => csv.errorAt(row.line, column, problem);
  if (number === undefined && isMissing(value)) {
    if (missingHint === undefined) return Number.NaN;
    const { problem } = csv.numberProblem(row, column);
    throw refuse({ problem, value, hint: missingHint });
  }
  const problem = `${csv.header[column]} is ${showValue(value)}`;
  if (words !== undefined && words.size > 0) throw refuse({ problem, value, allowed: [...words.keys()] });
  if (number === undefined) throw refuse(csv.numberProblem(row, column));
  if (Math.abs(number) <= NUMBER_MAX) return number;
  throw refuse({ problem, value, allowed: `between ${-NUMBER_MAX} and ${NUMBER_MAX}` });
}

/** A mapping file's words, for look-up without the case of letters. */
export const wordMap = <T>(words: Readonly<Record<string, T>> | undefined): ReadonlyMap<string, T> | undefined =>
  words === undefined ? undefined : new Map(Object.entries(words).map(([word, value]) => [word.toLowerCase(), value]));
