import { existsSync, readFileSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Log } from 'sarif';
import { beforeAll, describe, expect, it } from 'vitest';
import { writeBinary } from '../../host/build/compile.js';
import { compileController, readControllerSources } from '../../host/build/controller.js';
import { failingRuns } from '../../host/cli/fail-on.js';
import type { FoundChange } from '../../host/review/find-change.js';
import type { Review } from '../../host/review/review.js';
import { ProjectCopy } from '../support/project-copy.js';
import { temporaryFolder } from '../support/temporary-folder.js';

const VECTORS = ['relatch-at-rest', 'shut-down-with-vent', 'target-step'];
/** A project in a sub-folder of a repository with more in it. */
const repository = temporaryFolder();
const project = new ProjectCopy(join(repository, 'planter'), { vectors: VECTORS });
renameSync(project.path('.git'), join(repository, '.git'));
writeFileSync(join(repository, 'README.md'), 'Several projects.\n');

const LEARN = 'assembly/controller/learn.ts';
const caseFile = (name: string): string => `vectors/cases/${name}/case.yaml`;
const compare = (...words: string[]): Promise<Review> => project.json('compare', base, '.', ...words);

let base = '';
beforeAll(() => {
  project.git('add', '--all', '..');
  base = project.commit('Base');
  // Changes strokes of target-step and relatch-at-rest.
  project.edit(LEARN, 'const MIN_SHARE: f32 = 0.3;', 'const MIN_SHARE: f32 = 0.95;');
});

describe('a change of the controller that also changes vectors', () => {
  let review: Review;
  beforeAll(async () => {
    rmSync(project.path('vectors/cases/target-step'), { recursive: true });
    writeFileSync(
      project.path(caseFile('relatch-at-rest')),
      readFileSync(project.path(caseFile('relatch-at-rest')), 'utf8').replace(/^title: .*/, 'title: Another'),
    );
    project.edit(caseFile('shut-down-with-vent'), 'deadbandMinN: 18', 'deadbandMinN: 19');
    review = await compare();
  });

  it('runs vectors that are gone or have other parameters as base has them too, and nobody has accepted that', () => {
    const runs = review.runs.map(({ name, verdict, acceptance }) => [name, verdict, acceptance]);
    expect(runs).toContainEqual(['target-step (as in base)', 'outputsDiffer', null]);
    expect(runs).toContainEqual(['relatch-at-rest', 'timingDiffers', null]);
    expect(runs.map(([name]) => name).sort()).toEqual([
      'relatch-at-rest',
      'shut-down-with-vent',
      'shut-down-with-vent (as in base)',
      'target-step (as in base)',
    ]);
  });

  it('lists what became of the vectors', () => {
    const titleOf = (text: string): string => /^title: (.*)/.exec(text)?.[1] ?? '';
    const before = titleOf(project.git('show', `${base}:./${caseFile('relatch-at-rest')}`));
    expect(review.vectors).toMatchObject([
      {
        name: 'relatch-at-rest',
        change: 'changed',
        differences: [{ what: 'title', base: before, head: 'Another' }],
        accepted: [],
        problems: [],
      },
      {
        name: 'shut-down-with-vent',
        change: 'changed',
        differences: [{ what: 'parameter', name: 'deadbandMinN', base: '18', head: '19' }],
      },
      { name: 'target-step', change: 'removed' },
    ]);
  });

  it('lists the files and lines of the change, which is not committed', () => {
    const line = project.lineOf(LEARN, 'const MIN_SHARE');
    expect(review.change).toMatchObject({ commits: [], commitCount: 0, missingCommits: 0, isUncommitted: true });
    expect(review.change?.files).toEqual([
      {
        path: LEARN,
        change: 'changed',
        addedLines: 1,
        removedLines: 1,
        lines: [
          {
            baseLine: line,
            removed: [expect.stringContaining('MIN_SHARE: f32 = 0.3;')],
            headLine: line,
            added: [expect.stringContaining('MIN_SHARE: f32 = 0.95;')],
          },
        ],
      },
    ]);
  });
});

describe('the same change with its outputs accepted', () => {
  beforeAll(async () => {
    project.git('checkout', '--quiet', base, '--', 'vectors');
    writeBinary(project.path('dist/controller.wasm'), await compileController(readControllerSources(project.root)));
    const { status, err } = await project.run('accept', ...VECTORS, '--by', 'A. Reviewer', '--reason', 'Learns less');
    expect([status, err]).toEqual([0, '']);
    project.commit('Learn less');
  });

  it('says who accepted each difference and in which commit, and fails only if asked to fail on what was accepted', async () => {
    const sarif = project.path('review.sarif');
    const { status, out } = await project.run('compare', base, '.', '--fail-on', 'unaccepted', '--json', '--sarif', sarif);
    const review = JSON.parse(out) as Review;
    expect([status, failingRuns(review, 'outputs').length]).toEqual([0, VECTORS.length]);
    const facts = { by: 'A. Reviewer', reason: 'Learns less' };
    expect(review.runs.map(({ name, acceptance }) => [name, acceptance]).sort()).toEqual(
      VECTORS.map((name) => [name, expect.objectContaining(facts)]),
    );
    expect(review.vectors).toMatchObject(VECTORS.map((name) => ({ name, change: 'accepted', accepted: [facts] })));
    expect(review.change).toMatchObject({
      commits: [{ author: 'latchbench tests', subject: 'Learn less' }],
      commitCount: 1,
      isUncommitted: false,
    });
    const [cause] = (JSON.parse(readFileSync(sarif, 'utf8')) as Log).runs[0]?.results ?? [];
    expect(cause?.locations?.[0]?.physicalLocation?.artifactLocation?.uri).toBe(`planter/${LEARN}`);
  });

  it('shrinks in the sub-folder against the commit', async () => {
    const file = project.path('small.mcap');
    const { status, err } = await project.run('shrink', 'relatch-at-rest', '--against', base, '--tries', '10', '-o', file);
    expect([status, err, existsSync(file)]).toEqual([0, '', true]);
  });

  it('is found in the sub-folder by find-change', async () => {
    const { commit } = await project.json<FoundChange>('find-change', 'relatch-at-rest', '--from', base);
    expect(commit.subject).toBe('Learn less');
  });
});
