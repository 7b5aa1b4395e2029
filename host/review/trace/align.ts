import { diffArrays } from 'diff';

/** Lists with more differences than this are paired index by index: the shortest edit script would take too long to find. */
const EDITS_MAX = 4000;

/** Indices of matching items, in order; undefined for an item that only the other list has. */
export type Aligned =
  | readonly [base: number, head: number]
  | readonly [base: number, head: undefined]
  | readonly [base: undefined, head: number];

/** Aligns two lists by their longest common subsequence (Myers 1986, Algorithmica 1:251-266). */
export function align(base: readonly string[], head: readonly string[]): Aligned[] {
  const changes = diffArrays(base as string[], head as string[], { maxEditLength: EDITS_MAX });
  if (changes === undefined) return indexByIndex(base, head);
  let [at, other] = [0, 0];
  return changes.flatMap(({ added, removed, count }) =>
    Array.from({ length: count }, (): Aligned => {
      if (added) return [undefined, other++];
      return removed ? [at++, undefined] : [at++, other++];
    }),
  );
}

function indexByIndex(base: readonly string[], head: readonly string[]): Aligned[] {
  return Array.from({ length: Math.max(base.length, head.length) }, (_, index): Aligned[] => {
    if (base[index] === head[index]) return [[index, index]];
    return [...(index < base.length ? [[index, undefined] as const] : []), ...(index < head.length ? [[undefined, index] as const] : [])];
  }).flat();
}
