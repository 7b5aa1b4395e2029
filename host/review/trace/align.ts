import { diffArrays } from 'diff';

/** Two lists that differ in more places than this are taken one by one: to look for the shortest way would take too long. */
const EDITS_MOST = 4000;

/** Places of one list and the other that belong together, in order; undefined where only the other has something. */
export type Aligned =
  | readonly [old: number, fresh: number]
  | readonly [old: number, fresh: undefined]
  | readonly [old: undefined, fresh: number];

/** Aligns two lists by their longest common part (Myers 1986, Algorithmica 1:251-266). */
export function align(old: readonly string[], fresh: readonly string[]): Aligned[] {
  const changes = diffArrays(old as string[], fresh as string[], { maxEditLength: EDITS_MOST });
  if (changes === undefined) return oneByOne(old, fresh);
  let [at, other] = [0, 0];
  return changes.flatMap(({ added, removed, count }) =>
    Array.from({ length: count }, (): Aligned => {
      if (added) return [undefined, other++];
      return removed ? [at++, undefined] : [at++, other++];
    }),
  );
}

function oneByOne(old: readonly string[], fresh: readonly string[]): Aligned[] {
  return Array.from({ length: Math.max(old.length, fresh.length) }, (_, place): Aligned[] => {
    if (old[place] === fresh[place]) return [[place, place]];
    return [...(place < old.length ? [[place, undefined] as const] : []), ...(place < fresh.length ? [[undefined, place] as const] : [])];
  }).flat();
}
