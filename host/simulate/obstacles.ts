import { PLACED_STONE, PLACED_STONES_MAX, STEP, STEPS_MAX } from '../../shared/field.js';
import type { YamlFile, YamlPath } from '../common/yaml-file.js';
import { defaultsOf, quantityProperties, readQuantities } from '../machine/quantities.js';
import { ROWS_SCHEMA, readRows, type WrittenRows } from './rows.js';

/** A stone at a place of the pass. */
export interface PlacedStone {
  readonly atM: number;
  readonly heightMm: number;
  readonly lengthMm: number;
  /** Rows that it may be in, counted from 1. */
  readonly rows: readonly number[];
  /** Probability that it is in one of them, drawn from the seed. */
  readonly rowShareRatio: number;
}

/** A step of the ground in all rows. */
export interface GroundStep {
  readonly atM: number;
  readonly heightMm: number;
  /** Length of the slope. */
  readonly overM: number;
}

type Written = Readonly<Record<string, unknown>> & { readonly row?: WrittenRows };

/** Stones and steps as a field has them. */
export interface ObstacleSource {
  readonly file: YamlFile<unknown>;
  readonly stones: readonly Written[];
  readonly steps: readonly Written[];
  readonly rows: number;
  /** Distance that the scenario drives. */
  readonly passM: number;
}

const listOf = (description: string, maxItems: number, properties: object): object => ({
  description,
  type: 'array',
  maxItems,
  items: { type: 'object', required: ['atM'], additionalProperties: false, properties },
});

/** JSON Schemas of the stones and steps of a field. */
export const stonesSchema = listOf('Stones at places along the pass, beside those at random places', PLACED_STONES_MAX, {
  ...quantityProperties(PLACED_STONE),
  row: ROWS_SCHEMA,
});
export const stepsSchema = listOf(
  'Steps of the ground in all rows: a ledge, or the two sides of a waterway',
  STEPS_MAX,
  quantityProperties(STEP),
);

/** @throws InputError at what is beyond the end of the pass */
function checkInside(atM: number, lengthM: number, path: YamlPath, { file, passM }: ObstacleSource): void {
  if (atM + lengthM <= passM) return;
  const end = Number(passM.toFixed(3));
  throw file.errorAt([...path, 'atM'], {
    problem: `atM is ${atM} m, but the pass ends at ${end} m and this is ${lengthM} m long`,
    allowed: `at most ${Number((passM - lengthM).toFixed(3))} m`,
  });
}

/** Returns the stones in the order of their places. @throws InputError at one beyond the pass, or in rows that do not exist */
export function readStones(source: ObstacleSource): PlacedStone[] {
  const { file, stones, rows } = source;
  const read = stones.map((written, index): PlacedStone => {
    const path = ['field', 'stones', index];
    const values = { ...defaultsOf(PLACED_STONE), ...readQuantities(PLACED_STONE, written, file, path) };
    const { atM = 0, heightMm = 0, lengthMm = 0, rowShareRatio = 1 } = values;
    checkInside(atM, lengthMm / 1000, path, source);
    return { atM, heightMm, lengthMm, rows: readRows(written.row ?? 'all', rows, file, [...path, 'row']), rowShareRatio };
  });
  return read.sort((one, other) => one.atM - other.atM);
}

/** Returns the steps in the order of their places. @throws InputError at one beyond the pass */
export function readSteps(source: ObstacleSource): GroundStep[] {
  const read = source.steps.map((written, index): GroundStep => {
    const path = ['field', 'steps', index];
    const { atM = 0, heightMm = 0, overM = 0 } = { ...defaultsOf(STEP), ...readQuantities(STEP, written, source.file, path) };
    checkInside(atM, overM, path, source);
    return { atM, heightMm, overM };
  });
  return read.sort((one, other) => one.atM - other.atM);
}
