import { uniformInt } from 'pure-rand/distribution/uniformInt';
import { xoroshiro128plus, xoroshiro128plusFromState } from 'pure-rand/generator/xoroshiro128plus';
import type { RandomGenerator } from 'pure-rand/types/RandomGenerator';
import type { Picks, Weigher } from './design.js';
import { Front } from './front.js';

/** Catalogues with so few designs are gone through as a whole. */
export const WHOLE_MOST = 20_000;

/** How far a search has come: with the same machine and catalogue it goes on from here as if it had never stopped. */
export interface SearchState {
  readonly seed: number;
  readonly tries: number;
  /** Designs that were in order. */
  readonly fit: number;
  readonly random: readonly number[];
  readonly front: readonly Picks[];
}

export const searchFrom = (seed: number): SearchState => ({ seed, tries: 0, fit: 0, random: xoroshiro128plus(seed).getState(), front: [] });

/** All designs of a catalogue, as a number. */
export const designCount = ({ catalogue }: Weigher): number => catalogue.choices.reduce((count, { options }) => count * options.length, 1);

/** The design of a number, from 0: its digits to the bases of the choices. */
function designAt(index: number, { catalogue }: Weigher): number[] {
  let rest = index;
  return catalogue.choices.map(({ options }) => {
    const pick = rest % options.length;
    rest = Math.floor(rest / options.length);
    return pick;
  });
}

/** One of so many tries takes up no other design, so that the search gets away from where it began. */
const FRESH_EVERY = 8;

/** A neighbour of a design of the front: one choice or more by a step, or to anything. */
function designNear(random: RandomGenerator, front: Front, { catalogue, present }: Weigher): number[] {
  const below = (count: number): number => uniformInt(random, 0, count - 1);
  const { choices } = catalogue;
  if (below(FRESH_EVERY) === 0) return choices.map(({ options }) => below(options.length));
  const picks = [...(front.at(below(Math.max(1, front.size))) ?? present).picks];
  do {
    const index = below(choices.length);
    const count = choices[index]?.options.length ?? 1;
    const isStep = below(2) === 0;
    const moved = isStep ? (picks[index] ?? 0) + (below(2) === 0 ? 1 : -1) : below(count);
    picks[index] = Math.min(count - 1, Math.max(0, moved));
  } while (below(2) === 0);
  return picks;
}

/**
 * Goes on with a search up to so many tries in all, or through all designs if there are few; closed forms only.
 * @param onState told how far it is, each thousand tries and at the end
 */
export function search(
  weigher: Weigher,
  from: SearchState,
  tries: number,
  onState: (state: SearchState, last: number) => void,
): SearchState {
  const count = designCount(weigher);
  const isWhole = count <= WHOLE_MOST;
  const last = isWhole ? count : tries;
  const random = xoroshiro128plusFromState(from.random);
  const known = from.front.flatMap((picks) => weigher.weigh(picks) ?? []);
  const front = new Front(from.tries === 0 ? [weigher.present] : known);
  let { fit } = from;
  const stateAt = (done: number): SearchState => ({
    seed: from.seed,
    tries: done,
    fit,
    random: random.getState(),
    front: front.designs.map(({ picks }) => picks),
  });
  for (let done = from.tries; done < last; ) {
    const design = weigher.weigh(isWhole ? designAt(done, weigher) : designNear(random, front, weigher));
    if (design !== undefined) {
      fit += 1;
      front.offer(design);
    }
    done += 1;
    if (done % 1000 === 0) onState(stateAt(done), last);
  }
  const state = stateAt(Math.max(last, from.tries));
  onState(state, last);
  return state;
}
