import { InputError } from '../../common/input-error.js';
import { sourcesOf } from '../build-sources.js';
import type { Cause, CauseCheck, Divergence, ParameterDifference, Review, RunReview, SourceLine } from '../review.js';
import type { ReviewEngine } from '../review-engine.js';
import type { ReviewSide, RunPlan, Sides } from '../review-task.js';
import { editAt, editsBetween } from './edits.js';
import { headWith, type Suspect, type TwoSources } from './put-back.js';

/*
 * Runs that differ are grouped by the edit in which their traced difference starts, and the claim is tried: with that edit as it is in
 * base, does the first difference of the run with the least work go away, or become another one? If not, the trace was misled, and
 * the edit is searched by halving. Then all edits found are put back, and what still differs has a further cause. So the edit is
 * found by experiment, whatever the trace says, and the trace names the line in it. It takes one or two compilations for each cause.
 */

/** A run and its first difference, here or with the causes found so far put back. */
interface DifferingRun {
  /** Index in the review. */
  readonly index: number;
  readonly plan: RunPlan;
  readonly review: RunReview;
  readonly first: Divergence;
}

/** Rounds of putting back what was found. */
const ROUNDS_MAX = 5;
/** Among more suspects than this, a misled trace is not corrected. */
const SEARCHED_MAX = 64;

/** The suspect that contains the line where a difference starts. */
function suspectOf({ suspectedLine, baseLine, removedLine }: Divergence, suspects: readonly Suspect[]): Suspect | undefined {
  const edits = suspects.flatMap(({ edit }) => (edit === undefined ? [] : [edit]));
  const at = (side: 'base' | 'head', line: SourceLine | undefined) => line && editAt(edits, side, line.file, line.line);
  const found = at('base', removedLine) ?? at('head', suspectedLine) ?? at('base', baseLine);
  return found === undefined ? undefined : suspects.find(({ edit }) => edit === found);
}

/** Work up to the first difference: ticks of all rows. */
const workOf = ({ first, review: { rows } }: DifferingRun): number => (first.tick + 2) * rows;

/** Groups runs by their suspect, or by the signal that differs first; the run with the least work is the first of its group. */
function groupsOf(runs: readonly DifferingRun[], suspects: readonly Suspect[]): DifferingRun[][] {
  const groups = new Map<Suspect | string, DifferingRun[]>();
  for (const run of runs) {
    const key = suspectOf(run.first, suspects) ?? run.first.signal;
    groups.set(key, [...(groups.get(key) ?? []), run]);
  }
  for (const group of groups.values()) group.sort((a, b) => workOf(a) - workOf(b));
  return [...groups.values()].sort((a, b) => b.length - a.length);
}

/** What a run shows of a first difference, to be compared with what it shows after something was put back. */
function symptomOf({ signals, stopped }: RunReview, { signal, tick }: Divergence): string {
  if (signal === 'stop') return JSON.stringify(stopped);
  const found = signals.find((one) => one.signal === signal && one.tick <= tick);
  return JSON.stringify(found === undefined ? null : [found.tick, found.row, found.base, found.head]);
}

/** Suspects of a group, and how sure that is. */
interface Claim {
  readonly suspects: readonly Suspect[];
  readonly check: CauseCheck;
  readonly note?: string | undefined;
}

type CauseDraft = Claim & { readonly runs: DifferingRun[] };

class CauseFinder {
  constructor(
    private readonly engine: ReviewEngine,
    private readonly sides: Sides,
    private readonly sources: TwoSources | undefined,
    private readonly suspects: readonly Suspect[],
  ) {}

  async find(runs: readonly DifferingRun[]): Promise<CauseDraft[]> {
    const drafts: CauseDraft[] = [];
    const back: Suspect[] = [];
    let current = runs;
    for (let round = 0; round < ROUNDS_MAX && current.length > 0; round++) {
      const left = this.suspects.filter((one) => !back.includes(one));
      const found = await this.round(current, back, left);
      drafts.push(...found);
      back.push(...found.flatMap(({ suspects, check }) => (check === 'suspected' ? [] : suspects)));
      if (back.length === this.suspects.length || left.every((one) => !back.includes(one))) break;
      current = await this.stillDiffering(current, back);
    }
    return drafts;
  }

  /** The causes of what differs now; groups with the same cause become one. */
  private async round(runs: readonly DifferingRun[], back: readonly Suspect[], left: readonly Suspect[]): Promise<CauseDraft[]> {
    const drafts: CauseDraft[] = [];
    for (const group of groupsOf(runs, left)) {
      const claim = await this.claimOf(group[0] as DifferingRun, back, left);
      const same = drafts.find(({ suspects }) => suspects.length > 0 && suspects.every((one) => claim.suspects.includes(one)));
      if (same === undefined) drafts.push({ ...claim, runs: group });
      else same.runs.push(...group);
    }
    return drafts;
  }

  private async claimOf(run: DifferingRun, back: readonly Suspect[], left: readonly Suspect[]): Promise<Claim> {
    const [only] = left;
    if (only !== undefined && left.length === 1) return { suspects: [only], check: 'onlyEdit' };
    const suspect = suspectOf(run.first, left);
    const suspects = suspect === undefined ? [] : [suspect];
    if (this.engine.compile === undefined || left.length === 0) return { suspects, check: 'suspected' };
    if (suspect !== undefined && (await this.changes(run, back, suspects))) return { suspects, check: 'putBack' };
    const others = left.filter((one) => one !== suspect);
    const found = others.length > SEARCHED_MAX ? [] : await this.search(run, back, others);
    if (found.length > 0) return { suspects: found, check: 'putBack' };
    return { suspects, check: 'suspected', note: 'no part of the change that compiles makes this difference alone' };
  }

