import type { Contract } from '../../host/contract/contract.js';
import { placeOf, recordOf } from '../../host/contract/contract.js';
import type { LaidField } from '../../host/contract/layout.js';

/** The controller's memory by names: place, index and field, as the contract says. */
export class Records {
  private readonly view: DataView;

  constructor(
    memory: ArrayBufferLike,
    readonly contract: Contract,
  ) {
    this.view = new DataView(memory);
  }

  /** Where a field stands, bytes from the start of memory, and what it is. */
  locate(place: string, index: number, name: string): { at: number; field: LaidField } {
    const { at, record, count } = placeOf(this.contract, place);
    const { size, fields } = recordOf(this.contract, record);
    const field = fields.find((one) => one.name === name);
    if (field === undefined || index < 0 || index >= count) throw new Error(`no ${place}[${index}].${name}`);
    return { at: at + index * size + field.offset, field };
  }

  get(place: string, index: number, name: string): number {
    const { at, field } = this.locate(place, index, name);
    const readers = {
      u8: () => this.view.getUint8(at),
      u16: () => this.view.getUint16(at, true),
      u32: () => this.view.getUint32(at, true),
      i32: () => this.view.getInt32(at, true),
      f32: () => this.view.getFloat32(at, true),
    };
    return readers[field.type]();
  }

  set(place: string, index: number, name: string, value: number): void {
    const { at, field } = this.locate(place, index, name);
    const writers = {
      u8: () => this.view.setUint8(at, value),
      u16: () => this.view.setUint16(at, value, true),
      u32: () => this.view.setUint32(at, value, true),
      i32: () => this.view.setInt32(at, value, true),
      f32: () => this.view.setFloat32(at, value, true),
    };
    writers[field.type]();
  }

  /** The word that a number stands for, such as `working`. */
  word(place: string, index: number, name: string): string {
    const { field } = this.locate(place, index, name);
    const words = field.values === undefined ? undefined : this.contract.enums[field.values];
    return words?.[this.get(place, index, name)] ?? `no word for ${this.get(place, index, name)}`;
  }
}
