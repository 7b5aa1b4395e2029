import { type Design, OBJECTIVES, type Objectives } from './design.js';

/** Objectives that differ by less than this ratio count as equal: the model is not more accurate. */
export const EQUAL_RATIO = 0.02;

/** Upper limit of steps, for an improvement to zero. */
const STEPS_MAX = 1000;

/** Steps that a failing check counts, when finalists are ordered: as much as 20 % of another objective. Our choice. */
const CHECK_STEPS = 10;

/** Returns by how many whole steps of EQUAL_RATIO one design is better than another, for each objective; negative if worse. */
export const gains = (one: Objectives, other: Objectives): number[] =>
  OBJECTIVES.map((name) => {
    if (one[name] === other[name]) return 0;
    if (name === 'failingChecks') return CHECK_STEPS * (other[name] - one[name]);
    const steps = Math.trunc(Math.log(other[name] / one[name]) / Math.log1p(EQUAL_RATIO));
    return Math.max(-STEPS_MAX, Math.min(STEPS_MAX, steps)) + 0;
  });

/** Returns the cells of EQUAL_RATIO that contain the objectives. Unlike "differs by less than", being in the same cell is transitive. */
const cellsOf = (objectives: Objectives): number[] =>
  OBJECTIVES.map((name) => {
    if (name === 'failingChecks') return objectives[name];
    return objectives[name] > 0 ? Math.round(Math.log(objectives[name]) / Math.log1p(EQUAL_RATIO)) : Number.NEGATIVE_INFINITY;
  });

const isNowhereWorse = (cells: readonly number[], others: readonly number[]): boolean =>
  cells.every((cell, index) => cell <= (others[index] ?? cell));

/** Whether a design is, cell by cell, better than another in one objective and worse in none. Source: definition of Pareto dominance. */
export function dominates(one: Objectives, other: Objectives): boolean {
  const [cells, others] = [cellsOf(one), cellsOf(other)];
  return isNowhereWorse(cells, others) && !isNowhereWorse(others, cells);
}

interface Member {
  readonly design: Design;
  readonly cells: readonly number[];
}

/** The Pareto front: designs that no other known design dominates; of those in the same cells, the first. */
export class Front {
  private members: Member[] = [];

  constructor(designs: Iterable<Design> = []) {
    for (const design of designs) this.offer(design);
  }

  get designs(): readonly Design[] {
    return this.members.map(({ design }) => design);
  }

  get size(): number {
    return this.members.length;
  }

  /** Returns the design at an index of the front. */
  at(index: number): Design | undefined {
    return this.members[index]?.design;
  }

  /** Adds a design unless one on the front is as good, and removes the designs that it dominates. */
  offer(design: Design): void {
    const cells = cellsOf(design.objectives);
    if (this.members.some((one) => isNowhereWorse(one.cells, cells))) return;
    this.members = this.members.filter((one) => !isNowhereWorse(cells, one.cells));
    this.members.push({ design, cells });
  }
}
