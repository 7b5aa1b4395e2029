import { uniformFloat64 } from 'pure-rand/distribution/uniformFloat64';
import { xoroshiro128plus } from 'pure-rand/generator/xoroshiro128plus';
import type { RandomGenerator } from 'pure-rand/types/RandomGenerator';

/** A point of the search; each coordinate is between 0 and 1. */
export type Point = readonly number[];

/** What a search needs besides its function. */
export interface SearchSettings {
  readonly start: Point;
  /** Value of the function at the start. */
  readonly startValue: number;
  /** Number of further points to evaluate. */
  readonly evaluations: number;
  readonly seed: number;
}

/** The best point so far. */
export interface SearchState {
  readonly evaluations: number;
  readonly point: Point;
  readonly value: number;
}

/** Points per generation. Independent of the number of processors, so that the result is too. Our choice. */
const OFFSPRING = 4;
/** Standard deviation of the first steps, as a fraction of the range. Our choice: a local search. */
const FIRST_STEP = 0.15;
/** Smaller steps change no digit that matters; larger ones leave the range. Our choice. */
const [STEP_MIN, STEP_MAX] = [0.002, 0.3];

/** A draw from the standard normal distribution (Box and Muller 1958). */
function normal(random: RandomGenerator): number {
  const radius = Math.sqrt(-2 * Math.log(1 - uniformFloat64(random)));
  return radius * Math.cos(2 * Math.PI * uniformFloat64(random));
}

/** Reflects a coordinate at the ends of its range. */
export function reflected(x: number): number {
  const folded = Math.abs(x) % 2;
  return folded > 1 ? 2 - folded : folded;
}

/**
 * Step size by the 1/5 success rule (Rechenberg 1973), smoothed and for several offspring as in Igel, Hansen and Roth, Evolutionary
 * Computation 15(1), 2007, 1-28; both from memory.
 */
class StepSize {
  value = FIRST_STEP;
  readonly #target = 1 / (5 + Math.sqrt(OFFSPRING) / 2);
  #success = this.#target;

  constructor(private readonly dimensions: number) {}

  /** @param share fraction of a generation that was better than its parent */
  adapt(share: number): void {
    const target = this.#target;
    const weight = (target * OFFSPRING) / (2 + target * OFFSPRING);
    this.#success += weight * (share - this.#success);
    const damping = 1 + this.dimensions / (2 * OFFSPRING);
    const factor = Math.exp((this.#success - target) / (1 - target) / damping);
    this.value = Math.min(STEP_MAX, Math.max(STEP_MIN, this.value * factor));
  }
}

/**
 * Minimises a function of several variables near a start, without derivatives: a (1+λ) evolution strategy. The same settings and
 * function give the same result.
 * @param evaluate returns the values of a generation; infinity for a point that is not allowed
 * @param onGeneration called with the best point after each generation
 */
export async function minimise(
  evaluate: (points: readonly Point[]) => Promise<readonly number[]>,
  { start, startValue, evaluations, seed }: SearchSettings,
  onGeneration: (state: SearchState) => void = () => {},
): Promise<SearchState> {
  const random = xoroshiro128plus(seed);
  const step = new StepSize(start.length);
  let best: SearchState = { evaluations: 0, point: start, value: startValue };
  while (best.evaluations < evaluations) {
    const count = Math.min(OFFSPRING, evaluations - best.evaluations);
    const points = Array.from({ length: count }, () => best.point.map((x) => reflected(x + step.value * normal(random))));
    const values = await evaluate(points);
    const parent = best.value;
    const found = values.indexOf(Math.min(...values));
    const [point, value] = [points[found], values[found]];
    const isBetter = point !== undefined && value !== undefined && value < parent;
    best = { evaluations: best.evaluations + count, ...(isBetter ? { point, value } : { point: best.point, value: parent }) };
    step.adapt(values.filter((one) => one < parent).length / count);
    onGeneration(best);
  }
  return best;
}
