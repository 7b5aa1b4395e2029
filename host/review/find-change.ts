import { InputError } from '../common/input-error.js';
import type { VectorCase } from '../vector/vector.js';
import { type Build, buildOfCommit } from './builds.js';
import { type Commit, commitOf, commitsBetween, isAncestor, readCommit, shallowHint } from './git.js';
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
  /** One after it. */
  readonly to: string;
  /** Whether differences of probes and state count too. */
  readonly countsState: boolean;
  readonly parameters?: ReviewSide['parameters'];
}

/** The commit at which a vector's outputs changed. */
export interface FoundChange {
  /** The first commit whose outputs differ from those of the start; if some do not build, one of them may be it. */
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

/** @throws InputError if the start is not an ancestor of the end */
function checkEnds(from: string, to: string, choice: ChangeSearchChoice): void {
  if (isAncestor(from, to, choice.root) && from !== to) return;
  const problem = `--from (${choice.from}) must be an ancestor of --to (${choice.to})`;
  throw new InputError({ file: COMMAND, problem, value: choice.from, hint: shallowHint(choice.root) });
}

/** No binary is shown: a quick one computes the same. */
const quickBuild = (commit: string, root: string): Promise<Build> => buildOfCommit(commit, root, 'quick');

/** Finds the first commit that differs, by halving. */
class ChangeSearch {
  compared = 0;

  constructor(
    private readonly choice: ChangeSearchChoice,
    private readonly start: Build,
    private readonly onCommit: (commit: Commit, left: number) => void,
  ) {}

  /** Whether a build differs from the start. */
  differs(build: Build): boolean {
    const { vector, countsState, parameters } = this.choice;
    const sides: Sides = { base: { build: this.start, parameters }, head: { build, parameters } };
    const pair = vectorRun(vector, sides).start();
    const result = runBoth(pair);
    const { differences } = compareOutputs(result, pair).comparison;
    return differences > 0 || stopDivergence(result) !== undefined || (countsState && result.divergences.length > 0);
  }

  /** Whether a commit differs from the start; undefined if it does not build. */
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

  /** Indices of the last commit known to be equal (-1: the start) and of the first one known to differ. */
  async narrow(commits: readonly Commit[]): Promise<[equal: number, different: number]> {
    let [equal, different] = [-1, commits.length - 1];
    const unbuilt = new Set<number>();
    for (;;) {
      const open = Array.from({ length: different - equal - 1 }, (_, index) => equal + 1 + index).filter((index) => !unbuilt.has(index));
      const middle = open[Math.floor(open.length / 2)];
      if (middle === undefined) return [equal, different];
      const differs = await this.test(commits[middle] as Commit, open.length);
      if (differs === undefined) unbuilt.add(middle);
      else if (differs) different = middle;
      else equal = middle;
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

/**
 * Finds a commit at which a vector's outputs changed, by halving. If they changed several times, it is one of those commits.
 * @throws InputError if nothing differs, or the start is not an ancestor of the end
 */
export async function findChange(
  choice: ChangeSearchChoice,
  onCommit: (commit: Commit, left: number) => void = () => {},
): Promise<FoundChange> {
  const { root } = choice;
  const [from, to] = [commitOf(choice.from, root), commitOf(choice.to, root)];
  checkEnds(from, to, choice);
  const commits = commitsBetween(from, to, root);
  const search = new ChangeSearch(choice, await quickBuild(from, root), onCommit);
  if (commits.length === 0 || !search.differs(await quickBuild(to, root))) failSame(choice);
  const [equal, found] = await search.narrow(commits);
  const commit = commits[found] as Commit;
  const before = equal < 0 ? readCommit(from, root) : (commits[equal] as Commit);
  const side = async ({ hash }: Commit): Promise<ReviewSide> => ({ build: await quickBuild(hash, root), parameters: choice.parameters });
  const sides = { base: await side(before), head: await side(commit) };
  return {
    commit,
    before,
    unbuilt: commits.slice(equal + 1, found),
    commits: commits.length,
    compared: search.compared,
    run: await reviewRun(vectorRun(choice.vector, sides), traceLocator(sides)),
  };
}