  /** The smallest part of the suspects, found by halving, that changes the first difference if it is put back. */
  private async search(run: DifferingRun, back: readonly Suspect[], suspects: readonly Suspect[]): Promise<readonly Suspect[]> {
    if (suspects.length === 0 || !(await this.changes(run, back, suspects))) return [];
    const middle = Math.ceil(suspects.length / 2);
    if (middle === suspects.length) return suspects;
    for (const half of [suspects.slice(0, middle), suspects.slice(middle)]) {
      const found = await this.search(run, back, half);
      if (found.length > 0) return found;
    }
    return suspects;
  }

  /** Whether a run's first difference goes away, or becomes another one, if suspects are put back. */
  private async changes({ plan, review, first }: DifferingRun, back: readonly Suspect[], suspects: readonly Suspect[]): Promise<boolean> {
    const head = await this.head([...back, ...suspects], 'one');
    if (head === undefined) return false;
    const sides = { base: this.sides.base, head };
    const [tried] = await this.engine.review([{ plan, sides, depth: 'compared', toTick: first.tick }]);
    return tried !== undefined && tried.verdict !== 'refused' && symptomOf(tried, first) !== symptomOf(review, first);
  }

  private async stillDiffering(runs: readonly DifferingRun[], back: readonly Suspect[]): Promise<DifferingRun[]> {
    const head = await this.head(back, 'all');
    if (head === undefined) return [];
    const sides = { base: this.sides.base, head };
    const reviews = await this.engine.review(runs.map(({ plan }) => ({ plan, sides, depth: 'located' as const })));
    return runs.flatMap(({ index, plan }, at): DifferingRun[] => {
      const review = reviews[at];
      return review?.first === undefined ? [] : [{ index, plan, review, first: review.first }];
    });
  }

  /** Head with suspects put back; undefined if that does not compile. */
  private async head(back: readonly Suspect[], runs: 'one' | 'all'): Promise<ReviewSide | undefined> {
    const { engine, sides, sources } = this;
    try {
      return await headWith(back, sides, sources, (from) => engine.compile?.(from, runs));
    } catch (error) {
      if (error instanceof InputError) return undefined;
      throw error;
    }
  }
}

/** A first difference with the edit that halving found, if that is another one than the trace's. */
function withEdit(first: Divergence, { suspects, check }: Claim, sources: TwoSources | undefined): Divergence {
  const [edit] = suspects.flatMap((one) => one.edit ?? []);
  if (check === 'suspected' || edit === undefined || sources === undefined || suspectOf(first, suspects) !== undefined) return first;
  const [{ file, base, head } = { file: '', base: { from: 1, count: 0 }, head: { from: 1, count: 0 } }] = edit.lines;
  const lineOf = (side: 'base' | 'head', line: number): SourceLine | undefined => {
    const text = sources[side].sources.get(file)?.split('\n')[line - 1];
    return text === undefined ? undefined : { file, line, column: text.search(/\S|$/) + 1, function: '', text };
  };
  const old = base.count === 0 ? undefined : lineOf('base', base.from);
  return {
    ...first,
    suspectedLine: lineOf('head', head.from) ?? first.suspectedLine,
    baseLine: old,
    removedLine: head.count === 0 ? old : undefined,
    via: first.suspectedLine,
    reason: 'with this as in base, the first difference goes away or becomes another one',
  };
}

/** What makes runs of a review differ. */
export interface FoundCauses {
  readonly causes: readonly Cause[];
  /** First differences, by the index of the run, whose edit is better known than by the trace. */
  readonly firsts: ReadonlyMap<number, Divergence>;
}

/**
 * Finds the causes of a review's differences.
 * @param plans how to run each of the review's runs again, in the same order
 */
export async function findCauses(
  engine: ReviewEngine,
  sides: Sides,
  { runs, parameters }: Pick<Review, 'runs' | 'parameters'>,
  plans: readonly RunPlan[],
): Promise<FoundCauses> {
  const differing = runs.flatMap((review, index): DifferingRun[] => {
    const plan = plans[index];
    return review.first === undefined || plan === undefined ? [] : [{ index, plan, review, first: review.first }];
  });
  if (differing.length === 0) return { causes: [], firsts: new Map() };
  const [base, head] = [await sourcesOf(sides.base.build), await sourcesOf(sides.head.build)];
  const sources = typeof base === 'string' || typeof head === 'string' ? undefined : { base, head };
  const edits = sources === undefined ? [] : editsBetween(sources.base.sources, sources.head.sources);
  const suspects = [...edits.map((edit) => ({ edit })), ...parameters.map(({ name }: ParameterDifference) => ({ parameter: name }))];
  const drafts = await new CauseFinder(engine, sides, sources, suspects).find(differing);
  const firsts = new Map<number, Divergence>();
  const causes = drafts.map((draft): Cause => {
    const [smallest] = [...draft.runs].sort((a, b) => workOf(a) - workOf(b)) as [DifferingRun];
    for (const { index, first, review } of draft.runs) if (review === runs[index]) firsts.set(index, withEdit(first, draft, sources));
    return {
      run: smallest.index,
      runs: draft.runs.map(({ index }) => index).sort((a, b) => a - b),
      first: withEdit(smallest.first, draft, sources),
      edits: draft.suspects.flatMap(({ edit }) => edit?.lines ?? []),
      parameter: draft.suspects.find(({ parameter }) => parameter !== undefined)?.parameter,
      check: draft.check,
      note: draft.note,
    };
  });
  return { causes, firsts };
}
