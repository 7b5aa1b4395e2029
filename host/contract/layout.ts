import { FAULTS } from '../../shared/faults.js';
import { CHANNEL_KINDS, CHANNELS_PER_ROW, MEMORY_BASE, MEMORY_BYTES, VALVES_PER_ROW } from '../../shared/limits.js';
import { PARAMETERS } from '../../shared/parameters.js';
import { type Each, type Field, type FieldType, type Kind, RECORDS, type RecordTable } from '../../shared/records.js';

/** A field with its place in its record, bytes. */
export interface LaidField extends Field {
  readonly offset: number;
}

export interface LaidRecord {
  readonly name: string;
  readonly kind: Kind | 'parameter' | 'plant';
  readonly help: string;
  /** Bytes. */
  readonly size: number;
  readonly fields: readonly LaidField[];
}

/** Where records stand in linear memory. */
export interface Place {
  readonly name: string;
  readonly record: string;
  readonly each: Each;
  readonly at: number;
  readonly count: number;
  /** Bytes from what belongs to one row to what belongs to the next; not given: one record stands behind the other. */
  readonly stride?: number;
}

export const SIZE_OF: Readonly<Record<FieldType, number>> = { u8: 1, u16: 2, u32: 4, i32: 4, f32: 4, f64: 8 };

/** The parameters as one more record, in the order of their numbers. */
const PARAMETER_RECORD = {
  name: 'Parameters',
  kind: 'parameter',
  at: { parameters: 'bank' },
  help: 'Every parameter, in the order of its number',
  fields: PARAMETERS.map(({ name, type, unit, help }) => ({ name, type, unit, help })),
} as const;

/** What gets a place, in memory's order: what configure() makes first, then inputs, outputs, probes and state. */
const KIND_ORDER: readonly (Kind | 'parameter')[] = ['parameter', 'derived', 'input', 'output', 'probe', 'state'];

/**
 * Gives every field its offset.
 * @throws Error when a field would need a gap before it, or the record's size would break the alignment of the next one.
 */
export function layRecord(table: Pick<RecordTable, 'name' | 'help' | 'fields'> & Pick<LaidRecord, 'kind'>): LaidRecord {
  let size = 0;
  let widest = 1;
  const fields = table.fields.map((field) => {
    const width = SIZE_OF[field.type];
    if (size % width !== 0) throw new Error(`${table.name}.${field.name} would stand at ${size}: a gap is needed before it`);
    const laid = { ...field, offset: size };
    size += width;
    widest = Math.max(widest, width);
    return laid;
  });
  if (size % widest !== 0) throw new Error(`${table.name} is ${size} bytes long: no multiple of ${widest}`);
  return { name: table.name, kind: table.kind, help: table.help, size, fields };
}

/** How many records stand at a place when the binary is built for `rowsMax` rows. */
export function countOf(each: Each, rowsMax: number): number {
  const faults = (scope: 'bank' | 'row'): number => FAULTS.filter((fault) => fault.scope === scope).length;
  const counts: Record<Each, number> = {
    bank: 1,
    row: rowsMax,
    valve: rowsMax * VALVES_PER_ROW,
    channel: rowsMax * CHANNELS_PER_ROW,
    channelKind: CHANNEL_KINDS,
    bankFault: faults('bank'),
    rowFault: rowsMax * faults('row'),
    rowFaultKind: faults('row'),
  };
  return counts[each];
}

/** How many of the records at a place belong to one row; 0 if none does. */
export const countInRow = (each: Each): number => countOf(each, 1) - countOf(each, 0);

/** The next multiple of a word. */
const whole = (bytes: number): number => Math.ceil(bytes / 4) * 4;

export interface Layout {
  readonly records: readonly LaidRecord[];
  readonly places: readonly Place[];
  /** First byte after the last record. */
  readonly end: number;
}

/**
 * Lays out all records for a binary of `rowsMax` rows. What a row carries from tick to tick stands in one block, row after row:
 * then one address reaches all of it, which on a small processor saves half of the instructions.
 * @throws Error when they don't fit into memory.
 */
export function layOut(rowsMax: number): Layout {
  const tables = KIND_ORDER.flatMap((kind) => [PARAMETER_RECORD, ...RECORDS].filter((table) => table.kind === kind));
  const records = tables.map(layRecord);
  const all = tables.flatMap((table, index) =>
    Object.entries(table.at).map(([name, each]) => {
      const isOfRow = table.kind === 'state' && countInRow(each as Each) > 0;
      return { name, record: table.name, each: each as Each, size: records[index]?.size ?? 0, isOfRow };
    }),
  );
  const places: Place[] = [];
  let at = MEMORY_BASE;
  const put = (name: string, record: string, each: Each, bytes: number, stride?: number): void => {
    const place = { name, record, each, at, count: countOf(each, rowsMax) };
    places.push(stride === undefined ? place : { ...place, stride });
    at = whole(at + bytes);
  };
  for (const one of all) if (!one.isOfRow) put(one.name, one.record, one.each, one.size * countOf(one.each, rowsMax));
  const ofRow = all.filter(({ isOfRow }) => isOfRow).map((one) => ({ ...one, bytes: one.size * countInRow(one.each) }));
  const stride = ofRow.reduce((sum, { bytes }) => whole(sum + bytes), 0);
  const rowsAt = at;
  for (const { name, record, each, bytes } of ofRow) put(name, record, each, bytes, stride);
  at = rowsAt + stride * rowsMax;
  if (at > MEMORY_BYTES) throw new Error(`the records need ${at} bytes, memory has ${MEMORY_BYTES}`);
  return { records, places, end: at };
}
