import type { ControllerSources } from '../../build/controller.js';
import { sourcesOf } from '../build-sources.js';
import type { Build } from '../builds.js';
import type { Cause, Coverage, CoverageCounts, CoveredLine, LineRange, NearestRun, RunReview, SourceLine } from '../review.js';
import { fileChanges } from '../source-change.js';
import { buildPlain } from '../trace/traced-build.js';
import { CodeFinder, type CodeLine, hunksIn } from './changed-code.js';
import { type ProbedProgram, probedBuilds } from './probes.js';
import { type Barrier, Program } from './program.js';
import type { Probes, Reached } from './shadow.js';

/*
 * Which changed lines the runs of a review reach. Each line with code belongs to blocks of the unoptimised build. A copy of it that
 * sets a byte for each of them runs beside the release, on the same inputs. It has bytes also for all blocks on the way there, which
 * tell where a run that does not reach a line leaves that way. Lines of head are looked for in head; those that were removed, with no
 * code in their place, in base.
 */

type SideName = 'base' | 'head';

/** Changed code of a side. */
interface SidePlan extends ProbedProgram {
  readonly side: SideName;
  readonly lines: readonly CodeLine[];
}

/** What to look for in the runs of a review. */
export interface CoveragePlan {
  readonly sides: readonly SidePlan[];
  readonly probes: Probes;
  /** Number of changed lines without code. */
  readonly noCode: number;
}

function planSide(side: SideName, program: Program, lines: readonly CodeLine[]): SidePlan {
  const targets = new Set(lines.flatMap(({ blocks }) => blocks));
  return { side, program, lines, targets, probed: program.waysTo(targets) };
}

async function planChange(base: ControllerSources, head: ControllerSources): Promise<CoveragePlan | undefined> {
  const hunks = hunksIn(fileChanges(base, head));
  if (hunks.length === 0) return undefined;
  const finderOf = async (from: ControllerSources) => new CodeFinder(new Program(await buildPlain(from)), from.sources);
  const inHead = await finderOf(head);
  const found = hunks.map((hunk) => ({ ...hunk, code: hunk.head.flatMap((line) => inHead.codeOf(line) ?? []) }));
  const without = found.filter(({ code }) => code.length === 0);
  const removed = without.flatMap((hunk) => hunk.base);
  const inBase = removed.length === 0 ? undefined : await finderOf(base);
  const lines = { head: found.flatMap(({ code }) => code), base: removed.flatMap((line) => inBase?.codeOf(line) ?? []) };
  const sides = [
    planSide('head', inHead.program, lines.head),
    ...(inBase === undefined ? [] : [planSide('base', inBase.program, lines.base)]),
  ];
  // What nothing calls has no blocks.
  const observed = sides.filter(({ probed }) => probed.length > 0);
  const builds = observed.length === 0 ? [] : await probedBuilds(observed);
  const probes = Object.fromEntries(observed.map(({ side }, index) => [side, builds[index]]));
  const all = found.flatMap((hunk) => hunk.head).length + removed.length;
  return { sides, probes, noCode: all - lines.head.length - lines.base.length };
}

/**
 * Finds the changed code of two builds, and compiles copies that tell what they reach of it. Undefined if no source has changed.
 * @returns a reason if the sources of a side are not known
 */
export async function planCoverage({
  base,
  head,
}: {
  readonly base: Build;
  readonly head: Build;
}): Promise<CoveragePlan | string | undefined> {
  if (base.binaryHash === head.binaryHash && base.from !== undefined && head.from !== undefined) return undefined;
  const [from, to] = [await sourcesOf(base), await sourcesOf(head)];
  if (typeof from === 'string') return from;
  return typeof to === 'string' ? to : planChange(from, to);
}

/** A run of a review with what it reaches. */
interface ReachingRun {
  readonly review: RunReview;
  readonly reached: Reached;
}

const isIn = ({ from, count }: LineRange, line: number): boolean => from <= line && line < from + count;

/** Whether a cause may be in a line: also if its place is not known. */
function isCauseIn({ edits, parameter }: Cause, side: SideName, { file, line }: SourceLine): boolean {
  if (edits.length === 0) return parameter === undefined;
  return edits.some((edit) => edit.file === file && isIn(edit[side], line));
}

