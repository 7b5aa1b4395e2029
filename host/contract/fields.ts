import type { Field } from '../../shared/records.js';
import type { FieldLayout } from './layout.js';

/** Fields that only fill a gap are not signals. */
export const isSignal = (field: Pick<Field, 'name'>): boolean => !field.name.startsWith('spare');

/** Reads a field from memory, little-endian. */
export function readField(view: DataView, recordAt: number, field: Pick<FieldLayout, 'type' | 'offset'>): number {
  const at = recordAt + field.offset;
  switch (field.type) {
    case 'u8':
      return view.getUint8(at);
    case 'u16':
      return view.getUint16(at, true);
    case 'u32':
      return view.getUint32(at, true);
    case 'i32':
      return view.getInt32(at, true);
    case 'f32':
      return view.getFloat32(at, true);
    case 'f64':
      return view.getFloat64(at, true);
  }
}

/** Writes a field to memory; a value that does not fit is truncated as by DataView. */
export function writeField(view: DataView, recordAt: number, field: Pick<FieldLayout, 'type' | 'offset'>, value: number): void {
  const at = recordAt + field.offset;
  if (field.type === 'u8') view.setUint8(at, value);
  else if (field.type === 'u16') view.setUint16(at, value, true);
  else if (field.type === 'u32') view.setUint32(at, value, true);
  else if (field.type === 'i32') view.setInt32(at, value, true);
  else if (field.type === 'f32') view.setFloat32(at, value, true);
  else view.setFloat64(at, value, true);
}
