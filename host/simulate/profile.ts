import { dirname, resolve } from 'node:path';
import { PROFILE_POINTS_MAX, PROFILE_STEP_M } from '../../shared/field.js';
import { type InputError, showValue } from '../common/input-error.js';
import { mayQuote, readNamedBy } from '../common/links.js';
import { TEXT } from '../common/text-schema.js';
import { type Conversion, convertibleUnits, findConversion } from '../common/unit-conversion.js';
import type { YamlFile, YamlPath } from '../common/yaml-file.js';
import { readNumber } from '../recording/csv/csv-clock.js';
import { CsvFile, type CsvRow } from '../recording/csv/csv-file.js';

/** A height profile as written in a scenario. One column of heights serves all rows. */
export interface WrittenProfile {
  /** Relative to the scenario's file. */
  readonly file: string;
  readonly distance: string;
  readonly height: string | readonly string[];
  readonly distanceUnit?: string;
  readonly heightUnit?: string;
}

/** Heights of the ground, m, every PROFILE_STEP_M; the first line of the file is at distance 0, and its mean height is 0. */
export interface HeightProfile {
  /** One track for all rows, or one per row. */
  readonly points: readonly Float32Array[];
  readonly lengthM: number;
}

const lengthUnit = { type: 'string', enum: convertibleUnits('metre') };

/** JSON Schema of a profile in a scenario. */
export const profileSchema: object = {
  description: 'Heights of the ground from a CSV file, instead of generated ones',
  type: 'object',
  required: ['file', 'distance', 'height'],
  additionalProperties: false,
  properties: {
    file: { ...TEXT, description: 'CSV file, relative to this one' },
    distance: { ...TEXT, description: 'Name of the column of distances' },
    height: {
      description: 'Name of the column of heights, or a list with one for each row',
      anyOf: [TEXT, { type: 'array', minItems: 1, items: TEXT }],
    },
    distanceUnit: { ...lengthUnit, description: 'Unit of the distances', default: 'm' },
    heightUnit: { ...lengthUnit, description: 'Unit of the heights', default: 'mm' },
  },
};

/** A column of the CSV file and its conversion to metres. */
interface Column {
  readonly index: number;
  readonly toM: Conversion;
}

/** Tolerance of distances, m: decimal fractions are not exact. */
const TOLERANCE_M = 1e-9;

function columnOf(csv: CsvFile, name: string, unit: string, file: YamlFile<unknown>, path: YamlPath): Column {
  const index = csv.header.indexOf(name);
  if (index < 0)
    throw file.errorAt(path, {
      problem: `${csv.file} has no column "${name}"`,
      ...(mayQuote(file.file, csv.file) ? { allowed: csv.header } : {}),
    });
  const toM = findConversion(unit, 'metre');
  if (toM === undefined) throw new Error(`the schema let ${unit} pass`);
  return { index, toM };
}

/** Heights above any datum, m: from the deepest trench to the highest peak, with room. */
const HEIGHT_MAX_M = 20_000;

function heightIn(csv: CsvFile, row: CsvRow, column: Column): number {
  const height = metresIn(csv, row, column);
  if (Math.abs(height) <= HEIGHT_MAX_M) return height;
  const { index } = column;
  const value = row.cells[index] ?? '';
  const allowed = `between ${-HEIGHT_MAX_M} and ${HEIGHT_MAX_M} m`;
  throw csv.errorAt(row.line, index, { problem: `${csv.header[index]} is ${showValue(value)}`, value, allowed });
}

const metresIn = (csv: CsvFile, row: CsvRow, { index, toM }: Column): number => readNumber(csv, row, index) * toM.gain + toM.bias;

/** Interpolates linearly between the lines of the file, at a fixed step. */
class Grid {
  readonly heights: number[][];
  #firstM = 0;
  #datumM = 0;
  #lines = 0;
  #lastM = 0;
  #lastHeights: readonly number[] = [];

  constructor(
    private readonly csv: CsvFile,
    private readonly distance: Column,
    private readonly columns: readonly Column[],
  ) {
    this.heights = columns.map(() => []);
  }

