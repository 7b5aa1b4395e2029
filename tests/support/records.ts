import type { Contract } from '../../host/contract/contract.js';
import { placeOf, recordAddress, recordOf } from '../../host/contract/contract.js';
import { readField, writeField } from '../../host/contract/fields.js';
import type { FieldLayout } from '../../host/contract/layout.js';

/** The controller's memory by place, index and field name. */
export class Records {
  private readonly view: DataView;

  constructor(
    memory: ArrayBufferLike,
    readonly contract: Contract,
  ) {
    this.view = new DataView(memory);
  }

  /** Address of a field, bytes from the start of memory, and its description. */
  locate(place: string, index: number, name: string): { at: number; field: FieldLayout } {
    const found = placeOf(this.contract, place);
    const { fields } = recordOf(this.contract, found.record);
    const field = fields.find((one) => one.name === name);
    if (field === undefined || index < 0 || index >= found.count) throw new Error(`no ${place}[${index}].${name}`);
    return { at: recordAddress(this.contract, found, index) + field.offset, field };
  }

  get(place: string, index: number, name: string): number {
    const { at, field } = this.locate(place, index, name);
    return readField(this.view, at - field.offset, field);
  }

  set(place: string, index: number, name: string, value: number): void {
    const { at, field } = this.locate(place, index, name);
    writeField(this.view, at - field.offset, field, value);
  }

  /** The name of an enum's value, such as `working`. */
  word(place: string, index: number, name: string): string {
    const { field } = this.locate(place, index, name);
    const words = field.values === undefined ? undefined : this.contract.enums[field.values];
    return words?.[this.get(place, index, name)] ?? `no word for ${this.get(place, index, name)}`;
  }
}
