import { CONTROLLER, type ControllerSources } from '../build/controller.js';
import type { Build } from './builds.js';
import { hunksOf } from './causes/edits.js';
import { commitOf, isAncestor, logOf, mergeBase, readFiles, shallowHint } from './git.js';
import { COMMITS_LISTED, type FileChange, type LineRange, type ReplacedLines, type SourceChange } from './review.js';

const SETTINGS = 'asconfig.json';
/** A shorter file says too little to be recognised under another name. */
const RENAME_LINES_MIN = 3;
/** Share of the lines that a renamed file keeps, as in git. */
const RENAME_SHARE_MIN = 0.5;

/** Lines without their ends; the empty one behind the last line end is none. */
function linesOf(text: string): string[] {
  const lines = text.split('\n');
  if (lines.at(-1) === '') lines.pop();
  return lines;
}

/** What differs between two texts, in whole lines. */
export function replacedLines(base: string, head: string): ReplacedLines[] {
  const textIn = (lines: readonly string[], { from, count }: LineRange): string[] => lines.slice(from - 1, from - 1 + count);
  const [before, after] = [linesOf(base), linesOf(head)];
  return hunksOf('', base, head).map((hunk) => ({
    baseLine: hunk.base.from,
    removed: textIn(before, hunk.base),
    headLine: hunk.head.from,
    added: textIn(after, hunk.head),
  }));
}

const sum = (values: readonly number[]): number => values.reduce((total, value) => total + value, 0);

function fileChange(path: string, base: string | undefined, head: string | undefined, basePath?: string): FileChange {
  const lines = replacedLines(base ?? '', head ?? '');
  const change = basePath !== undefined ? 'renamed' : base === undefined ? 'added' : head === undefined ? 'removed' : 'changed';
  const addedLines = sum(lines.map(({ added }) => added.length));
  const removedLines = sum(lines.map(({ removed }) => removed.length));
  return { path, change, basePath, addedLines, removedLines, lines };
}

/** Pairs added files with the removed ones that they resemble most: head path → base path. */
function renames(added: ReadonlyMap<string, string>, removed: ReadonlyMap<string, string>): Map<string, string> {
  const pairs = [...added].flatMap(([path, head]) => {
    const lines = new Set(linesOf(head));
    return [...removed].flatMap(([basePath, base]) => {
      const before = linesOf(base);
      if (before.length < RENAME_LINES_MIN) return [];
      const share = before.filter((line) => lines.has(line)).length / Math.max(before.length, linesOf(head).length);
      return share >= RENAME_SHARE_MIN ? [{ path, basePath, share }] : [];
    });
  });
  const found = new Map<string, string>();
  for (const { path, basePath } of pairs.sort((a, b) => b.share - a.share))
    if (!found.has(path) && ![...found.values()].includes(basePath)) found.set(path, basePath);
  return found;
}

type Files = Pick<ControllerSources, 'sources' | 'settings'>;

const filesOf = ({ sources, settings }: Files): Map<string, string> => new Map([...sources, [SETTINGS, settings]]);

/** Written from the contract, whose changes a review lists in its words. */
const isGenerated = (path: string): boolean => path.startsWith(`${CONTROLLER}/generated/`);

/** Files of the controller and its settings that differ, by path. */
export function fileChanges(base: Files, head: Files): FileChange[] {
  const [before, after] = [filesOf(base), filesOf(head)];
  const only = (files: ReadonlyMap<string, string>, others: ReadonlyMap<string, string>): Map<string, string> =>
    new Map([...files].filter(([path]) => !others.has(path) && !isGenerated(path)));
  const [added, removed] = [only(after, before), only(before, after)];
  const renamed = renames(added, removed);
  const changed = [...after].flatMap(([path, text]) => {
    const old = before.get(path);
    return old === undefined || old === text || isGenerated(path) ? [] : [fileChange(path, old, text)];
  });
  const moved = [...renamed].map(([path, basePath]) => fileChange(path, removed.get(basePath), added.get(path), basePath));
  for (const [path, basePath] of renamed) {
    added.delete(path);
    removed.delete(basePath);
  }
  const rest = [
    ...[...added].map(([path, text]) => fileChange(path, undefined, text)),
    ...[...removed].map(([path, text]) => fileChange(path, text, undefined)),
  ];
  return [...changed, ...moved, ...rest].sort((a, b) => (a.path < b.path ? -1 : 1));
}

/** The commit of a side; for the working tree the one that it is based on. Undefined for a binary, or outside a repository. */
function commitOfSide({ name, commit, from }: Build, root: string): string | undefined {
  return commit ?? (name === '.' && from !== undefined ? commitOf('HEAD', root) : undefined);
}

/** Whether sources are not those of a commit. `git status` would run the repository's filters. */
function differsFrom(commit: string, head: ControllerSources, root: string): boolean {
  const isSource = (path: string): boolean => (path.startsWith(`${CONTROLLER}/`) && path.endsWith('.ts')) || path === SETTINGS;
  const stored = readFiles(commit, isSource, root);
  const files = filesOf(head);
  return stored.size !== files.size || [...files].some(([path, text]) => stored.get(path)?.toString('utf8') !== text);
}

type CommitFacts = Omit<SourceChange, 'files'>;
const NO_COMMITS: CommitFacts = { commitCount: 0, missingCommits: 0, isUncommitted: false };

/** The commits of head that base does not have, as far as they touch the project's folder. */
function commitsOf(base: Build, head: Build, root: string): CommitFacts {
  // Two working trees, or two binaries, need no repository.
  if (base.commit === undefined && head.commit === undefined) return NO_COMMITS;
  const [from, to] = [commitOfSide(base, root), commitOfSide(head, root)];
  if (from === undefined || to === undefined) return NO_COMMITS;
  const isUncommitted = head.commit === undefined && head.from !== undefined && differsFrom(to, head.from, root);
  const isCutOff = !isAncestor(from, to, root) && mergeBase(from, to, root) === undefined;
  if (isCutOff) return { ...NO_COMMITS, isUncommitted, note: shallowHint(root) ?? 'base and head have no commit in common' };
  const commits = logOf(root, `${from}..${to}`, '--', '.').map(({ committer: _, ...commit }) => commit);
  return {
    commits: commits.slice(0, COMMITS_LISTED),
    commitCount: commits.length,
    missingCommits: logOf(root, `${to}..${from}`, '--', '.').length,
    isUncommitted,
  };
}

/** What was changed between two builds. @throws InputError if git cannot read the repository */
export function sourceChange(base: Build, head: Build, root: string): SourceChange | undefined {
  const files = base.from === undefined || head.from === undefined ? undefined : fileChanges(base.from, head.from);
  const commits = commitsOf(base, head, root);
  return files === undefined && commits === NO_COMMITS ? undefined : { ...commits, files };
}
