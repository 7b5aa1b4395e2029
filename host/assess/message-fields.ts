import type { FieldType } from '../../shared/records.js';
import { type Contract, lacks } from '../contract/contract.js';
import type { RecordLayout } from '../contract/layout.js';
import { type MessageName, messageRecords, type RecordingMessage } from '../contract/messages.js';

/** The messages of the current tick; the views stay the same throughout a run. */
export type MessageViews = Readonly<Record<MessageName, DataView>>;

/** Offsets of fields in a kind of message, bytes; looked up once, so that a tick only reads numbers. */
export class MessageFields {
  readonly #bank: RecordLayout;
  readonly #row: RecordLayout;

  constructor(contract: Contract, message: RecordingMessage) {
    const { bank, row } = messageRecords(contract, message);
    this.#bank = bank;
    this.#row = row;
  }

  /** Returns the offset of a field in the bank's record. @throws Error when it has no such field of that type */
  bank(name: string, type: FieldType): number {
    return offsetIn(this.#bank, name, type);
  }

  /** Returns the offset of a field in a row's record. @param row counted from 0 @throws Error when it has no such field of that type */
  row(row: number, name: string, type: FieldType): number {
    return this.#bank.size + row * this.#row.size + offsetIn(this.#row, name, type);
  }
}

function offsetIn(record: RecordLayout, name: string, type: FieldType): number {
  const field = record.fields.find((one) => one.name === name);
  if (field?.type !== type) throw lacks(`${record.name} has no field ${name} of type ${type}`);
  return field.offset;
}
