import { execFileSync } from 'node:child_process';
import { mkdirSync, readdirSync, renameSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, it } from 'vitest';
import { ChangeSearch, type Comparer } from '../../../host/review/change-search.js';
import { buildKeys, logOf, readFiles } from '../../../host/review/git.js';
import { temporaryFolder } from '../../support/temporary-folder.js';

/*
 * Small histories without a compiler: the outputs of a commit are the words in assembly/controller/index.ts without the comments, and a
 * commit with the word `broken` does not build.
 */

const FOLDER = 'assembly/controller';
const IDENTITY = ['-c', 'user.name=A. Tester', '-c', 'user.email=tests@example.invalid'];

class History {
  private readonly top = temporaryFolder();
  root = this.top;

  constructor() {
    mkdirSync(join(this.root, FOLDER), { recursive: true });
    writeFileSync(join(this.root, 'asconfig.json'), '{}');
    this.git('init', '--quiet', '--initial-branch=main');
  }

  git(...words: string[]): string {
    return execFileSync('git', [...IDENTITY, ...words], { cwd: this.root, encoding: 'utf8', stdio: ['ignore', 'pipe', 'ignore'] }).trim();
  }

  /** Commits a text as the controller. */
  commit(text: string, subject = text): void {
    // Two parts, far enough from each other to be merged.
    writeFileSync(join(this.root, FOLDER, 'index.ts'), text);
    this.git('add', '--all');
    this.git('commit', '--quiet', '--allow-empty', '--message', subject);
  }

  branch(name: string, at: string): void {
    this.git('checkout', '--quiet', '-b', name, at);
  }

  /** Merges a branch with the result that is given. */
  merge(other: string, text: string, subject: string): void {
    const parents = ['HEAD', other].map((name) => this.git('rev-parse', name));
    writeFileSync(join(this.root, FOLDER, 'index.ts'), text);
    this.git('add', '--all');
    const tree = this.git('write-tree');
    const commit = this.git('commit-tree', tree, ...parents.flatMap((parent) => ['-p', parent]), '-m', subject);
    this.git('reset', '--quiet', '--hard', commit);
  }

  /** Moves the project into a sub-folder of its repository. */
  moveInto(folder: string): void {
    mkdirSync(join(this.top, folder));
    for (const name of readdirSync(this.top))
      if (name !== '.git' && name !== folder) renameSync(join(this.top, name), join(this.top, folder, name));
    this.root = join(this.top, folder);
    this.git('add', '--all', '.');
    this.git('commit', '--quiet', '--all', '--message', `moved into ${folder}`);
  }

  outputsOf(commit: string): string | undefined {
    const text =
      readFiles(commit, (path) => path.startsWith(FOLDER), this.root)
        .get(`${FOLDER}/index.ts`)
        ?.toString('utf8') ?? 'broken';
    return text.includes('broken') ? undefined : text.replace(/\/\/.*/, '').trim();
  }

  /** Subjects of the changes between two commits, each after those that do not build before it. */
  async changes(from: string, to: string): Promise<string[]> {
    const compared: string[] = [];
    const comparer: Comparer = {
      same: async (one, other) => {
        const [a, b] = [this.outputsOf(one), this.outputsOf(other)];
        return a === undefined || b === undefined ? undefined : a === b;
      },
      keys: (commits) => buildKeys(commits, this.root),
      onCommit: (commit) => void compared.push(commit),
    };
    const hash = (name: string): string => this.git('rev-parse', name);
    const found = await new ChangeSearch(this.root, comparer).changes(hash(from), hash(to));
    this.compared = compared.length;
    return found.flatMap(({ unbuilt, commit }) => [...unbuilt.map(({ subject }) => `? ${subject}`), commit.subject]);
  }

  compared = 0;
}

