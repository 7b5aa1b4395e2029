import { InputError } from '../common/input-error.js';
import type { VectorCase } from '../vector/vector.js';
import { type Build, buildOfCommit } from './builds.js';
import { type Commit, commitOf, commitsBetween, isAncestor, readCommit } from './git.js';
import { traceLocator } from './locate.js';
import type { RunReview } from './review.js';
import { type ReviewSide, type Sides, vectorRun } from './review-builds.js';
import { compareOutputs, reviewRun, stopDivergence } from './review-run.js';
import { runBoth } from './run-both.js';

export interface BisectChoice {
  /** Folder of the project whose commits are searched. */
  readonly root: string;
  readonly vector: VectorCase;
  readonly good: string;
  readonly bad: string;
  /** Whether differences of probes and state count too. */
  readonly countsState: boolean;
  readonly parameters?: ReviewSide['parameters'];
}

/** The commit at which a vector's outputs changed. */
export interface BisectResult {
  /** The first commit that differs from the good one; if some do not build, one of them may be it. */
  readonly commit: Commit;
  /** The last commit before it that builds. */
  readonly before: Commit;
  /** Commits between the two, none of which builds. */
  readonly unbuilt: readonly Commit[];
  /** Number of candidate commits, and how many of them were compared. */
  readonly commits: number;
  readonly compared: number;
  /** The vector's review of the commit against the one before it. */
  readonly run: RunReview;
}

/** @throws InputError if good is not an ancestor of bad */
function checkEnds(good: string, bad: string, choice: BisectChoice): void {
  if (isAncestor(good, bad, choice.root) && good !== bad) return;
  const problem = `--good (${choice.good}) must be an ancestor of --bad (${choice.bad})`;
  throw new InputError({ file: 'latchbench bisect', problem, value: choice.good });
}

/** No binary is shown: a quick one computes the same. */
const quickBuild = (commit: string, root: string): Promise<Build> => buildOfCommit(commit, root, 'quick');

/** Finds the first commit that differs, by halving. */
class Bisection {
  compared = 0;

  constructor(
    private readonly choice: BisectChoice,
    private readonly good: Build,
    private readonly onCommit: (commit: Commit, left: number) => void,
  ) {}

  /** Whether a build differs from the good one. */
  differs(build: Build): boolean {
    const { vector, countsState, parameters } = this.choice;
    const sides: Sides = { base: { build: this.good, parameters }, head: { build, parameters } };
    const pair = vectorRun(vector, sides).start();
    const result = runBoth(pair);
    const { differences } = compareOutputs(result, pair).comparison;
    return differences > 0 || stopDivergence(result) !== undefined || (countsState && result.divergences.length > 0);
  }

  /** Whether a commit differs from the good one; undefined if it does not build. */
  private async test(commit: Commit, left: number): Promise<boolean | undefined> {
    this.onCommit(commit, left);
    try {
      const differs = this.differs(await quickBuild(commit.hash, this.choice.root));
      this.compared += 1;
      return differs;
    } catch (error) {
      if (error instanceof InputError) return undefined;
      throw error;
    }
  }

  /** Indices of the last commit known to be equal (-1: the good one) and of the first one known to differ. */
  async narrow(commits: readonly Commit[]): Promise<[good: number, bad: number]> {
    let [good, bad] = [-1, commits.length - 1];
    const unbuilt = new Set<number>();
    for (;;) {
      const open = Array.from({ length: bad - good - 1 }, (_, index) => good + 1 + index).filter((index) => !unbuilt.has(index));
      const middle = open[Math.floor(open.length / 2)];
      if (middle === undefined) return [good, bad];
      const differs = await this.test(commits[middle] as Commit, open.length);
      if (differs === undefined) unbuilt.add(middle);
      else if (differs) bad = middle;
      else good = middle;
    }
  }
}

/** @throws InputError always */
function failSame({ vector, good, bad, countsState }: BisectChoice): never {
  const what = countsState ? 'outputs and state' : 'outputs';
  throw new InputError({
    file: 'latchbench bisect',
    problem: `the ${what} of ${vector.name} are the same at ${good} and ${bad}`,
    ...(countsState ? {} : { hint: 'Add --state to compare internal state too' }),
  });
}

/**
 * Finds a commit at which a vector's outputs changed, by halving. If they changed several times, it is one of those commits.
 * @throws InputError if nothing differs, or good is not an ancestor of bad
 */
export async function bisect(choice: BisectChoice, onCommit: (commit: Commit, left: number) => void = () => {}): Promise<BisectResult> {
  const { root } = choice;
  const [good, bad] = [commitOf(choice.good, root), commitOf(choice.bad, root)];
  checkEnds(good, bad, choice);
  const commits = commitsBetween(good, bad, root);
  const bisection = new Bisection(choice, await quickBuild(good, root), onCommit);
  if (commits.length === 0 || !bisection.differs(await quickBuild(bad, root))) failSame(choice);
  const [equal, found] = await bisection.narrow(commits);
  const commit = commits[found] as Commit;
  const before = equal < 0 ? readCommit(good, root) : (commits[equal] as Commit);
  const side = async ({ hash }: Commit): Promise<ReviewSide> => ({ build: await quickBuild(hash, root), parameters: choice.parameters });
  const sides = { base: await side(before), head: await side(commit) };
  return {
    commit,
    before,
    unbuilt: commits.slice(equal + 1, found),
    commits: commits.length,
    compared: bisection.compared,
    run: await reviewRun(vectorRun(choice.vector, sides), traceLocator(sides)),
  };
}
