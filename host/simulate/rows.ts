import { ROWS_MAX } from '../../shared/limits.js';
import type { YamlFile, YamlPath } from '../common/yaml-file.js';

/** Rows as written in a scenario: one, several or all, counted from 1. */
export type WrittenRows = number | 'all' | readonly number[];

const ROW = { type: 'integer', minimum: 1, maximum: ROWS_MAX };

/** JSON Schema of rows. */
export const ROWS_SCHEMA = {
  description: 'A row, a list of rows, or all',
  anyOf: [ROW, { type: 'array', minItems: 1, items: ROW }, { const: 'all' }],
};

/**
 * Returns the rows that are written at `path`, counted from 1.
 * @param rows of the scenario
 * @throws InputError at a row that does not exist or is listed twice
 */
export function readRows(written: WrittenRows, rows: number, file: YamlFile<unknown>, path: YamlPath): readonly number[] {
  if (written === 'all') return Array.from({ length: rows }, (_, one) => one + 1);
  const list = [written].flat();
  const stray = list.findIndex((one, place) => one > rows || list.indexOf(one) < place);
  if (stray < 0) return list;
  const isTwice = (list[stray] ?? 0) <= rows;
  throw file.errorAt(
    Array.isArray(written) ? [...path, stray] : path,
    isTwice ? { problem: `row ${list[stray]} is listed twice` } : { allowed: rows === 1 ? '1 or all' : `between 1 and ${rows}, or all` },
  );
}
