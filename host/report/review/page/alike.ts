import type { Snapshot } from '../../../review/review.js';
import { KINDS, symbolOf, withUnit } from './words.js';

/** Values of one kind that are the same on both sides, `loadN 451.2 N`. */
export interface Alike {
  readonly kind: string;
  readonly values: readonly string[];
}

/** Values by their kind, in the order in which the kinds come. */
export function byKind(values: Snapshot['values']): { readonly kind: string; readonly values: Snapshot['values'] }[] {
  const kinds = [...new Set(values.map(({ kind }) => kind))];
  return kinds.map((kind) => ({ kind: KINDS[kind], values: values.filter((value) => value.kind === kind) }));
}

/** Values that are the same on both sides, as short texts. */
export const alikeOf = ({ values }: Snapshot): Alike[] =>
  byKind(values.filter(({ differs }) => !differs)).map((one) => ({
    kind: one.kind,
    values: one.values.map(({ signal, unit, old }) => `${signal} ${withUnit(old, symbolOf(unit))}`),
  }));
