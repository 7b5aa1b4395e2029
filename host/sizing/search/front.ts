import { DESIGN_METRICS, type Design, type DesignMetrics } from './design.js';

/** Metrics that differ by less than this share count as the same: more is not known of them. */
export const SAME_SHARE = 0.02;

/** More steps are told as this many: from something to nothing. */
const STEPS_MOST = 1000;

/** By how many whole steps of SAME_SHARE one design is better than another, metric by metric; below 0 it is worse. */
export const gains = (one: DesignMetrics, other: DesignMetrics): number[] =>
  DESIGN_METRICS.map((name) => {
    if (one[name] === other[name]) return 0;
    const steps = Math.trunc(Math.log(other[name] / one[name]) / Math.log1p(SAME_SHARE));
    return Math.max(-STEPS_MOST, Math.min(STEPS_MOST, steps)) + 0;
  });

/** Cells of SAME_SHARE in which the metrics lie. Being in the same one is transitive, which differing by less is not. */
const cellsOf = (metrics: DesignMetrics): number[] =>
  DESIGN_METRICS.map((name) =>
    metrics[name] > 0 ? Math.round(Math.log(metrics[name]) / Math.log1p(SAME_SHARE)) : Number.NEGATIVE_INFINITY,
  );

const isNowhereWorse = (cells: readonly number[], others: readonly number[]): boolean =>
  cells.every((cell, index) => cell <= (others[index] ?? cell));

/** Whether a design is nowhere worse than another, cell by cell, and somewhere better. Source: definition of Pareto dominance. */
export function dominates(one: DesignMetrics, other: DesignMetrics): boolean {
  const [own, others] = [cellsOf(one), cellsOf(other)];
  return isNowhereWorse(own, others) && !isNowhereWorse(others, own);
}

interface Member {
  readonly design: Design;
  readonly cells: readonly number[];
}

/** The designs that no other found one dominates; of those in the same cells the first. */
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

  /** The design at a place of the front. */
  at(index: number): Design | undefined {
    return this.members[index]?.design;
  }

  /** Takes a design in unless one of the front is as good; what it dominates goes. */
  offer(design: Design): void {
    const cells = cellsOf(design.metrics);
    if (this.members.some((one) => isNowhereWorse(one.cells, cells))) return;
    this.members = this.members.filter((one) => !isNowhereWorse(cells, one.cells));
    this.members.push({ design, cells });
  }
}
