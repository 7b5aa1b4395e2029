import { join, relative, sep } from 'node:path';
import { InputError } from '../common/input-error.js';
import type { Project } from '../common/project.js';
import { type Contract, describeContract } from '../contract/contract.js';
import { contractOfCommit } from './commit-build.js';
import { type Commit, commitOf, fileIds, logOf, mergeBase, objectIds, projectFolders, readCommits, shallowHint } from './git.js';
import type { VectorChange } from './review.js';
import { commitVectors, workingTreeVectors } from './side-vectors.js';
import { vectorChanges } from './vector-changes.js';

/** A vector whose acceptances are not as they were. */
export interface CheckedVector extends VectorChange {
  /** Commits since then that changed its case.yaml, newest first. */
  readonly commits: readonly Commit[];
  /** Whether its case.yaml is not committed as it is. */
  readonly isUncommitted: boolean;
}

/** What was accepted since a commit. */
export interface AcceptanceCheck {
  readonly since: Commit;
  /** Whether acceptances were only added, and no vector was removed. */
  readonly isAddedTo: boolean;
  readonly vectors: readonly CheckedVector[];
  /** Why the commits of the vectors are not known, if they are not. */
  readonly note?: string | undefined;
}

/** The contract of a commit, as far as it states one that can be read; otherwise ours. */
function contractAt(commit: string, root: string): Contract {
  try {
    return contractOfCommit(commit, root);
  } catch (error) {
    if (error instanceof InputError) return describeContract();
    throw error;
  }
}

/** The commits that changed the case.yaml of a vector, under both of its names. */
function commitsOf({ vectors, root }: Project, since: string, { name, baseName }: VectorChange): Commit[] {
  const paths = [name, ...(baseName === undefined ? [] : [baseName])].map((one) => join(vectors, one, 'case.yaml'));
  return logOf(root, `${since}..HEAD`, '--', ...paths.map((path) => `:(literal)${relative(root, path).split(sep).join('/')}`));
}

/** Whether a vector's case.yaml is another one than in the last commit. */
function isUncommitted({ vectors, root }: Project, head: string, { name, change }: VectorChange): boolean {
  const path = join(vectors, name, 'case.yaml');
  const [folder = ''] = projectFolders([head], root);
  const [stored] = objectIds([`${head}:${folder}${relative(root, path).split(sep).join('/')}`], root);
  return change === 'removed' ? stored !== undefined : fileIds([path], root)[0] !== stored;
}

/**
 * What was accepted in the working tree since a commit, and whether the history of each vector was only added to.
 * @throws InputError if there is no such commit
 */
export function checkAcceptances(project: Project, ref: string): AcceptanceCheck {
  const { root } = project;
  const [since, head] = [commitOf(ref, root), commitOf('HEAD', root)];
  const isKnown = mergeBase(since, head, root) !== undefined;
  const base = commitVectors(since, project, contractAt(since, root));
  try {
    const changes = vectorChanges({ base, head: workingTreeVectors(project, describeContract()) });
    const vectors = changes
      .filter(({ change, accepted, problems }) => change !== 'changed' || accepted.length + problems.length > 0)
      .map((one) => ({ ...one, commits: isKnown ? commitsOf(project, since, one) : [], isUncommitted: isUncommitted(project, head, one) }));
    const [commit] = readCommits([since], root);
    if (commit === undefined) throw new Error(`no commit ${since}`);
    const isAddedTo = vectors.every(({ change, problems }) => change !== 'removed' && problems.length === 0);
    const note = isKnown ? {} : { note: shallowHint(root) ?? 'The two have no commit in common' };
    return { since: commit, isAddedTo, vectors, ...note };
  } finally {
    base.close();
  }
}
