import { InputError } from '../common/input-error.js';
import type { VectorCase } from '../vector/vector.js';
import { type Build, buildOfCommit } from './builds.js';
import { type ReviewSide, type Sides, vectorRun } from './compare.js';
import { type Commit, commitOf, commitsBetween, isAncestor, readCommit } from './git.js';
import { traceLocator } from './locate.js';
import type { RunReview } from './review.js';
import { compareOutputs, reviewRun, stopParting } from './review-run.js';
import { runPair } from './run-pair.js';

export interface BisectChoice {
  /** Folder of the project whose commits they are. */
  readonly root: string;
  readonly one: VectorCase;
  readonly good: string;
  readonly bad: string;
  /** Whether inner state counts too. */
  readonly isInner: boolean;
  readonly parameters?: ReviewSide['parameters'];
}

/** Where a vector's outputs changed. */
export interface BisectResult {
  /** The first commit that differs from the good one, as far as could be told. */
  readonly commit: Commit;
  /** The one before it that could be built. */
  readonly before: Commit;
  /** Between the two: commits that don't build, any of which may be the one. */
  readonly unbuilt: readonly Commit[];
  /** Commits that were in question, and how many of them were compared. */
  readonly commits: number;
  readonly compared: number;
  /** What the commit does to the vector, against the one before it. */
  readonly run: RunReview;
}

/** What is known of a commit: whether it differs from the good one; undefined where it does not build. */
type Verdict = boolean | undefined;

/** @throws InputError when the two don't belong together */
function checkEnds(good: string, bad: string, { root, good: word, bad: other }: BisectChoice): void {
  if (isAncestor(good, bad, root) && good !== bad) return;
  throw new InputError({ file: 'latchbench bisect', what: '--good', value: word, allowed: `a commit before --bad ${other}` });
}

class Search {
  compared = 0;

  constructor(
    private readonly choice: BisectChoice,
    private readonly good: Build,
    private readonly onCommit: (commit: Commit, left: number) => void,
  ) {}

  /** Whether a build's outputs differ from the good one's. */
  differs(build: Build): boolean {
    const { one, isInner, parameters } = this.choice;
    const sides: Sides = { old: { build: this.good, parameters }, new: { build, parameters } };
    const drive = vectorRun(one, sides).start();
    const run = runPair(drive);
    const { differences } = compareOutputs(run, drive).comparison;
    return differences > 0 || stopParting(run) !== undefined || (isInner && run.partings.length > 0);
  }

  async verdict(commit: Commit, left: number): Promise<Verdict> {
    this.onCommit(commit, left);
    try {
      const isDifferent = this.differs(await buildOfCommit(commit.hash, this.choice.root));
      this.compared += 1;
      return isDifferent;
    } catch (error) {
      // What does not build says nothing; the commits beside it may.
      if (error instanceof InputError) return undefined;
      throw error;
    }
  }

  /** Places of the last commit known as good (-1: the one given) and of the first one known as different. */
  async narrow(commits: readonly Commit[]): Promise<[good: number, bad: number]> {
    let [good, bad] = [-1, commits.length - 1];
    const unbuilt = new Set<number>();
    for (;;) {
      const open = Array.from({ length: bad - good - 1 }, (_, index) => good + 1 + index).filter((place) => !unbuilt.has(place));
      const middle = open[Math.floor(open.length / 2)];
      if (middle === undefined) return [good, bad];
      const verdict = await this.verdict(commits[middle] as Commit, open.length);
      if (verdict === undefined) unbuilt.add(middle);
      else if (verdict) bad = middle;
      else good = middle;
    }
  }
}

/**
 * Finds a commit at which a vector's outputs changed, by halving; where they changed several times, one of those commits.
 * @throws InputError when nothing differs, or good does not come before bad
 */
export async function bisect(choice: BisectChoice, onCommit: (commit: Commit, left: number) => void = () => {}): Promise<BisectResult> {
  const { root } = choice;
  const [good, bad] = [commitOf(choice.good, root), commitOf(choice.bad, root)];
  checkEnds(good, bad, choice);
  const commits = commitsBetween(good, bad, root);
  const search = new Search(choice, await buildOfCommit(good, root), onCommit);
  const last = commits.at(-1);
  if (last === undefined || !search.differs(await buildOfCommit(bad, root))) {
    const what = `${choice.isInner ? 'nothing' : 'no output'} of ${choice.one.name} that differs between ${choice.good} and ${choice.bad}`;
    throw new InputError({
      file: 'latchbench bisect',
      what,
      allowed: choice.isInner ? 'commits that differ' : 'commits that differ; --inner to count inner state',
    });
  }
  const [before, found] = await search.narrow(commits);
  const commit = commits[found] as Commit;
  const earlier = before < 0 ? readCommit(good, root) : (commits[before] as Commit);
  const side = async (one: Commit): Promise<ReviewSide> => ({ build: await buildOfCommit(one.hash, root), parameters: choice.parameters });
  const sides = { old: await side(earlier), new: await side(commit) };
  return {
    commit,
    before: earlier,
    unbuilt: commits.slice(before + 1, found),
    commits: commits.length,
    compared: search.compared,
    run: await reviewRun(vectorRun(choice.one, sides), traceLocator(sides)),
  };
}
