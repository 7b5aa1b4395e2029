import { InputError } from '../common/input-error.js';
import type { VectorCase } from '../vector/vector.js';
import { type Build, buildOfCommit } from './builds.js';
import { CHANGES_MAX, ChangeSearch, type Comparer, type OutputChange } from './change-search.js';
import { buildKeys, type Commit, commitOf, mergeBase, readCommits, shallowHint } from './git.js';
import { traceLocator } from './locate.js';
import type { RunReview } from './review.js';
import { compareOutputs, reviewRun, stopDivergence } from './review-run.js';
import { type ReviewSide, type Sides, vectorRun } from './review-task.js';
import { runBoth } from './run-both.js';

const COMMAND = 'latchbench find-change';

export interface ChangeSearchChoice {
  /** Folder of the project whose commits are searched. */
  readonly root: string;
  readonly vector: VectorCase;
  /** Commit, branch or tag before the change. */
  readonly from: string;
  /** One after it, or on another branch. */
  readonly to: string;
  /** Whether differences of probes and state count too. */
  readonly countsState: boolean;
  readonly parameters?: ReviewSide['parameters'];
}

/** A commit that could not be compared, and why. */
export interface SkippedCommit extends Commit {
  readonly reason: string;
}

/** The commit at which a vector's outputs changed. */
export interface FoundChange extends OutputChange {
  /** Commits at which they changed again, oldest first. */
  readonly later: readonly OutputChange[];
  /** Whether there may be earlier ones: only the last `CHANGES_MAX` are found. */
  readonly hasEarlier: boolean;
  /** On the way to which end it is, if the two have diverged: then the search starts where they have. */
  readonly diverged?: { readonly at: Commit; readonly side: 'from' | 'to' } | undefined;
  /** Number of commits with another binary than the one before on the ways that were searched, and how many of them were compared. */
  readonly commits: number;
  readonly compared: number;
  readonly skipped: readonly SkippedCommit[];
  /** The vector's review of the commit against the one before it. */
  readonly run: RunReview;
}

/** No binary is shown: a quick one computes the same. */
const quickBuild = (commit: string, root: string): Promise<Build> => buildOfCommit(commit, root, 'quick');

/** Compares commits on the inputs of a vector. Each is built once, and each pair is run once. */
class CommitComparer implements Comparer {
  readonly compared = new Set<string>();
  readonly skipped = new Map<string, string>();
  private readonly builds = new Map<string, Promise<Build>>();
  private readonly results = new Map<string, boolean>();

  constructor(
    private readonly choice: ChangeSearchChoice,
    private readonly notify: (commit: Commit, left: number) => void,
  ) {}

  build(commit: string): Promise<Build> {
    const known = this.builds.get(commit) ?? quickBuild(commit, this.choice.root);
    this.builds.set(commit, known);
    return known;
  }

  keys(commits: readonly string[]): string[] {
    return buildKeys(commits, this.choice.root);
  }

  onCommit(commit: string, left: number): void {
    const [known] = readCommits([commit], this.choice.root);
    if (known !== undefined) this.notify(known, left);
  }

  /** Whether two commits do the same. @throws InputError if one of them does not build, or refuses the vector */
  async areSame(one: string, other: string): Promise<boolean> {
    const key = [one, other].sort().join(' ');
    const known = this.results.get(key);
    if (known !== undefined) return known;
    const { vector, countsState, parameters } = this.choice;
    const side = async (commit: string): Promise<ReviewSide> => ({ build: await this.build(commit), parameters });
    const sides: Sides = { base: await side(one), head: await side(other) };
    const pair = vectorRun(vector, sides).start();
    const result = runBoth(pair);
    const { differences } = compareOutputs(result, pair).comparison;
    const isSame = differences === 0 && stopDivergence(result) === undefined && !(countsState && result.divergences.length > 0);
    this.results.set(key, isSame);
    return isSame;
  }

