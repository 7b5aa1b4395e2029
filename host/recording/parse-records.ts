import { McapStreamReader, type TypedMcapRecord } from '@mcap/core';

type Records = { [R in TypedMcapRecord['type']]?: Extract<TypedMcapRecord, { type: R }>[] };

/** Records by type, as @mcap/core reads them. For the few around the messages; message-cursor.ts reads the messages. */
export type ParsedRecords = Readonly<Records>;

/** Parses the records in `bytes`, which has no magic. @throws Error if they are inconsistent */
export function parseRecords(bytes: Uint8Array): ParsedRecords {
  const reader = new McapStreamReader({ noMagicPrefix: true });
  reader.append(bytes);
  const byType: Record<string, TypedMcapRecord[]> = {};
  for (let record = reader.nextRecord(); record !== undefined; record = reader.nextRecord()) {
    byType[record.type] ??= [];
    byType[record.type]?.push(record);
  }
  return byType as Records;
}
