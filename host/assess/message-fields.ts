import type { FieldType } from '../../shared/records.js';
import type { Contract } from '../contract/contract.js';
import type { RecordLayout } from '../contract/layout.js';
import { type MessageName, messageRecords } from '../contract/messages.js';

/** Where fields of one kind of message stand. Bytes from its begin, worked out once, so that a tick only reads numbers. */
export class MessageFields {
  readonly #bank: RecordLayout;
  readonly #row: RecordLayout;

  constructor(contract: Contract, message: MessageName) {
    const { bank, row } = messageRecords(contract, message);
    this.#bank = bank;
    this.#row = row;
  }

  /** @throws Error when the bank's record has no such field of that type */
  bank(name: string, type: FieldType): number {
    return offsetIn(this.#bank, name, type);
  }

  /** @param row counted from 0. @throws Error when a row's record has no such field of that type */
  row(row: number, name: string, type: FieldType): number {
    return this.#bank.size + row * this.#row.size + offsetIn(this.#row, name, type);
  }
}

function offsetIn(record: RecordLayout, name: string, type: FieldType): number {
  const field = record.fields.find((one) => one.name === name);
  if (field?.type !== type) throw new Error(`${record.name} has no field ${name} of type ${type}`);
  return field.offset;
}
