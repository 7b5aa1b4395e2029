import { dirname, resolve } from 'node:path';
import { PROFILE_POINTS_MAX, PROFILE_STEP_M } from '../../shared/field.js';
import { InputError } from '../common/input-error.js';
import { type Conversion, convertibleUnits, findConversion } from '../common/unit-conversion.js';
import type { YamlFile, YamlPath } from '../common/yaml-file.js';
import { numberIn } from '../machine/quantities.js';
import { CsvFile, type CsvRow } from '../recording/csv/csv-file.js';

/** Where a height profile stands, as a person writes it. One column of heights serves all rows. */
export interface WrittenProfile {
  /** Relative to the scenario's file. */
  readonly file: string;
  readonly distance: string;
  readonly height: string | readonly string[];
  readonly distanceUnit?: string;
  readonly heightUnit?: string;
}

/** Heights of the ground, m, every PROFILE_STEP_M of the way; the file's first line is way 0, and its mean height is 0. */
export interface HeightProfile {
  /** One track for all rows, or one a row. */
  readonly points: readonly Float32Array[];
  readonly lengthM: number;
}

const word = { type: 'string', minLength: 1, maxLength: 2000 };
const lengthUnit = { type: 'string', enum: convertibleUnits('metre') };

/** JSON Schema of a profile in a scenario. */
export const profileSchema: object = {
  type: 'object',
  required: ['file', 'distance', 'height'],
  additionalProperties: false,
  properties: {
    file: word,
    distance: word,
    height: { anyOf: [word, { type: 'array', minItems: 1, items: word }] },
    distanceUnit: lengthUnit,
    heightUnit: lengthUnit,
  },
};

/** A column of the CSV file and how its numbers become metres. */
interface Column {
  readonly index: number;
  readonly toM: Conversion;
}

/** A distance that is beyond a point by less than this, m, counts as at it: distances are decimal fractions. */
const TOLERANCE_M = 1e-9;

function columnOf(csv: CsvFile, name: string, unit: string, file: YamlFile<unknown>, path: YamlPath): Column {
  const index = csv.header.indexOf(name);
  if (index < 0) throw file.wrong(path, 'column', csv.header);
  const second = csv.header.indexOf(name, index + 1);
  if (second >= 0) throw csv.wrong(1, second, 'second column', name, 'each name once');
  const toM = findConversion(unit, 'metre');
  if (toM === undefined) throw new Error(`the schema let ${unit} pass`);
  return { index, toM };
}

function metresIn(csv: CsvFile, row: CsvRow, { index, toM }: Column): number {
  const cell = row.cells[index] ?? '';
  const value = numberIn(cell);
  if (value === undefined) throw csv.wrong(row.line, index, csv.header[index] ?? 'cell', cell, 'a finite number with a decimal point');
  return value * toM.gain + toM.bias;
}

/** Puts points on the straight line between one line of the file and the next. */
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

  /** @throws InputError when the distance does not ascend, or there are too many points */
  add(row: CsvRow): void {
    const distanceM = metresIn(this.csv, row, this.distance);
    const heights = this.columns.map((column) => metresIn(this.csv, row, column));
    if (this.#lines++ === 0) {
      this.#firstM = distanceM;
      this.#datumM = heights.reduce((sum, one) => sum + one, 0) / heights.length;
    } else if (!(distanceM - this.#firstM > this.#lastM)) {
      throw this.#wrong(row, 'distance that does not ascend', `more than in the line before`);
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
      if (count >= max) throw this.#wrong(row, 'distance', `at most ${max} points of ${PROFILE_STEP_M} m from the first line on`);
      const share = toM === this.#lastM ? 0 : (count * PROFILE_STEP_M - this.#lastM) / (toM - this.#lastM);
      for (const [index, track] of this.heights.entries()) {
        const end = heights[index] ?? 0;
        const begin = this.#lastHeights[index] ?? end;
        track.push(begin + share * (end - begin));
      }
    }
  }

  #wrong(row: CsvRow, what: string, allowed: string): InputError {
    return this.csv.wrong(row.line, this.distance.index, what, row.cells[this.distance.index], allowed);
  }
}

/**
 * Reads a height profile from a CSV file with a header. Between its lines the ground is straight.
 * @param path where the profile stands in the scenario
 * @param rows of the scenario: as many columns of heights, or one
 * @param wayM that the scenario drives
 * @throws InputError with the line of the CSV file or of the scenario, also when the profile ends before the drive does
 */
export function readProfile(written: WrittenProfile, file: YamlFile<unknown>, path: YamlPath, rows: number, wayM: number): HeightProfile {
  const { distanceUnit = 'm', heightUnit = 'mm' } = written;
  const names = [written.height].flat();
  if (names.length !== 1 && names.length !== rows) {
    throw file.wrong([...path, 'height'], `${names.length} columns of heights`, `one for all rows, or ${rows}, one a row`);
  }
  const csv = new CsvFile(resolve(dirname(file.file), written.file));
  try {
    const pathOf = (index: number): YamlPath => (typeof written.height === 'string' ? [...path, 'height'] : [...path, 'height', index]);
    const distance = columnOf(csv, written.distance, distanceUnit, file, [...path, 'distance']);
    const columns = names.map((name, index) => columnOf(csv, name, heightUnit, file, pathOf(index)));
    const grid = new Grid(csv, distance, columns);
    for (const row of csv.rows()) grid.add(row);
    const { lengthM } = grid;
    if (lengthM === 0) throw new InputError({ file: csv.file, line: 2, column: 1, what: 'no profile', allowed: 'two lines or more' });
    if (wayM > lengthM + TOLERANCE_M) {
      throw file.wrong([...path, 'file'], 'profile', `one of ${wayM} m or more, as far as the drive goes; this one is ${lengthM} m long`);
    }
    return { points: grid.heights.map((track) => Float32Array.from(track)), lengthM };
  } finally {
    csv.close();
  }
}
