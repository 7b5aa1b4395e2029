import { execFileSync } from 'node:child_process';
import { InputError, showValue } from '../common/input-error.js';

/** Ends with this code where it has nothing to say: there is no such commit, or one is not an ancestor of the other. */
const NO = 1;

/** Returns git's own reason: the first line of its error output that is not advice. */
const reasonOf = (stderr: string): string =>
  stderr
    .split('\n')
    .map((line) => line.replace(/^(fatal|error): /, ''))
    .find((line) => line.trim() !== '') ?? 'no reason is given';

/** Returns the error about git that failed, with its own reason, such as a repository of another owner. */
function gitError(root: string, error: unknown): InputError {
  const { code, stderr = '' } = error as NodeJS.ErrnoException & { stderr?: Buffer | string };
  if (code === 'ENOENT') {
    const hint = 'Install git, or compare binaries (….wasm) and . only';
    return new InputError({ file: 'latchbench', problem: 'git is not installed, and commits are read with it', hint });
  }
  const text = stderr.toString();
  const [, command] = /^\s*(git config --global --add safe\.directory .*)$/m.exec(text) ?? [];
  const hint = command === undefined ? undefined : `If you trust it, run \`${command}\``;
  return new InputError({ file: root, problem: `git cannot read it: ${reasonOf(text)}`, hint });
}

/**
 * A repository may come from somebody else, with its settings: git runs no program that they name. Nothing is fetched, no object is
 * replaced by another one, and no signature is checked.
 */
const WORDS = [
  '--no-pager',
  '--no-replace-objects',
  ...['core.fsmonitor=false', 'core.hooksPath=/dev/null', 'log.showSignature=false'].flatMap((one) => ['-c', one]),
];
const ENVIRONMENT = { GIT_ALLOW_PROTOCOL: 'none', GIT_NO_LAZY_FETCH: '1', GIT_OPTIONAL_LOCKS: '0', GIT_TERMINAL_PROMPT: '0' };

/** Runs git in a project's folder. Returns undefined where its answer is no. @throws InputError with git's own reason */
function ask(root: string, words: readonly string[], input?: string): Buffer | undefined {
  try {
    const env = { ...process.env, ...ENVIRONMENT };
    return execFileSync('git', [...WORDS, ...words], { cwd: root, env, input, stdio: ['pipe', 'pipe', 'pipe'], maxBuffer: 1 << 28 });
  } catch (error) {
    const { status, stderr } = error as { status?: number; stderr?: Buffer };
    if (status === NO && stderr?.length === 0) return undefined;
    throw gitError(root, error);
  }
}

function run(root: string, words: readonly string[], input?: string): Buffer {
  const output = ask(root, words, input);
  if (output === undefined) throw new InputError({ file: root, problem: `git ${words[0]} finds nothing` });
  return output;
}

/** Trimmed output of git. @throws InputError with git's own reason */
export const git = (root: string, ...words: readonly string[]): string => run(root, words).toString('utf8').trim();

/** Full hash of the commit that a name stands for. @throws InputError, with the `hint`, if there is none */
export function commitOf(ref: string, root: string, hint?: string): string {
  // A name that starts like an option must not become one of git's.
  const found = ask(root, ['rev-parse', '--verify', '--quiet', '--end-of-options', `${ref}^{commit}`]);
  if (found !== undefined) return found.toString('utf8').trim();
  throw new InputError({
    file: 'latchbench',
    problem: `there is no commit, branch or tag ${showValue(ref)}`,
    value: ref,
    hint: shallowHint(root) ?? hint,
  });
}

/** The sources of a controller have 600 kB. */
const FILES_BYTES_MAX = 16 << 20;

/**
 * Files of a commit, as they are stored: path → bytes. Reads objects only; neither index nor working tree is touched.
 * @throws InputError if they are too large
 */
export function readFiles(commit: string, isIncluded: (path: string) => boolean, root: string): Map<string, Buffer> {
  const listed = git(root, 'ls-tree', '-r', '-z', '--long', commit)
    .split('\0')
    .flatMap((line) => {
      const [, type, hash, size, path] = /^\d+ (\w+) ([0-9a-f]+) +(\d+|-)\t(.+)$/s.exec(line) ?? [];
      return type === 'blob' && hash !== undefined && path !== undefined && isIncluded(path) ? [{ hash, path, bytes: Number(size) }] : [];
    });
  const bytes = listed.reduce((sum, file) => sum + file.bytes, 0);
  if (bytes > FILES_BYTES_MAX)
    throw new InputError({ file: root, problem: `its sources have ${bytes} bytes; at most ${FILES_BYTES_MAX} are allowed` });
  const output = run(root, ['cat-file', '--batch'], listed.map(({ hash }) => `${hash}\n`).join(''));
  const files = new Map<string, Buffer>();
  let at = 0;
  for (const { path } of listed) {
    // "<hash> blob <size>", the bytes, and a line feed.
    const start = output.indexOf('\n', at) + 1;
    const size = Number(output.toString('latin1', at, start).split(' ')[2]);
    files.set(path, output.subarray(start, start + size));
    at = start + size + 1;
  }
  return files;
}

/** What a controller's binary depends on; commits that have all of it in common have the same binary. */
const BUILD_PATHS = ['assembly/controller', 'shared', 'host/contract/generated/contract.json', 'asconfig.json', 'package.json'] as const;

export interface Commit {
  readonly hash: string;
  /** YYYY-MM-DD. */
  readonly date: string;
  readonly subject: string;
}

/** A commit by its hash. */
export function readCommit(hash: string, root: string): Commit {
  const [commit] = logOf(root, hash, '-1');
  if (commit === undefined) throw new Error(`no commit ${hash}`);
  return commit;
}

/**
 * Commits after `good` up to `bad` that change what a binary depends on, oldest first. A merge counts as one commit: first parents
 * form a line in which each commit contains the one before it. Commits that do not contain `good` can't be compared with it.
 */
export const commitsBetween = (good: string, bad: string, root: string): Commit[] =>
  logOf(root, '--reverse', '--first-parent', '--ancestry-path', `${good}..${bad}`, '--', ...BUILD_PATHS);

function logOf(root: string, ...words: readonly string[]): Commit[] {
  return git(root, 'log', '--format=%H%x09%cs%x09%s', ...words)
    .split('\n')
    .flatMap((line) => {
      const [hash = '', date = '', ...subject] = line.split('\t');
      return hash === '' ? [] : [{ hash, date, subject: subject.join('\t') }];
    });
}

export const isAncestor = (older: string, newer: string, root: string): boolean =>
  ask(root, ['merge-base', '--is-ancestor', older, newer]) !== undefined;

/** What to do if commits are missing because the clone has only the latest ones. */
export const shallowHint = (root: string): string | undefined =>
  git(root, 'rev-parse', '--is-shallow-repository') === 'true' ? 'The clone is shallow: run `git fetch --unshallow`' : undefined;