  async same(one: string, other: string): Promise<boolean | undefined> {
    let suspect = one;
    try {
      for (suspect of [one, other]) await this.build(suspect);
      // One that has been compared runs.
      suspect = this.compared.has(one) ? other : one;
      const isSame = await this.areSame(one, other);
      for (const commit of [one, other]) this.compared.add(commit);
      return isSame;
    } catch (error) {
      if (!(error instanceof InputError)) throw error;
      this.skipped.set(suspect, error.details.problem);
      return undefined;
    }
  }
}

/** @throws InputError always */
function failSame({ vector, from, to, countsState }: ChangeSearchChoice): never {
  const what = countsState ? 'outputs and state' : 'outputs';
  throw new InputError({
    file: COMMAND,
    problem: `the ${what} of ${vector.name} are the same at ${from} and ${to}`,
    ...(countsState ? {} : { hint: 'Add --state to compare internal state too' }),
  });
}

/** Where to search: from an ancestor to one of its descendants. */
interface Range {
  readonly start: string;
  readonly end: string;
  readonly diverged?: { readonly at: string; readonly side: 'from' | 'to' } | undefined;
}

/**
 * The part of the history that has the change: between the two ends; or, if they have diverged, from where they did to the end whose
 * outputs are others there.
 * @throws InputError if the ends are in the wrong order, or have no commit in common
 */
async function rangeOf(from: string, to: string, choice: ChangeSearchChoice, comparer: CommitComparer): Promise<Range> {
  const { root } = choice;
  const at = mergeBase(from, to, root);
  if (at === from) return { start: from, end: to };
  const ends = `--from (${choice.from}) and --to (${choice.to})`;
  if (at === undefined)
    throw new InputError({ file: COMMAND, problem: `${ends} have no commit in common`, value: choice.from, hint: shallowHint(root) });
  if (at === to) throw new InputError({ file: COMMAND, problem: `${ends} are in the wrong order`, value: choice.from, hint: 'Swap them' });
  const isOnFrom = await comparer.areSame(at, to);
  return { start: at, end: isOnFrom ? from : to, diverged: { at, side: isOnFrom ? 'from' : 'to' } };
}

/** The vector's review of a change. */
async function reviewChange({ commit, before }: OutputChange, choice: ChangeSearchChoice, comparer: CommitComparer): Promise<RunReview> {
  const side = async ({ hash }: Commit): Promise<ReviewSide> => ({ build: await comparer.build(hash), parameters: choice.parameters });
  const sides = { base: await side(before), head: await side(commit) };
  return reviewRun(vectorRun(choice.vector, sides), traceLocator(sides));
}

/**
 * Finds the commits at which a vector's outputs changed, by halving: see `ChangeSearch`.
 * @throws InputError if the ends are one commit, nothing differs, an end does not build, or the ends are in the wrong order
 */
export async function findChange(
  choice: ChangeSearchChoice,
  onCommit: (commit: Commit, left: number) => void = () => {},
): Promise<FoundChange> {
  const { root } = choice;
  const [from, to] = [commitOf(choice.from, root), commitOf(choice.to, root)];
  if (from === to)
    throw new InputError({
      file: COMMAND,
      problem: `--from (${choice.from}) and --to (${choice.to}) are the same commit`,
      value: choice.from,
    });
  const comparer = new CommitComparer(choice, onCommit);
  if (await comparer.areSame(from, to)) failSame(choice);
  const { start, end, diverged } = await rangeOf(from, to, choice, comparer);
  const ends = new Set([from, to, start]);
  const search = new ChangeSearch(root, comparer);
  const [first, ...later] = await search.changes(start, end);
  if (first === undefined) throw new Error('the ends differ, and no commit between them does');
  const skipped = readCommits([...comparer.skipped.keys()], root);
  const [at] = diverged === undefined ? [] : readCommits([diverged.at], root);
  return {
    ...first,
    later,
    hasEarlier: later.length + 1 === CHANGES_MAX,
    diverged: diverged === undefined || at === undefined ? undefined : { at, side: diverged.side },
    commits: search.candidates,
    compared: [...comparer.compared].filter((commit) => !ends.has(commit)).length,
    skipped: skipped.map((commit) => ({ ...commit, reason: comparer.skipped.get(commit.hash) ?? '' })),
    run: await reviewChange(first, choice, comparer),
  };
}
