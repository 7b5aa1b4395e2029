import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, it } from 'vitest';
import type { BisectResult } from '../../host/review/bisect.js';
import { temporaryFolder } from '../support/command.js';
import { copyProject } from '../support/project-copy.js';

const folder = temporaryFolder();
const project = copyProject(folder, 'target-step');
const BANK = 'assembly/controller/bank.ts';
const LEARN = 'assembly/controller/learn.ts';
const PULSE = 'assembly/controller/pulse.ts';

const found = async (...words: string[]): Promise<BisectResult> =>
  JSON.parse((await project.run('bisect', 'target-step', ...words, '--json')).out) as BisectResult;
const untouched = () => [project.git('status', '--short'), project.git('worktree', 'list'), project.git('branch')];

describe('latchbench bisect', () => {
  const hashes: Record<string, string> = {};
  const commit = (name: string): void => {
    hashes[name] = project.commit(name);
  };

  beforeAll(() => {
    commit('good');
    writeFileSync(join(project.root, 'NOTES.md'), 'Words only.\n');
    commit('words');
    project.edit(PULSE, 'const absoluteKpa = pressureKpa + ATMOSPHERE_KPA;', 'const absoluteKpa = ATMOSPHERE_KPA + pressureKpa;');
    commit('harmless');
    project.edit('assembly/controller/detector.ts', 'export const LEAK_TIME_S: f32 = 20;', 'export const LEAK_TIME_S: f32 = 21;');
    commit('inner');
    project.edit(LEARN, 'const MIN_SHARE: f32 = 0.3;', 'const MIN_SHARE: f32 = 0.3x;');
    commit('broken');
    project.edit(LEARN, 'const MIN_SHARE: f32 = 0.3x;', 'const MIN_SHARE: f32 = 0.95;');
    commit('culprit');
    project.edit(BANK, 'const COLD_C: f32 = -15;', 'const COLD_C: f32 = -16;');
    commit('later');
    writeFileSync(join(project.root, 'NOTES.md'), 'More words.\n');
    commit('last words');
  });

  it('finds the commit at which outputs changed, and what it does; one beside it does not build', async () => {
    const before = untouched();
    const { commit: culprit, before: earlier, unbuilt, commits, run } = await found('--good', hashes.good ?? '', '--bad', 'HEAD');
    expect(culprit).toMatchObject({ hash: hashes.culprit, subject: 'culprit' });
    expect(earlier.hash).toBe(hashes.inner);
    expect(unbuilt.map(({ subject }) => subject)).toEqual(['broken']);
    // Of the seven, two touch no more than words.
    expect(commits).toBe(5);
    expect(run.first).toMatchObject({ signal: 'valveState[supply].gain', suspectedLine: { file: LEARN, line: 13 } });
    expect(untouched()).toEqual(before);
  });

  it('says so in words', async () => {
    const { status, out, err } = await project.run('bisect', 'target-step', '--good', hashes.good ?? '');
    expect([status, err]).toEqual([0, '']);
    expect(out).toMatch(
      new RegExp(`^${hashes.culprit?.slice(0, 10)} \\d{4}-\\d\\d-\\d\\d culprit\n  changed target-step; \\d of 5 commits compared`),
    );
    expect(out).toMatch(/or one of these changed it, which do not build:\n +[0-9a-f]{10} \d{4}-\d\d-\d\d broken\n/);
    expect(out).toMatch(/strokes \d+ → \d+: 2 added/);
  });

  it('counts inner state with --inner', async () => {
    expect((await found('--good', hashes.good ?? '', '--inner')).commit.subject).toBe('inner');
  });

  it.each([
    [
      'no output that differs',
      ['--good', 'good', '--bad', 'inner'],
      /the outputs of target-step are the same at \w+ and \w+\. Add --inner/,
    ],
    [
      'nothing that differs',
      ['--good', 'good', '--bad', 'harmless', '--inner'],
      /the outputs and state of target-step are the same at \w+ and \w+\./,
    ],
    ['good after bad', ['--good', 'later', '--bad', 'good'], /--good is .*; it must be an ancestor of --bad/],
    ['the same commit twice', ['--good', 'good', '--bad', 'good'], /--good is .*; it must be an ancestor of --bad/],
    ['a ref that there is not', ['--good', 'nowhere'], /build "nowhere"/],
  ])('refuses %s with 2', async (_, words, message) => {
    const before = untouched();
    const { status, out, err } = await project.run('bisect', 'target-step', ...words.map((word) => hashes[word] ?? word));
    expect([status, out]).toEqual([2, '']);
    expect(err).toMatch(message);
    expect(untouched()).toEqual(before);
  });

  it('passes over commits that do not have the good one, where that was merged later', async () => {
    project.git('checkout', '--quiet', '-b', 'wanted', hashes.good ?? '');
    project.edit(LEARN, 'const MIN_SHARE: f32 = 0.3;', 'const MIN_SHARE: f32 = 0.95;');
    const good = project.commit('wanted, and right');
    project.git('checkout', '--quiet', '-b', 'line', hashes.good ?? '');
    project.edit(BANK, 'const COLD_C: f32 = -15;', '// A comment.\nconst COLD_C: f32 = -15;');
    project.commit('a comment only');
    project.git('merge', '--quiet', '--no-ff', '--message', 'wanted is merged', 'wanted');
    project.edit(BANK, 'const WARM_C: f32 = 40;', 'const WARM_C: f32 = 45;');
    project.commit('the culprit');
    expect((await found('--good', good, '--bad', 'line')).commit.subject).toBe('the culprit');
  });

  it('takes a merge for one commit', async () => {
    project.git('checkout', '--quiet', '-b', 'side', hashes.good ?? '');
    project.edit(BANK, 'const WARM_C: f32 = 40;', 'const WARM_C: f32 = 45;');
    project.commit('on the side');
    project.git('checkout', '--quiet', '-b', 'trunk', hashes.inner ?? '');
    project.git('merge', '--quiet', '--no-ff', '--message', 'merged', 'side');
    expect((await found('--good', hashes.good ?? '', '--bad', 'trunk')).commit.subject).toBe('merged');
  });
});