describe('the search for a change', () => {
  let history: History;
  beforeAll(() => {
    history = new History();
  });

  /** A line of commits on its own branch. */
  const line = (name: string, ...texts: string[]): void => {
    history.git('checkout', '--quiet', '--orphan', name);
    for (const text of texts) history.commit(text);
    history.git('tag', `${name}-start`, `${name}~${texts.length - 1}`);
  };

  it('halves a long line', async () => {
    line('long', ...Array.from({ length: 16 }, (_, index) => `${index < 11 ? 'a' : 'b'} // ${index}`));
    expect(await history.changes('long-start', 'long')).toEqual(['b // 11']);
    expect(history.compared).toBeLessThanOrEqual(4);
  });

  it.each([
    ['steps over what was reverted', ['a', 'b', 'a', 'c'], ['c']],
    ['steps over what was reverted, with harmless changes between', ['a', 'b', 'b // 1', 'a // 2', 'a // 3', 'c', 'c // 4'], ['c']],
    ['lists all changes that lead to the end', ['a', 'b', 'b // 1', 'c', 'd'], ['b', 'c', 'd']],
    ['names the commits before it that do not build', ['a', 'a // 1', 'broken 1', 'broken 2', 'b'], ['? broken 1', '? broken 2', 'b']],
    ['needs no commit that does not build', ['a', 'broken 1', 'a // 1', 'b', 'broken 2', 'b // 1'], ['b']],
    ['finds nothing where the ends do the same', ['a', 'b', 'a // 1'], []],
  ])('%s', async (name, texts, expected) => {
    const branch = name.replaceAll(/\W+/g, '-');
    line(branch, ...texts);
    expect(await history.changes(`${branch}-start`, branch)).toEqual(expected);
  });

  describe('with merges', () => {
    it('names the commit on the side, and never the merge', async () => {
      line('main-1', 'a');
      history.branch('side-1', 'main-1');
      history.commit('a // side');
      history.commit('b');
      history.git('checkout', '--quiet', 'main-1');
      history.commit('a // main');
      history.merge('side-1', 'b // main', 'merge');
      history.commit('b // after');
      expect(await history.changes('main-1-start', 'main-1')).toEqual(['b']);
    });

    it('finds the change on the main line from a good commit on a side branch', async () => {
      line('main-2', 'a');
      history.branch('side-2', 'main-2');
      history.commit('a // side');
      history.git('checkout', '--quiet', 'main-2');
      history.commit('b');
      history.merge('side-2', 'b // side', 'merge');
      expect(await history.changes('side-2', 'main-2')).toEqual(['b']);
    });

    it('does not count what the good commit has changed itself', async () => {
      line('main-3', 'a');
      history.branch('side-3', 'main-3');
      history.commit('intended');
      history.git('checkout', '--quiet', 'main-3');
      history.commit('a // main');
      history.merge('side-3', 'intended // main', 'merge');
      history.commit('culprit');
      expect(await history.changes('side-3', 'main-3')).toEqual(['culprit']);
    });

    it('finds a change in a branch of a branch', async () => {
      line('main-4', 'a');
      history.branch('outer-4', 'main-4');
      history.commit('a // outer');
      history.branch('inner-4', 'outer-4');
      history.commit('b');
      history.git('checkout', '--quiet', 'outer-4');
      history.commit('a // outer 2');
      history.merge('inner-4', 'b // outer 2', 'inner merge');
      history.git('checkout', '--quiet', 'main-4');
      history.commit('a // main');
      history.merge('outer-4', 'b // all', 'outer merge');
      expect(await history.changes('main-4-start', 'main-4')).toEqual(['b']);
    });

    it('names a merge that does what neither side does', async () => {
      line('main-5', 'a');
      history.branch('side-5', 'main-5');
      history.commit('a // side');
      history.git('checkout', '--quiet', 'main-5');
      history.commit('a // main');
      history.merge('side-5', 'b', 'a merge with a mistake');
      expect(await history.changes('main-5-start', 'main-5')).toEqual(['a merge with a mistake']);
    });

    it('names a merge that drops what the good side had', async () => {
      line('main-6', 'a');
      history.branch('side-6', 'main-6');
      history.commit('b');
      history.git('checkout', '--quiet', 'main-6');
      history.commit('a // main');
      history.merge('side-6', 'a // dropped', 'a merge that drops it');
      expect(await history.changes('side-6', 'main-6')).toEqual(['a merge that drops it']);
    });

    it('says which commits of a side do not build', async () => {
      line('main-7', 'a');
      history.branch('side-7', 'main-7');
      history.commit('broken side');
      history.git('checkout', '--quiet', 'main-7');
      history.commit('a // main');
      history.merge('side-7', 'b', 'merge');
      expect(await history.changes('main-7-start', 'main-7')).toEqual(['? broken side', 'merge']);
    });
  });

  it('follows a project that was moved into a sub-folder, which changes nothing', async () => {
    const moved = new History();
    moved.commit('a');
    moved.git('tag', 'start');
    moved.commit('b');
    moved.git('mv', `${FOLDER}/index.ts`, `${FOLDER}/index.ts.old`);
    moved.git('mv', `${FOLDER}/index.ts.old`, `${FOLDER}/index.ts`);
    moved.moveInto('planter');
    moved.commit('b // later');
    expect(await moved.changes('start', 'main')).toEqual(['b']);
    const [last, , second] = logOf(moved.root, 'main').map(({ hash }) => hash);
    const paths = [last, second].map((commit) => [...readFiles(commit ?? '', () => true, moved.root).keys()]);
    expect(paths[0]).toEqual(['asconfig.json', `${FOLDER}/index.ts`]);
    expect(paths[1]).toEqual(paths[0]);
  });
});
