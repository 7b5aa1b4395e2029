import { spawnSync } from 'node:child_process';
import { existsSync, readdirSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, it } from 'vitest';
import type { Review } from '../../host/review/review.js';
import { temporaryFolder } from '../support/command.js';
import { PROJECT } from '../support/project.js';
import { copyProject } from '../support/project-copy.js';

const folder = temporaryFolder();
const project = copyProject(folder, 'target-step', 'relatch-at-rest');
const BANK = 'assembly/controller/bank.ts';

const json = async (...words: string[]): Promise<Review> => JSON.parse((await project.run(...words, '--json')).out) as Review;
/** The same, by the copy's own program. */
const jsonOf = (...words: string[]): Review => JSON.parse(project.spawn(...words, '--json').out) as Review;
const here = (name: string): string => join(project.root, name);

/** What a command may not touch. */
const untouched = () => [project.git('status', '--short'), project.git('worktree', 'list'), project.git('stash', 'list')];

/** Binaries in the cache, with the time at which each was written. */
const builds = (): string[] =>
  readdirSync(here('dist/builds'))
    .sort()
    .map((key) => `${key} ${statSync(here(`dist/builds/${key}/controller.wasm`)).mtimeMs}`);

describe('latchbench compare', () => {
  let first = '';
  beforeAll(() => {
    first = project.commit('All there is');
  });

  it('finds a commit and the sources that were made of it the same, and builds it once', async () => {
    const before = untouched();
    const { status, out, err } = await project.run('compare', 'HEAD', '.');
    expect([status, err]).toEqual([0, '']);
    expect(out).toMatch(/^target-step +4 +9\.0 +same$/m);
    expect(out).toMatch(/\n2 runs: 2 same\n$/);
    const kept = builds();
    // Commit and working tree have the same sources.
    expect(kept).toHaveLength(1);
    expect((await project.run('compare', first.slice(0, 12), 'main', 'target-step')).status).toBe(0);
    expect(builds()).toEqual(kept);
    expect(untouched()).toEqual(before);
  });

  describe('after one constant was changed', () => {
    let review: Review;
    beforeAll(async () => {
      project.edit('assembly/controller/learn.ts', 'const MIN_SHARE: f32 = 0.3;', 'const MIN_SHARE: f32 = 0.95;');
      review = await json('compare', 'HEAD', '.');
    });

    it('says just what the README shows', async () => {
      const readme = readFileSync(join(PROJECT.root, 'README.md'), 'utf8');
      const [, shown = ''] = /compare HEAD \. target-step` says:\n\n```\n([\s\S]*?)\n```/.exec(readme) ?? [];
      const { status, out } = await project.run('compare', 'HEAD', '.', 'target-step');
      expect(status).toBe(1);
      expect(out.split('\n').slice(2).join('\n').trimEnd()).toBe(shown);
    });

    it('tells the same as JSON: one document, worst first, with commit and hashes', () => {
      expect(review.counts).toEqual({ same: 0, stateDiffers: 0, outputsDiffer: 2, stopped: 0, refused: 0 });
      expect(review.runs.map(({ name, verdict }) => [name, verdict])).toEqual([
        ['target-step', 'outputsDiffer'],
        ['relatch-at-rest', 'outputsDiffer'],
      ]);
      expect(review.base).toMatchObject({ asked: 'HEAD', commit: first });
      expect(review.head.sourceHash).not.toBe(review.base.sourceHash);
      expect(review.runs[0]?.first?.suspectedLine).toMatchObject({
        file: 'assembly/controller/learn.ts',
        line: 14,
        text: 'const MIN_SHARE: f32 = 0.95;',
      });
    });

    it('writes a page, JUnit and SARIF that agree with it', async () => {
      const files = ['review.html', 'review.xml', 'review.sarif'].map(here);
      const [html = '', junit = '', sarif = ''] = files;
      expect((await project.run('compare', 'HEAD', '.', 'target-step', '--html', html, '--junit', junit, '--sarif', sarif)).status).toBe(1);
      expect(readFileSync(html, 'utf8')).toContain('const MIN_SHARE: f32 = 0.95;');
      expect(readFileSync(junit, 'utf8')).toMatch(
        /<testsuite name="latchbench compare" tests="1" failures="1" errors="0">[\s\S]*<failure message="outputs differ; tick 532 /,
      );
      const log = JSON.parse(readFileSync(sarif, 'utf8'));
      expect(log.version).toBe('2.1.0');
      const [run] = log.runs;
      const [result, ...others] = run.results;
      expect(others).toEqual([]);
      // SARIF 2.1.0, §3.27.6: ruleIndex is the place of the rule that ruleId names. §3.30.5: lines and columns from 1. §3.4.4: relative.
      expect(run.tool.driver.rules[result.ruleIndex].id).toBe(result.ruleId);
      const { artifactLocation, region } = result.locations[0].physicalLocation;
      expect([artifactLocation.uri, region.startLine, region.startColumn]).toEqual(['assembly/controller/learn.ts', 14, 1]);
      expect(run.originalUriBaseIds).toHaveProperty(artifactLocation.uriBaseId);
      expect(result.level).toBe('warning');
    });

    it('compares binaries, by name only where they lie without their maps', async () => {
      project.npm('build:controller');
      const { out } = await project.run('compare', 'HEAD', 'dist/controller.wasm', 'target-step');
      expect(out).toContain('assembly/controller/learn.ts:14');
      writeFileSync(here('alone.wasm'), readFileSync(here('dist/controller.wasm')));
      const alone = (await json('compare', 'HEAD', 'alone.wasm', 'target-step')).runs[0]?.first;
      expect(alone).toMatchObject({
        tick: 532,
        signal: 'valveState[supply].gain',
        reason: expect.stringContaining('the sources of alone.wasm are missing'),
      });
      expect(alone?.suspectedLine).toBeUndefined();
    });

    it.each([
      ['of another build', (map: string) => map.replace('MIN_SHARE: f32 = 0.95', 'MIN_SHARE: f32 = 0.5'), /does not belong to the binary/],
      [
        'with half of its sources',
        (map: string) => map.replace('assembly/controller/bank.ts', 'elsewhere/bank.ts'),
        /does not belong to the binary/,
      ],
      ['without any', () => '{"version":3,"sources":["assembly/controller/bank.ts"]}', /is damaged, or contains no sources/],
      ['cut off', (map: string) => map.slice(0, map.length / 2), /is damaged, or contains no sources/],
      ['that is nothing', () => 'null', /is damaged, or contains no sources/],
    ])('uses no map %s', async (_, change, because) => {
      project.npm('build:controller');
      writeFileSync(here('other.wasm'), readFileSync(here('dist/controller.wasm')));
      const map = readFileSync(here('dist/controller.wasm.map'), 'utf8');
      expect(change(map)).not.toBe(map);
      writeFileSync(here('other.wasm.map'), change(map));
      const first = (await json('compare', 'HEAD', 'other.wasm', 'target-step')).runs[0]?.first;
      expect(first).toMatchObject({ tick: 532, reason: expect.stringMatching(because) });
      expect(first?.suspectedLine).toBeUndefined();
    });

    it('runs scenarios in a closed loop, and tells the machine’s metrics', async () => {
      const [run] = (await json('compare', 'HEAD', '.', '--scenario', 'target-step', '--seed', '7')).runs;
      expect(run).toMatchObject({ name: 'target-step', kind: 'scenario', seed: 7, verdict: 'outputsDiffer' });
      expect(run?.metrics.map(({ name }) => name)).toEqual(expect.arrayContaining(['loadRmsN', 'oilLpm', 'coilTotalW']));
      expect(run?.first?.suspectedLine?.file).toBe('assembly/controller/learn.ts');
      expect((await json('compare', '.', '.', '--scenario', 'target-step')).counts.same).toBe(1);
    });
  });

  it('lists parameters of a file that is in force on one side, and what they do', async () => {
    writeFileSync(here('wider.yaml'), 'deadbandSigmas: 3\n');
    const review = await json('compare', '.', '.', 'target-step', '--parameters', 'wider.yaml');
    expect(review.parameters).toEqual([{ name: 'deadbandSigmas', unit: 'ratio', base: '2.2', head: '3', runs: [] }]);
    expect(review.counts.outputsDiffer).toBe(1);
    expect(
      (await json('compare', '.', '.', 'target-step', '--parameters', 'wider.yaml', '--base-parameters', 'wider.yaml')).counts.same,
    ).toBe(1);
  });

  it('says where a side stops', async () => {
    project.git('checkout', '--quiet', 'assembly');
    project.edit('assembly/controller/valve-pair.ts', 'assert(valve.request !== Order.None);', 'assert(valve.request === Order.None);');
    const { status, out } = await project.run('compare', 'HEAD', '.', 'target-step');
    expect(status).toBe(1);
    expect(out).toMatch(/first difference at tick 0 \(0\.000 s\): stop running → stopped: unreachable/);
    expect(out).toContain('assert(valve.request === Order.None);');
    expect(out).toMatch(/\n1 run: 1 stopped\n$/);
    project.git('checkout', '--quiet', 'assembly');
  });

  it('refuses sources whose tables were edited since the program was built', async () => {
    project.edit('shared/parameters.ts', "real('deadbandMinN', 'newton', 1, 1000, 80,", "real('deadbandMinN', 'newton', 1, 1000, 90,");
    for (const words of [
      ['HEAD', '.'],
      ['.', 'HEAD'],
    ]) {
      const { status, out, err } = await project.run('compare', ...words, 'target-step');
      expect([status, out]).toEqual([2, '']);
      expect(err).toBe('shared: the tables were edited after this program was built. Run `npm run build`.\n');
    }
    project.git('checkout', '--quiet', 'shared');
    expect((await project.run('compare', '.', '.', 'target-step')).status).toBe(0);
  });

  it('writes over no binary or map that it compares', async () => {
    project.npm('build:controller');
    for (const name of ['dist/controller.wasm', 'dist/controller.wasm.map']) {
      const before = readFileSync(here(name));
      const { status, err } = await project.run('compare', 'dist/controller.wasm', '.', 'target-step', '--html', name);
      expect([status, err]).toEqual([2, expect.stringContaining('the output file is also an input')]);
      expect(readFileSync(here(name)).equals(before)).toBe(true);
    }
  });

  it('leaves the index alone that git hands to a hook', () => {
    project.edit(BANK, 'const COLD_C: f32 = -15;', 'const COLD_C: f32 = -14;');
    rmSync(here('dist/builds'), { recursive: true });
    const command = `'${process.execPath}' dist/host/cli/main.js compare HEAD HEAD target-step`;
    writeFileSync(here('.git/hooks/pre-commit'), `#!/bin/sh\n${command}\n`, { mode: 0o755 });
    project.commit('Through a hook');
    rmSync(here('.git/hooks/pre-commit'));
    expect(project.git('show', '--stat', '--format=', 'HEAD')).toContain('bank.ts');
    expect(project.git('status', '--short')).not.toContain('bank.ts');
  });

  it.each([
    ['a ref that there is not', ['nowhere', '.'], /build "nowhere"/],
    ['a ref that looks like an option', ['-x', '.'], /-x/],
    ['a file in place of a commit', [`HEAD:${BANK}`, '.'], /build "HEAD:/],
    ['a binary that there is not', ['none.wasm', '.'], /none\.wasm: no such file/],
    ['a file that is no binary', ['wider.yaml.wasm', '.'], /wider\.yaml\.wasm: not a controller binary: /],
    ['one build', ['.'], /1 of 2 builds named/],
    ['a vector that there is not', ['.', '.', 'no-such-thing'], /no-such-thing/],
    [
      'one file for two results',
      ['.', '.', 'target-step', '--html', 'same.html', '--sarif', './same.html'],
      /two outputs would be written to/,
    ],
    [
      'an output that is an input',
      ['.', '.', 'target-step', '--html', 'vectors/cases/target-step/case.yaml'],
      /the output file is also an input/,
    ],
  ])('refuses %s with 2, and writes nothing', async (_, words, message) => {
    writeFileSync(here('wider.yaml.wasm'), 'deadbandSigmas: 3\n');
    const before = untouched();
    const { status, out, err } = await project.run('compare', ...words);
    expect([status, out]).toEqual([2, '']);
    expect(err).toMatch(message);
    expect(untouched()).toEqual(before);
  });

  it('says so where there is no git', () => {
    const { status, stderr } = spawnSync(process.execPath, ['dist/host/cli/main.js', 'compare', 'HEAD', '.', 'target-step'], {
      cwd: project.root,
      encoding: 'utf8',
      env: { ...process.env, PATH: folder },
    });
    expect([status, stderr]).toEqual([2, expect.stringMatching(/^latchbench: git is not installed/)]);
  });

  it('says with the compiler’s words why a commit does not build, and leaves nothing behind', async () => {
    project.edit(BANK, 'const WARM_C: f32 = 40;', 'const WARM_C: f32 = 4x;');
    const broken = project.commit('Does not compile');
    project.edit(BANK, 'const WARM_C: f32 = 4x;', 'const WARM_C: f32 = 40;');
    const kept = builds();
    const { status, err } = await project.run('compare', broken, '.', 'target-step');
    expect(status).toBe(2);
    expect(err).toContain('in assembly/controller/bank.ts(31,22)');
    expect(err).toContain(`commit ${broken.slice(0, 10)} does not build`);
    expect(builds()).toEqual(kept);
    expect(project.git('worktree', 'list').split('\n')).toHaveLength(1);
    expect(existsSync(here('dist/builds'))).toBe(true);
  });

  describe('builds whose records are laid out otherwise', () => {
    beforeAll(() => {
      project.edit('shared/records.ts', "f32('loadRawN',", "f32('extraN', 'newton', 'One more value'),\n      f32('loadRawN',");
      project.edit('shared/records.ts', "u16('openTicks', 'tick', \"How", "u32('openTicks', 'tick', \"How");
      project.edit(
        'shared/records.ts',
        "spare('u16'),\n      u8('wish'",
        "spare('u16'),\n      { ...spare('u16'), name: 'spare2' },\n      u8('wish'",
      );
      project.npm('build');
      project.commit('One value more, and one with more bits');
    });

    it('are the same where all that both have is', () => {
      const review = jsonOf('compare', 'HEAD~1', 'HEAD');
      expect(review.counts).toEqual({ same: 2, stateDiffers: 0, outputsDiffer: 0, stopped: 0, refused: 0 });
      expect(review.contract).toEqual(
        expect.arrayContaining([
          { what: 'signal', name: 'RowProbe.extraN', change: 'added', head: 'f32 newton' },
          { what: 'signal', name: 'RowProbe.openTicks', change: 'changed', base: 'u16 tick', head: 'u32 tick' },
        ]),
      );
      expect(review.contract).toHaveLength(2);
    });

    it('part in the signal, and at the line, that differ', () => {
      project.edit(BANK, 'const WARM_C: f32 = 40;', 'const WARM_C: f32 = 41;');
      const [run] = jsonOf('compare', 'HEAD~1', '.', 'target-step').runs;
      expect(run?.first).toMatchObject({ tick: 0, row: 0, signal: 'flowRatio', base: '1', suspectedLine: { file: BANK, line: 30 } });
      const added = run?.views?.states.find(({ row }) => row > 0)?.values.find(({ signal }) => signal === 'extraN');
      expect(added).toMatchObject({ base: '–', head: '0', differs: true });
      project.git('checkout', '--quiet', BANK);
    });
  });
});
