import { type Commit, mergeBase, readCommits, type Step, wayBetween } from './git.js';

/** What a search asks of the commits. */
export interface Comparer {
  /** Whether the outputs of two commits are the same; undefined if one of them cannot be run. */
  same(one: string, other: string): Promise<boolean | undefined>;
  /** For each commit a text that is the same for commits with the same binary. */
  keys(commits: readonly string[]): string[];
  /** Called before a commit is compared. @param left number of commits that may have to be compared */
  onCommit?(commit: string, left: number): void;
}

/** A place in the history at which outputs change. */
export interface OutputChange {
  /** The commit that changes them; if some before it cannot be run, it may be one of those. */
  readonly commit: Commit;
  /** The last commit before it that can be run: its outputs are others. */
  readonly before: Commit;
  /** Commits between the two, none of which can be run. */
  readonly unbuilt: readonly Commit[];
}

/** Of a history in which outputs change more often, this number of last changes is found. */
export const CHANGES_MAX = 8;

/** Finds where outputs change on the way from a commit to a later one, by halving. */
export class ChangeSearch {
  /** Number of commits with another binary than the one before on the ways that were searched, without their starts. */
  candidates = 0;

  constructor(
    private readonly root: string,
    private readonly comparer: Comparer,
  ) {}

  /**
   * The changes of outputs that lead from an ancestor's to a commit's, oldest first. What was changed and changed back in between is
   * not listed: each step back looks for the commit at which the outputs became as they are behind it.
   * @returns at most `CHANGES_MAX`, the last ones; empty if the outputs are the same
   */
  async changes(ancestor: string, commit: string): Promise<OutputChange[]> {
    if ((await this.comparer.same(ancestor, commit)) !== false) return [];
    const way = this.candidatesOf(wayBetween(ancestor, commit, this.root));
    this.candidates += way.length;
    const commits = [ancestor, ...way.map((step) => step.commit)];
    let found: OutputChange[] = [];
    for (let end = commits.length - 1; found.length < CHANGES_MAX; ) {
      const place = await this.lastOther(commits, end);
      found = [...(await this.resolve(commits, place, way[place.changed - 1] as Step)), ...found];
      end = place.other;
      if (end === 0 || (await this.comparer.same(commits[end] as string, ancestor)) !== false) break;
    }
    return found.slice(-CHANGES_MAX);
  }

  /** The steps that change a binary. */
  private candidatesOf(way: readonly Step[]): Step[] {
    const [first] = way;
    if (first === undefined) return [];
    const keys = this.comparer.keys([first.parent, ...way.map(({ commit }) => commit)]);
    return way.filter((_, index) => keys[index] !== keys[index + 1]);
  }

  /**
   * Of commits whose first and `end`th have other outputs, the last known one with other outputs than the `end`th, and the first known
   * one after it with the same. None between the two can be run.
   */
  private async lastOther(commits: readonly string[], end: number): Promise<{ other: number; changed: number }> {
    let [other, changed] = [0, end];
    const unbuilt = new Set<number>();
    for (;;) {
      const open = Array.from({ length: changed - other - 1 }, (_, index) => other + 1 + index).filter((index) => !unbuilt.has(index));
      const middle = open[Math.floor(open.length / 2)];
      if (middle === undefined) return { other, changed };
      const commit = commits[middle] as string;
      this.comparer.onCommit?.(commit, open.length);
      const isSame = await this.comparer.same(commit, commits[end] as string);
      if (isSame === undefined) unbuilt.add(middle);
      else if (isSame) changed = middle;
      else other = middle;
    }
  }

  /** A merge is not named for what it only brings in: the commits of the sides that it merges are. */
  private async resolve(
    commits: readonly string[],
    { other, changed }: { readonly other: number; readonly changed: number },
    step: Step,
  ): Promise<OutputChange[]> {
    const unbuilt = commits.slice(other + 1, changed);
    const sides: OutputChange[] = [];
    for (const side of step.parents.filter((parent) => parent !== step.parent)) {
      const found = await this.changesOfSide(step.parent, side);
      sides.push(...found.changes);
      unbuilt.push(...found.unbuilt);
    }
    const open = readCommits(unbuilt, this.root);
    const [first, ...rest] = sides;
    if (first !== undefined) return [{ ...first, unbuilt: [...open, ...first.unbuilt] }, ...rest];
    const [commit, before] = readCommits([step.commit, commits[other] as string], this.root);
    if (commit === undefined || before === undefined) throw new Error(`no commit ${step.commit}`);
    return [{ commit, before, unbuilt: open }];
  }

  /** The changes on a side since it left the way to the other parent, and its last commits if they cannot be run. */
  private async changesOfSide(parent: string, side: string): Promise<{ changes: OutputChange[]; unbuilt: string[] }> {
    const start = mergeBase(parent, side, this.root);
    const unbuilt: string[] = [];
    if (start === undefined || start === side) return { changes: [], unbuilt };
    for (const { commit } of this.candidatesOf(wayBetween(start, side, this.root)).reverse()) {
      const isSame = await this.comparer.same(start, commit);
      if (isSame !== undefined) return { changes: isSame ? [] : await this.changes(start, commit), unbuilt };
      unbuilt.unshift(commit);
    }
    return { changes: [], unbuilt };
  }
}
