import { CHANNEL_KINDS, CHANNELS_PER_ROW, MEMORY_BASE, MEMORY_BYTES, VALVES_PER_ROW } from '../../shared/limits.js';
import type { Each, Field, FieldType, Kind, RecordTable } from '../../shared/records.js';
import { FAULTS, PARAMETERS, RECORDS } from './tables.js';

/** A field with its offset in its record, bytes. */
export interface FieldLayout extends Field {
  readonly offset: number;
}

export interface RecordLayout {
  readonly name: string;
  readonly kind: Kind | 'parameter' | 'plant';
  readonly help: string;
  /** Bytes. */
  readonly size: number;
  readonly fields: readonly FieldLayout[];
}

/** Where records are in linear memory. */
export interface Place {
  readonly name: string;
  readonly record: string;
  readonly each: Each;
  readonly at: number;
  readonly count: number;
  /** Distance between one row's records and the next row's, bytes; undefined if the records are contiguous. */
  readonly stride?: number;
}

export const SIZE_OF: Readonly<Record<FieldType, number>> = { u8: 1, u16: 2, u32: 4, i32: 4, f32: 4, f64: 8 };

/** The parameters as a record, in the order of their numbers: those that the caller writes, and a copy of those in force. */
const PARAMETER_RECORD = {
  name: 'Parameters',
  kind: 'parameter',
  at: { parameters: 'bank', acceptedParameters: 'bank' },
  help: 'Every parameter, in the order of its number',
  fields: PARAMETERS.map(({ name, type, unit, help }) => ({ name, type, unit, help })),
} as const;

/** Kinds of record in the order of addresses. */
const KIND_ORDER: readonly (Kind | 'parameter')[] = ['parameter', 'derived', 'input', 'output', 'probe', 'state'];

/**
 * Puts the copy of the parameters, which no tick reads, behind what is derived from them: a processor reaches about 1 KiB from one base
 * address, and all that a tick reads of both is then within it.
 */
const lastOfDerived = (name: string): number => (name === 'acceptedParameters' ? 1 : 0);

/**
 * Assigns an offset to every field.
 * @throws Error if a field would need a gap before it, or the record's size would break the alignment of the next one
 */
export function layOutRecord(table: Pick<RecordTable, 'name' | 'help' | 'fields'> & Pick<RecordLayout, 'kind'>): RecordLayout {
  let size = 0;
  let widest = 1;
  const fields = table.fields.map((field) => {
    const width = SIZE_OF[field.type];
    if (size % width !== 0)
      throw new Error(`${table.name}.${field.name} would be at offset ${size}, which is not aligned: add a spare field before it`);
    const laid = { ...field, offset: size };
    size += width;
    widest = Math.max(widest, width);
    return laid;
  });
  if (size % widest !== 0) throw new Error(`${table.name} is ${size} bytes long, which is not a multiple of ${widest}: add a spare field`);
  return { name: table.name, kind: table.kind, help: table.help, size, fields };
}

/** Number of records at a place in a binary with room for `rowsMax` rows. */
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

/** Number of records at a place that belong to one row; 0 if they do not belong to rows. */
export const countInRow = (each: Each): number => countOf(each, 1) - countOf(each, 0);

/** Rounds up to a multiple of 4. */
const wordAligned = (bytes: number): number => Math.ceil(bytes / 4) * 4;

export interface Layout {
  readonly records: readonly RecordLayout[];
  readonly places: readonly Place[];
  /** First byte after the last record. */
  readonly end: number;
}

/**
 * Lays out all records for a binary with room for `rowsMax` rows. The state of a row is one block, row after row: one base address
 * then reaches all of it, which saves half of the instructions on a small processor.
 * @throws Error if they don't fit into memory
 */
export function layOutMemory(rowsMax: number): Layout {
  const tables = KIND_ORDER.flatMap((kind) => [PARAMETER_RECORD, ...RECORDS].filter((table) => table.kind === kind));
  const records = tables.map(layOutRecord);
  const all = tables.flatMap((table, index) =>
    Object.entries(table.at).map(([name, each]) => {
      const isOfRow = table.kind === 'state' && countInRow(each as Each) > 0;
      const order = KIND_ORDER.indexOf(table.kind) + lastOfDerived(name) * 1.5;
      return { name, record: table.name, each: each as Each, size: records[index]?.size ?? 0, isOfRow, order };
    }),
  );
  all.sort((one, other) => one.order - other.order);
  const places: Place[] = [];
  let at = MEMORY_BASE;
  const put = (name: string, record: string, each: Each, bytes: number, stride?: number): void => {
    const place = { name, record, each, at, count: countOf(each, rowsMax) };
    places.push(stride === undefined ? place : { ...place, stride });
    at = wordAligned(at + bytes);
  };
  for (const one of all) if (!one.isOfRow) put(one.name, one.record, one.each, one.size * countOf(one.each, rowsMax));
  const ofRow = all.filter(({ isOfRow }) => isOfRow).map((one) => ({ ...one, bytes: one.size * countInRow(one.each) }));
  const stride = ofRow.reduce((sum, { bytes }) => wordAligned(sum + bytes), 0);
  const rowsAt = at;
  for (const { name, record, each, bytes } of ofRow) put(name, record, each, bytes, stride);
  at = rowsAt + stride * rowsMax;
  if (at > MEMORY_BYTES) throw new Error(`the records need ${at} bytes, memory has ${MEMORY_BYTES}`);
  return { records, places, end: at };
}
