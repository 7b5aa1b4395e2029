import { execFileSync } from 'node:child_process';
import { readFileSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeAll, describe, expect, it } from 'vitest';
import { parseDocument, type YAMLSeq } from 'yaml';
import { projectAt } from '../../host/common/project.js';
import { type Acceptance, chainDigest } from '../../host/vector/acceptance.js';
import { latchbenchIn } from '../support/command.js';
import { ProjectCopy } from '../support/project-copy.js';
import { temporaryFolder } from '../support/temporary-folder.js';

const folder = temporaryFolder();
const project = new ProjectCopy(join(folder, 'project'), { vectors: ['relatch-at-rest', 'small-reservoir'] });
const CASE = 'vectors/cases/relatch-at-rest/case.yaml';
const file = project.path(CASE);
let base = '';

beforeAll(() => {
  base = project.commit('Base');
});
afterEach(() => {
  project.git('reset', '--quiet', '--hard', base);
  project.git('clean', '--quiet', '--force', '-d', 'vectors');
});

/** Changes the list of acceptances; `isChained` makes it a valid history again, as somebody who knows how can. */
function rewrite(change: (list: Acceptance[]) => Acceptance[], { isChained = true } = {}): void {
  const document = parseDocument(readFileSync(file, 'utf8'));
  const list = change((document.get('acceptances') as YAMLSeq).toJSON() as Acceptance[]);
  if (isChained)
    for (const [index, one] of list.entries()) {
      const before = list[index - 1];
      list[index] = { ...one, previous: before === undefined ? undefined : chainDigest(before) };
    }
  document.set('acceptances', document.createNode(JSON.parse(JSON.stringify(list))));
  writeFileSync(file, document.toString());
}

const added = (last: Acceptance): Acceptance => ({
  ...last,
  date: '2026-12-24',
  by: 'A. Reviewer',
  committer: 'B. Committer <b@example.invalid>',
  reason: 'A new one',
  signals: ['stateHash'],
});
const addOne = (): void => rewrite((list) => [...list, added(list.at(-1) as Acceptance)]);

const check = (...words: string[]) => project.run('accept', '--check', base, ...words);

describe('latchbench accept --check', () => {
  it('passes where nothing was accepted', async () => {
    const { status, out, err } = await check();
    expect([status, out, err]).toEqual([0, `0 vectors changed: acceptances since ${base.slice(0, 12)} were only added\n`, '']);
  });

  it('passes where something was accepted, and names who did, and the commit', async () => {
    addOne();
    expect((await check()).out).toContain('  in changes that are not committed\n');
    const commit = project.commit('Accept it');
    const { status, out } = await check();
    expect([status, out.split('\n')]).toEqual([
      0,
      [
        'relatch-at-rest accepted',
        '  accepted 2026-12-24 A. Reviewer (committer B. Committer <b@example.invalid>), stateHash: A new one',
        `  in ${commit.slice(0, 12)} by latchbench tests: Accept it`,
        `1 vector changed: acceptances since ${base.slice(0, 12)} were only added`,
        '',
      ],
    ]);
  });

  it('passes where a vector was renamed', async () => {
    renameSync(project.path('vectors/cases/small-reservoir'), project.path('vectors/cases/tiny-reservoir'));
    const { status, out } = await check();
    expect([status, out]).toEqual([0, expect.stringContaining('tiny-reservoir renamed from small-reservoir\n')]);
  });

  it.each<[string, () => void, string]>([
    [
      'an older acceptance that was rewritten, with a valid chain',
      () => rewrite(([first, ...rest]) => [{ ...(first as Acceptance), reason: 'Another' }, ...rest]),
      'problem: acceptance 1 (2026-11-25, latchbench maintainers) was rewritten: reason\n',
    ],
    [
      'a new hash folded into the last acceptance',
      () => rewrite((list) => [...list.slice(0, -1), { ...(list.at(-1) as Acceptance), hash: '0'.repeat(64) }]),
      'was rewritten: hash\n',
    ],
    [
      'acceptances without the first one',
      () => rewrite((list) => list.slice(1)),
      'problem: acceptance 1 (2026-11-25, latchbench maintainers) was removed\n',
    ],
    [
      'a broken chain',
      () => rewrite(([first, ...rest]) => [{ ...(first as Acceptance), reason: 'Another' }, ...rest], { isChained: false }),
      'problem: the acceptances before this one are not those that it was added to\n',
    ],
    [
      'outputs that nobody accepted',
      () => writeFileSync(project.path('vectors/cases/relatch-at-rest/expected.csv'), 'tick,row,signal,value\n'),
      'problem: the file has changed since',
    ],
    [
      'a vector that is gone',
      () => rmSync(project.path('vectors/cases/relatch-at-rest'), { recursive: true }),
      'relatch-at-rest removed\n',
    ],
  ])('fails at %s', async (_, change, message) => {
    change();
    const { status, out } = await check();
    expect([status, out]).toEqual([1, expect.stringContaining(message)]);
    expect(out).toContain('1 vector removed, or with acceptances or outputs that were changed in another way');
    expect(JSON.parse((await check('--json')).out)).toMatchObject({ isAddedTo: false, vectors: [{ name: 'relatch-at-rest' }] });
  });

  it('needs only the commit in a shallow clone, and says how to get it', async () => {
    addOne();
    project.commit('Accept it');
    const clone = projectAt(join(folder, 'clone'));
    const git = (...words: string[]) => execFileSync('git', words, { cwd: clone.root, stdio: 'ignore' });
    execFileSync('git', ['clone', '--quiet', '--depth', '1', `file://${project.root}`, clone.root]);
    const missing = await latchbenchIn(clone, ['accept', '--check', base]);
    expect([missing.status, missing.err]).toEqual([2, expect.stringContaining('The clone is shallow: run `git fetch --unshallow`')]);
    project.git('config', 'uploadpack.allowAnySHA1InWant', 'true');
    git('fetch', '--quiet', '--depth', '1', 'origin', base);
    const { status, out } = await latchbenchIn(clone, ['accept', '--check', base]);
    expect([status, out]).toEqual([0, expect.stringContaining('the commits that changed them are not known. The clone is shallow: run')]);
  });

  it.each([
    [['--by', 'A. Reviewer'], '--check: cannot be combined with --by: it accepts nothing'],
    [['relatch-at-rest'], '--check: it checks all vectors, and cannot be combined with names of vectors'],
  ])('refuses %s', async (words, message) => {
    const { status, err } = await check(...words);
    expect([status, err]).toEqual([2, expect.stringContaining(message)]);
  });
});
