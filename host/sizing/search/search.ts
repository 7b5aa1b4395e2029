import { uniformInt } from 'pure-rand/distribution/uniformInt';
import { xoroshiro128plus, xoroshiro128plusFromState } from 'pure-rand/generator/xoroshiro128plus';
import type { RandomGenerator } from 'pure-rand/types/RandomGenerator';
import type { Evaluator, Picks } from './design.js';
import { Front } from './front.js';

/** Catalogues with up to this many designs are searched exhaustively. */
export const EXHAUSTIVE_MAX = 20_000;

/** The state of a search. With the same machine and catalogue it resumes as if it had never stopped. */
export interface SearchState {
  readonly seed: number;
  readonly tries: number;
  /** Designs that were consistent and failed no additional check. */
  readonly feasible: number;
  readonly random: readonly number[];
  readonly front: readonly Picks[];
}

export const initialState = (seed: number): SearchState => ({
  seed,
  tries: 0,
  feasible: 0,
  random: xoroshiro128plus(seed).getState(),
  front: [],
});

/** Returns the number of designs in a catalogue. */
export const designCount = ({ catalogue }: Evaluator): number =>
  catalogue.choices.reduce((count, { options }) => count * options.length, 1);

/** Returns the design with a number, from 0: its digits in the mixed radix of the choices. */
function designAt(index: number, { catalogue }: Evaluator): number[] {
  let rest = index;
  return catalogue.choices.map(({ options }) => {
    const pick = rest % options.length;
    rest = Math.floor(rest / options.length);
    return pick;
  });
}

/** One in this many tries is a random design, so that the search does not get stuck near its start. */
const RESTART_EVERY = 8;

/** Returns a neighbour of a design on the front, with one or more choices changed by a step or at random; or a random design. */
function nextDesign(random: RandomGenerator, front: Front, { catalogue, baseline }: Evaluator): number[] {
  const below = (count: number): number => uniformInt(random, 0, count - 1);
  const { choices } = catalogue;
  if (below(RESTART_EVERY) === 0) return choices.map(({ options }) => below(options.length));
  const picks = [...(front.at(below(Math.max(1, front.size))) ?? baseline).picks];
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
 * Continues a search until it has made `tries` tries in total, or through all designs if there are few. Closed forms only.
 * @param onState called with the state and the final number of tries, every 1000 tries and at the end
 */
export function search(
  evaluator: Evaluator,
  from: SearchState,
  tries: number,
  onState: (state: SearchState, last: number) => void,
): SearchState {
  const count = designCount(evaluator);
  const isExhaustive = count <= EXHAUSTIVE_MAX;
  const last = isExhaustive ? count : tries;
  const random = xoroshiro128plusFromState(from.random);
  const known = from.front.flatMap((picks) => evaluator.evaluate(picks) ?? []);
  const front = new Front(from.tries === 0 ? [evaluator.baseline] : known);
  let { feasible } = from;
  const stateAt = (done: number): SearchState => ({
    seed: from.seed,
    tries: done,
    feasible,
    random: random.getState(),
    front: front.designs.map(({ picks }) => picks),
  });
  for (let done = from.tries; done < last; ) {
    const design = evaluator.evaluate(isExhaustive ? designAt(done, evaluator) : nextDesign(random, front, evaluator));
    if (design !== undefined) {
      feasible += 1;
      front.offer(design);
    }
    done += 1;
    if (done % 1000 === 0) onState(stateAt(done), last);
  }
  const state = stateAt(Math.max(last, from.tries));
  onState(state, last);
  return state;
}
