import { execFileSync } from 'node:child_process';
import { closeSync, openSync } from 'node:fs';
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
  if (/not a git repository/.test(text)) {
    const hint = 'Run `git init` and commit, or compare binaries (….wasm) and . only';
    return new InputError({ file: root, problem: 'it is not in a git repository, and commits are read from one', hint });
  }
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
    hint: shallowHint(root) ?? emptyHint(root) ?? hint,
  });
}

/** What to do where nothing has been committed yet. */
const emptyHint = (root: string): string | undefined =>
  ask(root, ['rev-parse', '--verify', '--quiet', 'HEAD']) === undefined
    ? 'The branch has no commit yet: make one with `git commit`'
    : undefined;

/** Ids of objects, such as `<commit>:<path>`; undefined for one that does not exist. */
export function objectIds(names: readonly string[], root: string): (string | undefined)[] {
  if (names.length === 0) return [];
  const output = run(root, ['cat-file', '--batch-check=%(objectname)'], names.map((name) => `${name}\n`).join(''));
  const lines = output.toString('utf8').trimEnd().split('\n');
  return lines.map((line) => (/^[0-9a-f]{40,64}$/.test(line) ? line : undefined));
}

/** Ids that files of the working tree would have in a commit. */
export function fileIds(paths: readonly string[], root: string): string[] {
  if (paths.length === 0) return [];
  const output = run(root, ['hash-object', '--no-filters', '--stdin-paths'], paths.map((path) => `${path}\n`).join(''));
  return output.toString('utf8').trimEnd().split('\n');
}

/** A project's folder from the top of its repository: empty, or with a slash at its end. Outside a repository it is empty too. */
export function folderInRepository(root: string): string {
  try {
    return git(root, 'rev-parse', '--show-prefix');
  } catch (error) {
    if (error instanceof InputError) return '';
    throw error;
  }
}

/** A project is where these are. */
const [PROJECT_SETTINGS, PROJECT_ENTRY] = ['asconfig.json', 'assembly/controller/index.ts'] as const;

/**
 * The project's folder in each commit, from the top of the repository: empty, or with a slash at its end. It may have been moved since:
 * where a commit does not have the folder, it is the only other one that looks like the project.
 */
export function projectFolders(commits: readonly string[], root: string): string[] {
  const own = git(root, 'rev-parse', '--show-prefix');
  const folders = new Map<string, string>();
  const place = (folder: string): void => {
    const open = commits.filter((commit) => !folders.has(commit));
    const ids = objectIds(
      open.map((commit) => `${commit}:${folder}${PROJECT_SETTINGS}`),
      root,
    );
    for (const [index, commit] of open.entries()) if (ids[index] !== undefined) folders.set(commit, folder);
  };
  place(own);
  for (let commit = commits.find((one) => !folders.has(one)); commit !== undefined; commit = commits.find((one) => !folders.has(one))) {
    const other = otherFolder(commit, root);
    if (other !== undefined) place(other);
    if (!folders.has(commit)) folders.set(commit, own);
  }
  return commits.map((commit) => folders.get(commit) ?? own);
}

/** The only folder in a commit that looks like the project. */
function otherFolder(commit: string, root: string): string | undefined {
  const paths = new Set(git(root, 'ls-tree', '-r', '-z', '--name-only', '--full-tree', commit).split('\0'));
  const folders = [...paths]
    .filter((path) => path === PROJECT_ENTRY || path.endsWith(`/${PROJECT_ENTRY}`))
    .map((path) => path.slice(0, -PROJECT_ENTRY.length))
    .filter((folder) => paths.has(`${folder}${PROJECT_SETTINGS}`));
  return folders.length === 1 ? folders[0] : undefined;
}

/** The sources of a controller have 600 kB. */
const FILES_BYTES_MAX = 16 << 20;

/** A file that is stored in a commit. */
export interface StoredFile {
  /** From the project's folder. */
  readonly path: string;
  readonly id: string;
  readonly bytes: number;
}

/** The files below the project's folder in a commit. */
export function listFiles(commit: string, root: string): StoredFile[] {
  const [folder = ''] = projectFolders([commit], root);
  const output = ask(root, ['ls-tree', '-r', '-z', '--long', '--full-tree', `${commit}:${folder}`]);
  return (output?.toString('utf8') ?? '').split('\0').flatMap((line) => {
    const [, type, id, size, path] = /^\d+ (\w+) ([0-9a-f]+) +(\d+|-)\t(.+)$/s.exec(line) ?? [];
    return type === 'blob' && id !== undefined && path !== undefined ? [{ id, path, bytes: Number(size) }] : [];
  });
}

/** Contents of stored files, as they are stored: path → bytes. Reads objects only; neither index nor working tree is touched. */
export function readStored(files: readonly StoredFile[], root: string): Map<string, Buffer> {
  const output = files.length === 0 ? Buffer.alloc(0) : run(root, ['cat-file', '--batch'], files.map(({ id }) => `${id}\n`).join(''));
  const contents = new Map<string, Buffer>();
  let at = 0;
  for (const { path } of files) {
    // "<id> blob <size>", the bytes, and a line feed.
    const start = output.indexOf('\n', at) + 1;
    const size = Number(output.toString('latin1', at, start).split(' ')[2]);
    contents.set(path, output.subarray(start, start + size));
    at = start + size + 1;
  }
  return contents;
}

