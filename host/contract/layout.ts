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

export interface Layout {
  readonly records: readonly LaidRecord[];
  readonly places: readonly Place[];
  /** First byte after the last record. */
  readonly end: number;
}

/** Lays out all records for a binary of `rowsMax` rows. @throws Error when they don't fit into memory. */
export function layOut(rowsMax: number): Layout {
  const tables = KIND_ORDER.flatMap((kind) => [PARAMETER_RECORD, ...RECORDS].filter((table) => table.kind === kind));
  const records = tables.map(layRecord);
  const places: Place[] = [];
  let at = MEMORY_BASE;
  for (const [index, table] of tables.entries()) {
    for (const [name, each] of Object.entries(table.at)) {
      const count = countOf(each as Each, rowsMax);
      places.push({ name, record: table.name, each: each as Each, at, count });
      at = Math.ceil((at + (records[index]?.size ?? 0) * count) / 4) * 4;
    }
  }
  if (at > MEMORY_BYTES) throw new Error(`the records need ${at} bytes, memory has ${MEMORY_BYTES}`);
  return { records, places, end: at };
}