/** Tells what the runs reach of the changed code of a side. */
class SideCoverage {
  /** Index of the probe of a block. */
  private readonly probeOf: ReadonlyMap<number, number>;

  constructor(
    private readonly plan: SidePlan,
    private readonly runs: readonly ReachingRun[],
    private readonly causes: readonly Cause[],
  ) {
    this.probeOf = new Map(plan.probed.map((block, index) => [block, index]));
  }

  lines(): CoveredLine[] {
    return this.plan.lines.map((code) => this.coveredLine(code));
  }

  private coveredLine({ line, blocks, usedAt }: CodeLine): CoveredLine {
    const { side } = this.plan;
    const reachedBy = this.runs.flatMap((_, run) => {
      const ticks = blocks.flatMap((block) => this.firstTick(run, block) ?? []);
      return ticks.length === 0 ? [] : [{ run, tick: Math.min(...ticks) }];
    });
    const facts = { side, line, usedAt, reachedBy, isUncalled: blocks.length === 0 };
    if (reachedBy.length === 0) return { ...facts, reach: 'unreached', missed: [], nearest: this.nearestRun(blocks) };
    const differs = reachedBy.some(({ run, tick }) => this.differsBy(line, run, tick));
    return { ...facts, reach: differs ? 'different' : 'same', missed: usedAt.length > 0 ? [] : this.missed(line, blocks) };
  }

  private firstTick(run: number, block: number): number | null | undefined {
    return this.runs[run]?.reached[this.plan.side]?.[this.probeOf.get(block) ?? -1];
  }

  private isReachedBy(run: number, block: number): boolean {
    return typeof this.firstTick(run, block) === 'number';
  }

  /** Whether a run differs by a line that it reaches, from some tick on. */
  private differsBy(line: SourceLine, run: number, tick: number): boolean {
    const first = this.runs[run]?.review.first?.tick ?? Number.POSITIVE_INFINITY;
    return this.causes.some(
      (cause) => cause.runs.includes(run) && isCauseIn(cause, this.plan.side, line) && tick <= Math.max(first, cause.first.tick),
    );
  }

  /** Parts of a line that no run reaches, though one reaches the condition before them. */
  private missed({ file, line }: SourceLine, blocks: readonly number[]): SourceLine[] {
    const isReached = (block: number): boolean => this.runs.some((_, run) => this.isReachedBy(run, block));
    const { program } = this.plan;
    return blocks
      .filter((block) => !isReached(block) && program.nearestBarrier([block], isReached)?.distance === 1)
      .map((block) => program.startIn(block, file, line));
  }

  /** The run that comes nearest to some blocks that none reaches: of those that come as near, the one with the least work. */
  private nearestRun(blocks: readonly number[]): NearestRun | undefined {
    const { program } = this.plan;
    const found = this.runs.flatMap(({ review }, run): { run: number; work: number; barrier: Barrier }[] => {
      const barrier = program.nearestBarrier(blocks, (block) => this.isReachedBy(run, block));
      return barrier === undefined ? [] : [{ run, work: review.rows * review.ticks, barrier }];
    });
    found.sort((a, b) => a.barrier.conditions - b.barrier.conditions || a.barrier.distance - b.barrier.distance || a.work - b.work);
    const [first] = found;
    if (first === undefined) return undefined;
    const { reached, needs, conditions, distance } = first.barrier;
    const asNear = found.filter(({ barrier }) => barrier.conditions === conditions && barrier.distance === distance);
    return { run: first.run, runs: asNear.length, at: program.endOf(reached), needs, conditions };
  }
}

/** What runs reach of changed code. @param runs in the order of the review */
export function coverageOf({ sides, noCode }: CoveragePlan, runs: readonly ReachingRun[], causes: readonly Cause[]): Coverage {
  const lines = sides.flatMap((side) => new SideCoverage(side, runs, causes).lines());
  const count = (reach: CoveredLine['reach']): number => lines.filter((one) => one.reach === reach).length;
  const counts: CoverageCounts = { different: count('different'), same: count('same'), unreached: count('unreached'), noCode };
  return { counts, lines };
}

/** The coverage of a review, if it is not known for a reason. */
export const unknownCoverage = (note: string | undefined): Coverage | undefined =>
  note === undefined ? undefined : { counts: { different: 0, same: 0, unreached: 0, noCode: 0 }, lines: [], note };