/** Writes the content of an object to a file, however large it is. @throws InputError with git's own reason */
export function writeStored(id: string, file: string, root: string): void {
  const target = openSync(file, 'wx');
  try {
    const env = { ...process.env, ...ENVIRONMENT };
    execFileSync('git', [...WORDS, 'cat-file', 'blob', id], { cwd: root, env, stdio: ['ignore', target, 'pipe'] });
  } catch (error) {
    throw gitError(root, error);
  } finally {
    closeSync(target);
  }
}

/** Files of the project in a commit, by their paths from its folder. @throws InputError if they are too large */
export function readFiles(commit: string, isIncluded: (path: string) => boolean, root: string): Map<string, Buffer> {
  const listed = listFiles(commit, root).filter(({ path }) => isIncluded(path));
  const bytes = listed.reduce((sum, file) => sum + file.bytes, 0);
  if (bytes > FILES_BYTES_MAX)
    throw new InputError({ file: root, problem: `its sources have ${bytes} bytes; at most ${FILES_BYTES_MAX} are allowed` });
  return readStored(listed, root);
}

/** What a controller's binary depends on; commits that have all of it in common have the same binary. */
const BUILD_PATHS = [
  'assembly/controller',
  'shared',
  'host/contract/generated/contract.json',
  'contract/contract.json',
  'asconfig.json',
  'package.json',
] as const;

/** For each commit a text that is the same for commits with the same binary. */
export function buildKeys(commits: readonly string[], root: string): string[] {
  const folders = projectFolders(commits, root);
  const names = commits.flatMap((commit, index) => BUILD_PATHS.map((path) => `${commit}:${folders[index]}${path}`));
  const ids = objectIds(names, root);
  return commits.map((_, index) => ids.slice(index * BUILD_PATHS.length, (index + 1) * BUILD_PATHS.length).join(' '));
}

export interface Commit {
  readonly hash: string;
  /** YYYY-MM-DD. */
  readonly date: string;
  readonly author: string;
  readonly committer: string;
  readonly subject: string;
}

/** The commits that `git log` lists with these words, without its paths. */
export function logOf(root: string, ...words: readonly string[]): Commit[] {
  return git(root, 'log', '--format=%H%x00%cs%x00%an%x00%cn%x00%s', ...words)
    .split('\n')
    .flatMap((line) => {
      const [hash = '', date = '', author = '', committer = '', subject = ''] = line.split('\0');
      return hash === '' ? [] : [{ hash, date, author, committer, subject }];
    });
}

/** Commits by their hashes, in the same order. */
export function readCommits(hashes: readonly string[], root: string): Commit[] {
  if (hashes.length === 0) return [];
  const found = new Map(logOf(root, '--no-walk=unsorted', ...hashes, '--').map((commit) => [commit.hash, commit]));
  return hashes.flatMap((hash) => found.get(hash) ?? []);
}

/** A commit on a way through the history. */
export interface Step {
  readonly commit: string;
  readonly parents: readonly string[];
  /** Its parent on this way. */
  readonly parent: string;
}

/** A way from an ancestor to a commit, oldest first, along first parents where they lead there. The ancestor itself is not listed. */
export function wayBetween(ancestor: string, commit: string, root: string): Step[] {
  const lines = git(root, 'rev-list', '--ancestry-path', '--parents', `${ancestor}..${commit}`).split('\n');
  const parentsOf = new Map(lines.map((line) => line.split(' ')).map(([hash = '', ...parents]) => [hash, parents]));
  const way: Step[] = [];
  for (let at = commit; at !== ancestor; ) {
    const parents = parentsOf.get(at) ?? [];
    const parent = parents.find((one) => one === ancestor || parentsOf.has(one));
    if (parent === undefined) throw new Error(`no way from ${ancestor} to ${commit}`);
    way.push({ commit: at, parents, parent });
    at = parent;
  }
  return way.reverse();
}

export const isAncestor = (older: string, newer: string, root: string): boolean =>
  ask(root, ['merge-base', '--is-ancestor', older, newer]) !== undefined;

/** The last commit that two have in common; undefined if their histories have none. */
export const mergeBase = (one: string, other: string, root: string): string | undefined =>
  ask(root, ['merge-base', one, other])?.toString('utf8').trim();

/**
 * Who git would name as the committer, `Name <address>`: from the environment or its settings, and never made up from the names of user
 * and computer. Undefined if git is not set up, or not installed.
 */
export function committerOf(root: string): string | undefined {
  try {
    const [, name] = /^(.*<.*>) \d+ [+-]\d{4}$/.exec(git(root, '-c', 'user.useConfigOnly=true', 'var', 'GIT_COMMITTER_IDENT')) ?? [];
    return name;
  } catch (error) {
    if (error instanceof InputError) return undefined;
    throw error;
  }
}

/** What to do if commits are missing because the clone has only the latest ones. */
export const shallowHint = (root: string): string | undefined =>
  git(root, 'rev-parse', '--is-shallow-repository') === 'true' ? 'The clone is shallow: run `git fetch --unshallow`' : undefined;
