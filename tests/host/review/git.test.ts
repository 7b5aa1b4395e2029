import { execFileSync } from 'node:child_process';
import { mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, describe, expect, it, vi } from 'vitest';
import { commitOf, committerOf, isAncestor } from '../../../host/review/git.js';
import { refusalOf } from '../../support/refusal.js';
import { temporaryFolder } from '../../support/temporary-folder.js';

const folder = temporaryFolder();
const root = join(folder, 'repository');
const IDENTITY = ['-c', 'user.name=A. Tester', '-c', 'user.email=tests@example.invalid'];
const git = (...words: string[]): string => execFileSync('git', [...IDENTITY, ...words], { cwd: root, encoding: 'utf8' }).trim();

mkdirSync(root);
git('init', '--quiet', '--initial-branch=main');
for (const text of ['one', 'two', 'three']) {
  writeFileSync(join(root, 'file.txt'), text);
  git('add', '--all');
  git('commit', '--quiet', '--message', text);
}
const [last, , first] = git('log', '--format=%H').split('\n') as [string, string, string];

/** git's own switch for tests: the repository looks as if another user owned it. */
const FOREIGN = 'GIT_TEST_ASSUME_DIFFERENT_OWNER';
afterEach(() => void delete process.env[FOREIGN]);

describe('git', () => {
  it('finds commits, and knows their order', () => {
    expect(commitOf('main', root)).toBe(last);
    expect([isAncestor(first, last, root), isAncestor(last, first, root)]).toEqual([true, false]);
  });

  it('finds no commit of an unknown name', () => {
    const words = 'latchbench: there is no commit, branch or tag "none". Try another.';
    expect(refusalOf(() => commitOf('none', root, 'Try another')).message).toBe(words);
  });

  it('names a committer that is set up, and makes none up', () => {
    const none = { GIT_CONFIG_GLOBAL: '/dev/null', GIT_CONFIG_SYSTEM: '/dev/null' };
    for (const [name, value] of Object.entries(none)) vi.stubEnv(name, value);
    for (const name of ['GIT_COMMITTER_NAME', 'GIT_COMMITTER_EMAIL', 'EMAIL']) vi.stubEnv(name, undefined);
    expect(committerOf(root)).toBeUndefined();
    git('config', 'user.name', 'A. Tester');
    expect(committerOf(root)).toBeUndefined();
    git('config', 'user.email', 'tests@example.invalid');
    expect(committerOf(root)).toBe('A. Tester <tests@example.invalid>');
    vi.unstubAllEnvs();
  });

  it('says that a branch has no commit yet', () => {
    const empty = join(folder, 'empty');
    git('init', '--quiet', empty);
    expect(refusalOf(() => commitOf('HEAD', empty)).message).toContain('The branch has no commit yet: make one with `git commit`.');
  });

  it('gives its reason in a folder without a repository', () => {
    const words = `${folder}: it is not in a git repository, and commits are read from one. Run \`git init\` and commit, or compare binaries (….wasm) and . only.`;
    expect(refusalOf(() => commitOf('main', folder)).message).toBe(words);
  });

  it('gives its reason, and the remedy, in a repository of another owner', () => {
    process.env[FOREIGN] = '1';
    const { message } = refusalOf(() => commitOf('main', root));
    expect(message).toMatch(/repository: git cannot read it: .*(dubious ownership|unsafe repository)/);
    expect(message).toContain(`If you trust it, run \`git config --global --add safe.directory ${root}\`.`);
  });

  it('says that a clone is shallow if a commit is missing there', () => {
    const clone = join(folder, 'clone');
    git('clone', '--quiet', '--depth', '1', `file://${root}`, clone);
    const words = `latchbench: there is no commit, branch or tag "${first}". The clone is shallow: run \`git fetch --unshallow\`.`;
    expect(refusalOf(() => commitOf(first, clone, 'Try another')).message).toBe(words);
  });
});
