import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, it } from 'vitest';
import type { FoundChange } from '../../host/review/find-change.js';
import { ProjectCopy } from '../support/project-copy.js';
import { temporaryFolder } from '../support/temporary-folder.js';

const folder = temporaryFolder();
const project = new ProjectCopy(join(folder, 'project'), { vectors: ['target-step'] });
const BANK = 'assembly/controller/bank.ts';
const LEARN = 'assembly/controller/learn.ts';
const PULSE = 'assembly/controller/pulse.ts';

const found = (...words: string[]): Promise<FoundChange> => project.json('find-change', 'target-step', ...words);

describe('latchbench find-change', () => {
  const hashes: Record<string, string> = {};
  const commit = (name: string): void => {
    hashes[name] = project.commit(name);
  };

  beforeAll(() => {
    commit('start');
    writeFileSync(project.path('NOTES.md'), 'A note.\n');
    commit('note');
    project.edit(PULSE, 'const absoluteKpa = pressureKpa + ATMOSPHERE_KPA;', 'const absoluteKpa = ATMOSPHERE_KPA + pressureKpa;');
    commit('harmless');
    project.edit('assembly/controller/detector.ts', 'export const LEAK_TIME_S: f32 = 20;', 'export const LEAK_TIME_S: f32 = 21;');
    commit('inner');
    project.edit(LEARN, 'const LEARN_SPAN: f32 = 20;', 'const LEARN_SPAN: f32 = 20x;');
    commit('broken');
    project.edit(LEARN, 'const LEARN_SPAN: f32 = 20x;', 'const LEARN_SPAN: f32 = 0.5;');
    commit('culprit');
    project.edit(BANK, 'const COLD_C: f32 = -15;', 'const COLD_C: f32 = -16;');
    commit('later');
    writeFileSync(project.path('NOTES.md'), 'Another note.\n');
    commit('another note');
  });

  it('finds the commit at which outputs changed, and its effect; the one before it does not build', async () => {
    const before = project.gitState();
    const { commit: culprit, before: earlier, unbuilt, commits, run } = await found('--from', hashes.start ?? '', '--to', 'HEAD');
    expect(culprit).toMatchObject({ hash: hashes.culprit, subject: 'culprit' });
    expect(earlier.hash).toBe(hashes.inner);
    expect(unbuilt.map(({ subject }) => subject)).toEqual(['broken']);
    // Of the seven, two change only notes.
    expect(commits).toBe(5);
    expect(run.first).toMatchObject({
      signal: 'valveState[supply].gain',
      suspectedLine: { file: LEARN, line: project.lineOf(LEARN, 'const LEARN_SPAN: f32 = 0.5;') },
    });
    expect(project.gitState()).toEqual(before);
  });

  it('prints the same as text', async () => {
    const { status, out, err } = await project.run('find-change', 'target-step', '--from', hashes.start ?? '');
    expect([status, err]).toEqual([0, '']);
    expect(out).toMatch(
      new RegExp(`^${hashes.culprit?.slice(0, 12)} \\d{4}-\\d\\d-\\d\\d culprit\n  changed target-step; \\d of 5 commits compared`),
    );
    expect(out).toMatch(/or one of these changed it, which do not build:\n +[0-9a-f]{12} \d{4}-\d\d-\d\d broken\n/);
    expect(out).toMatch(/strokes \d+ → \d+: \d+ added/);
  });

  it('counts inner state with --state', async () => {
    expect((await found('--from', hashes.start ?? '', '--state')).commit.subject).toBe('inner');
  });

  it.each([
    [
      'no output that differs',
      ['--from', 'start', '--to', 'inner'],
      /the outputs of target-step are the same at \w+ and \w+\. Add --state to compare internal state too\./,
    ],
    [
      'nothing that differs',
      ['--from', 'start', '--to', 'harmless', '--state'],
      /the outputs and state of target-step are the same at \w+ and \w+\./,
    ],
    ['a start after the end', ['--from', 'later', '--to', 'start'], /--from \(\w+\) and --to \(\w+\) are in the wrong order\. Swap them/],
    ['the same commit twice', ['--from', 'start', '--to', 'start'], /--from \(\w+\) and --to \(\w+\) are the same commit/],
    ['a ref that does not exist', ['--from', 'nowhere'], /no commit, branch or tag "nowhere"/],
  ])('refuses %s with 2', async (_, words, message) => {
    const before = project.gitState();
    const { status, out, err } = await project.run('find-change', 'target-step', ...words.map((word) => hashes[word] ?? word));
    expect([status, out]).toEqual([2, '']);
    expect(err).toMatch(message);
    expect(project.gitState()).toEqual(before);
  });

  it('skips commits that do not contain the start, which was merged later', async () => {
    project.git('checkout', '--quiet', '-b', 'intended', hashes.start ?? '');
    project.edit(LEARN, 'const LEARN_SPAN: f32 = 20;', 'const LEARN_SPAN: f32 = 0.5;');
    const start = project.commit('intended change');
    project.git('checkout', '--quiet', '-b', 'line', hashes.start ?? '');
    project.edit(BANK, 'const COLD_C: f32 = -15;', '// A comment.\nconst COLD_C: f32 = -15;');
    project.commit('a comment only');
    project.git('merge', '--quiet', '--no-ff', '--message', 'merge the intended change', 'intended');
    project.edit(BANK, 'const WARM_C: f32 = 40;', 'const WARM_C: f32 = 45;');
    project.commit('the culprit');
    expect((await found('--from', start, '--to', 'line')).commit.subject).toBe('the culprit');
  });

  it('names the commit that a merge brings in, and never the merge', async () => {
    project.git('checkout', '--quiet', '-b', 'side', hashes.start ?? '');
    project.edit(BANK, 'const WARM_C: f32 = 40;', 'const WARM_C: f32 = 45;');
    project.commit('on the side');
    project.git('checkout', '--quiet', '-b', 'trunk', hashes.inner ?? '');
    project.git('merge', '--quiet', '--no-ff', '--message', 'merged', 'side');
    expect((await found('--from', hashes.start ?? '', '--to', 'trunk')).commit.subject).toBe('on the side');
    // The good commit is on the other branch.
    const { commit: culprit, diverged } = await found('--from', hashes.inner ?? '', '--to', 'side');
    expect([culprit.subject, diverged]).toEqual(['on the side', { at: expect.objectContaining({ subject: 'start' }), side: 'to' }]);
  });
});
