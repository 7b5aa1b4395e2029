import { execFileSync } from 'node:child_process';
import { join } from 'node:path';
import { InputError } from '../common/input-error.js';
import { ROOT } from '../common/project.js';

/** Runs git in the project's folder. @throws Error with what git says; InputError where there is no git */
export function git(...words: readonly string[]): string {
  try {
    return execFileSync('git', words, { cwd: ROOT, encoding: 'utf8', stdio: ['ignore', 'pipe', 'pipe'], maxBuffer: 1 << 26 }).trim();
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== 'ENOENT') throw error;
    throw new InputError({ file: 'git', what: 'not installed, and commits are read with it', allowed: 'git; or binaries (….wasm) and .' });
  }
}

/** Recorded passes are large, and no build needs them. */
const NOT_BUILT_FROM = 'vectors/';

/** Puts a commit's files into a folder, by way of an index of its own: the repository does not know of it. */
export function checkOut(commit: string, folder: string): void {
  const env = { ...process.env, GIT_INDEX_FILE: join(folder, '.index') };
  const run = (words: readonly string[], input?: string): string =>
    execFileSync('git', words, { cwd: ROOT, encoding: 'utf8', env, input, stdio: ['pipe', 'pipe', 'pipe'], maxBuffer: 1 << 26 });
  run(['read-tree', commit]);
  const files = run(['ls-files', '-z'])
    .split('\0')
    .filter((path) => !path.startsWith(NOT_BUILT_FROM));
  run(['checkout-index', '--force', '-z', '--stdin', `--prefix=${folder}/`], files.join('\0'));
}

/** Full hash of the commit that a word names. @throws InputError when it names none */
export function commitOf(ref: string): string {
  try {
    // A word that begins like an option is none of git's here.
    return git('rev-parse', '--verify', '--quiet', '--end-of-options', `${ref}^{commit}`);
  } catch (error) {
    if (error instanceof InputError) throw error;
    const allowed = ['a controller binary (….wasm)', 'a commit, branch or tag of this repository', '. for the sources as they are'];
    throw new InputError({ file: 'latchbench', what: 'build', value: ref, allowed });
  }
}

/** What a controller's binary is made from; two commits that have all of it in common have the same binary. */
export const BUILD_PATHS = [
  'assembly/controller',
  'shared',
  'host/contract',
  'host/build',
  'asconfig.json',
  'package.json',
  'package-lock.json',
] as const;

/** Hashes of those paths' trees and blobs in a commit; a path that it does not have is left out. */
export const buildTrees = (commit: string): string => git('ls-tree', commit, '--', ...BUILD_PATHS);

export interface Commit {
  readonly hash: string;
  /** YYYY-MM-DD. */
  readonly date: string;
  readonly subject: string;
}

/** A commit by its hash. */
export function readCommit(hash: string): Commit {
  const [commit] = logOf(hash, '-1');
  if (commit === undefined) throw new Error(`no commit ${hash}`);
  return commit;
}

/**
 * Commits after `good` up to `bad` that touch what a build is made from, oldest first. Of a merge only the merge itself counts: its
 * first parents are the one line in which each commit has what the one before it has. What does not have `good` can't be told from it.
 */
export const commitsBetween = (good: string, bad: string): Commit[] =>
  logOf('--reverse', '--first-parent', '--ancestry-path', `${good}..${bad}`, '--', ...BUILD_PATHS);

function logOf(...words: readonly string[]): Commit[] {
  return git('log', '--format=%H%x09%cs%x09%s', ...words)
    .split('\n')
    .flatMap((line) => {
      const [hash = '', date = '', ...subject] = line.split('\t');
      return hash === '' ? [] : [{ hash, date, subject: subject.join('\t') }];
    });
}

export const isAncestor = (older: string, newer: string): boolean => {
  try {
    git('merge-base', '--is-ancestor', older, newer);
    return true;
  } catch {
    return false;
  }
};