  get lengthM(): number {
    return this.#lastM;
  }

  /** @throws InputError when the distance does not increase, or there are too many points */
  add(row: CsvRow): void {
    const distanceM = metresIn(this.csv, row, this.distance);
    const heights = this.columns.map((column) => heightIn(this.csv, row, column));
    if (this.#lines++ === 0) {
      this.#firstM = distanceM;
      this.#datumM = heights.reduce((sum, one) => sum + one, 0) / heights.length;
    } else if (!(distanceM - this.#firstM > this.#lastM)) {
      throw this.#errorAt(row, 'greater than in the line before');
    }
    const toM = distanceM - this.#firstM;
    const relative = heights.map((one) => one - this.#datumM);
    this.#fill(row, toM, relative);
    this.#lastM = toM;
    this.#lastHeights = relative;
  }

  #fill(row: CsvRow, toM: number, heights: readonly number[]): void {
    const max = Math.floor(PROFILE_POINTS_MAX / this.columns.length);
    for (let count = this.heights[0]?.length ?? 0; count * PROFILE_STEP_M <= toM + TOLERANCE_M; count++) {
      if (count >= max) throw this.#errorAt(row, `at most ${max} points of ${PROFILE_STEP_M} m from the first line`);
      const share = toM === this.#lastM ? 0 : (count * PROFILE_STEP_M - this.#lastM) / (toM - this.#lastM);
      for (const [index, track] of this.heights.entries()) {
        const end = heights[index] ?? 0;
        const start = this.#lastHeights[index] ?? end;
        track.push(start + share * (end - start));
      }
    }
  }

  #errorAt(row: CsvRow, allowed: string): InputError {
    const { index } = this.distance;
    const cell = row.cells[index];
    return this.csv.errorAt(row.line, index, { problem: `${this.csv.header[index]} is ${cell}`, value: cell, allowed });
  }
}

/** Reads all lines of a CSV file. @throws InputError with line and column */
function readGrid(file: string, bind: (csv: CsvFile) => { distance: Column; columns: Column[] }): Grid {
  const csv = new CsvFile(file);
  try {
    const { distance, columns } = bind(csv);
    const grid = new Grid(csv, distance, columns);
    for (const row of csv.rows()) grid.add(row);
    if (grid.lengthM === 0) throw csv.errorAt(2, 0, { problem: 'a profile needs at least two lines' });
    return grid;
  } finally {
    csv.close();
  }
}

/**
 * Reads a height profile from a CSV file with a header. The ground is linear between its lines.
 * @param path of the profile in the scenario
 * @param rows of the scenario: the file has a column of heights for each, or one for all
 * @param driveM distance that the scenario drives
 * @throws InputError with the line of the CSV file or of the scenario, also when the profile ends before the drive does
 */
export function readProfile(written: WrittenProfile, file: YamlFile<unknown>, path: YamlPath, rows: number, driveM: number): HeightProfile {
  const { distanceUnit = 'm', heightUnit = 'mm' } = written;
  const names = [written.height].flat();
  if (names.length !== 1 && names.length !== rows) {
    const problem = `there are ${names.length} columns of heights for ${rows} rows`;
    throw file.errorAt([...path, 'height'], { problem, hint: 'Give one column for all rows, or one per row' });
  }
  const heights = resolve(dirname(file.file), written.file);
  const pathOf = (index: number): YamlPath => (typeof written.height === 'string' ? [...path, 'height'] : [...path, 'height', index]);
  const grid = readNamedBy(file.file, heights, () =>
    readGrid(heights, (csv) => ({
      distance: columnOf(csv, written.distance, distanceUnit, file, [...path, 'distance']),
      columns: names.map((name, index) => columnOf(csv, name, heightUnit, file, pathOf(index))),
    })),
  );
  const { lengthM } = grid;
  if (driveM > lengthM + TOLERANCE_M) {
    throw file.errorAt([...path, 'file'], { problem: `the profile is ${lengthM} m long, but the drive ${driveM} m` });
  }
  return { points: grid.heights.map((track) => Float32Array.from(track)), lengthM };
}
