import type { Snapshot } from '../../../review/review.js';
import { KINDS, symbolOf, withUnit } from './labels.js';

/** Values of one kind that are equal on both sides, such as `loadN 451.2 N`. */
export interface EqualValues {
  readonly kind: string;
  readonly values: readonly string[];
}

/** Groups values by kind, in the order of first occurrence. */
export function byKind(values: Snapshot['values']): { readonly kind: string; readonly values: Snapshot['values'] }[] {
  const kinds = [...new Set(values.map(({ kind }) => kind))];
  return kinds.map((kind) => ({ kind: KINDS[kind], values: values.filter((value) => value.kind === kind) }));
}

/** Values of a snapshot that are equal on both sides, as short texts. */
export const equalValuesOf = ({ values }: Snapshot): EqualValues[] =>
  byKind(values.filter(({ differs }) => !differs)).map((group) => ({
    kind: group.kind,
    values: group.values.map(({ signal, unit, base }) => `${signal} ${withUnit(base, symbolOf(unit))}`),
  }));
