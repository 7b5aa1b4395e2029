import { PLACED_STONES_MAX, SEGMENTS_MAX, STEPS_MAX } from '../../shared/field.js';
import { ROWS_MAX, VALVES_PER_ROW } from '../../shared/limits.js';
import { PLANT_RECORDS, type PlantEach, SECTIONS, SOIL_POINTS, SUPPORTS_MAX, TRACKS_MAX } from '../../shared/plant.js';
import { shortHash } from '../common/hash.js';
import { describeContract, recordOf } from './contract.js';
import { layOutRecord, type RecordLayout } from './layout.js';

/** Where records are in the plant's memory. */
export interface PlantPlace {
  readonly name: string;
  readonly record: RecordLayout;
  readonly each: PlantEach;
  readonly at: number;
}

const COUNT: Readonly<Record<PlantEach, number>> = {
  bank: 1,
  row: ROWS_MAX,
  valve: ROWS_MAX * VALVES_PER_ROW,
  track: TRACKS_MAX,
  support: SUPPORTS_MAX,
  section: SECTIONS,
  soilPoint: TRACKS_MAX * SOIL_POINTS,
  segment: SEGMENTS_MAX,
  placedStone: PLACED_STONES_MAX,
  groundStep: STEPS_MAX,
};

/** Name of the custom section with the layout's hash. */
export const PLANT_SECTION = 'latchbench.plant';

/** Address of the first record. */
const PLANT_BASE = 64;

/** The controller's records that the plant writes and reads, in the contract's layout: each tick copies them unchanged. */
const EXCHANGED = [
  ['bankInput', 'BankInput', 'bank'],
  ['rowInput', 'RowInput', 'row'],
  ['bankOutput', 'BankOutput', 'bank'],
  ['rowOutput', 'RowOutput', 'row'],
] as const;

export interface PlantLayout {
  readonly records: readonly RecordLayout[];
  readonly places: readonly PlantPlace[];
  /** First byte after the last record: a height profile from a file is stored there. */
  readonly end: number;
  /** Hash of everything above except help texts; the binary contains it too. */
  readonly hash: string;
}

function layOutMemory(): PlantLayout {
  const contract = describeContract();
  const exchanged = EXCHANGED.map(([name, record, each]) => ({ name, record: recordOf(contract, record), each }));
  const own = PLANT_RECORDS.flatMap((table) => {
    const record = layOutRecord({ name: table.name, kind: 'plant', help: table.help, fields: table.fields as never });
    return Object.entries(table.at).map(([name, each]) => ({ name, record, each }));
  });
  let at = PLANT_BASE;
  const places = [...exchanged, ...own].map((place) => {
    const width = place.record.fields.some(({ type }) => type === 'f64') ? 8 : 4;
    at = Math.ceil(at / width) * width;
    const laid = { ...place, at };
    at += place.record.size * COUNT[place.each];
    return laid;
  });
  const records = [...new Set(places.map(({ record }) => record))];
  const content = places.map(({ name, record, each, at: start }) => [
    name,
    each,
    start,
    record.fields.map(({ name: field, type, offset }) => [field, type, offset]),
  ]);
  return { records, places, end: Math.ceil(at / 8) * 8, hash: shortHash(JSON.stringify(content)) };
}

let layout: PlantLayout | undefined;

/** The layout of the plant's memory. Made when it is first used: records of a project may be impossible to lay out, which is reported before. */
export function plantLayout(): PlantLayout {
  layout ??= layOutMemory();
  return layout;
}

/** @throws Error if the plant has no such place */
export function plantPlace(name: string): PlantPlace {
  const place = plantLayout().places.find((one) => one.name === name);
  if (place === undefined) throw new Error(`the plant has no place ${name}`);
  return place;
}
