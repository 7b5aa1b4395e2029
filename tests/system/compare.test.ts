import { readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, it } from 'vitest';
import { writeBinary } from '../../host/build/compile.js';
import { compileController, readControllerSources } from '../../host/build/controller.js';
import { findBuild } from '../../host/review/builds.js';
import type { Divergence, Review } from '../../host/review/review.js';
import { spawnLatchbench } from '../support/command.js';
import { PROJECT } from '../support/project.js';
import { ProjectCopy } from '../support/project-copy.js';
import { temporaryFolder } from '../support/temporary-folder.js';

const folder = temporaryFolder();
const project = new ProjectCopy(join(folder, 'project'), { vectors: ['target-step', 'relatch-at-rest'], withHost: true });
const here = project.path;
const json = (...words: string[]): Promise<Review> => project.json(...words);

const BANK = 'assembly/controller/bank.ts';
const LEARN = 'assembly/controller/learn.ts';
/** Changes strokes of both vectors. */
const CHANGED = 'const MIN_SHARE: f32 = 0.95;';

/** What `npm run build:controller` does. */
const buildController = async (): Promise<void> =>
  writeBinary(here('dist/controller.wasm'), await compileController(readControllerSources(project.root)));

let first = '';
beforeAll(() => {
  first = project.commit('The first');
});

describe('latchbench compare', () => {
  it('finds no difference between a commit and an unchanged working tree, and compiles them once', async () => {
    const before = project.gitState();
    const { status, out, err } = await project.run('compare', 'HEAD', '.');
    expect([status, err]).toEqual([0, '']);
    expect(out).toMatch(/^target-step +4 +9\.0 +cascade +same$/m);
    expect(out).toMatch(/\n2 runs: 2 same\n$/);
    const files = await Promise.all(
      ['HEAD', first.slice(0, 12), 'main', '.'].map(async (name) => (await findBuild(name, project.root)).file),
    );
    expect(new Set(files).size).toBe(1);
    expect(project.gitState()).toEqual(before);
  });

  describe('after the change of a constant', () => {
    let review: Review;
    let line: number;
    beforeAll(async () => {
      project.edit(LEARN, 'const MIN_SHARE: f32 = 0.3;', CHANGED);
      line = project.lineOf(LEARN, CHANGED);
      review = await json('compare', 'HEAD', '.');
    });

    it('prints what the README shows', async () => {
      const readme = readFileSync(join(PROJECT.root, 'README.md'), 'utf8');
      const [, shown = ''] = /compare HEAD \. target-step` prints:\n\n```\n([\s\S]*?)\n```/.exec(readme) ?? [];
      const { status, out } = await project.run('compare', 'HEAD', '.', 'target-step');
      expect(status).toBe(1);
      expect(out.split('\n').slice(3).join('\n').trimEnd()).toBe(shown);
    });

    it('prints the same as one JSON document, worst run first, with commit and hashes', () => {
      expect(review.counts).toEqual({ same: 0, stateDiffers: 0, timingDiffers: 1, outputsDiffer: 1, stopped: 0, refused: 0 });
      expect(review.runs.map(({ name, verdict }) => [name, verdict])).toEqual([
        ['target-step', 'outputsDiffer'],
        ['relatch-at-rest', 'timingDiffers'],
      ]);
      expect(review.base).toMatchObject({ name: 'HEAD', commit: first });
      expect(review.head.sourceHash).not.toBe(review.base.sourceHash);
      expect(review.runs[0]?.first?.suspectedLine).toMatchObject({ file: LEARN, line, text: CHANGED });
    });

    it('writes a page, JUnit and SARIF that agree with it', async () => {
      const [html, junit, sarif] = [here('review.html'), here('review.xml'), here('review.sarif')];
      const { status } = await project.run('compare', 'HEAD', '.', 'target-step', '--html', html, '--junit', junit, '--sarif', sarif);
      expect(status).toBe(1);
      expect(readFileSync(html, 'utf8')).toContain(CHANGED);
      expect(readFileSync(junit, 'utf8')).toMatch(
        /<testsuite name="latchbench compare" tests="1" failures="1" errors="0">[\s\S]*<failure message="outputs differ; tick 432 /,
      );
      const log = JSON.parse(readFileSync(sarif, 'utf8'));
      expect(log.version).toBe('2.1.0');
      const [run] = log.runs;
      const [result, ...others] = run.results;
      expect(others).toEqual([]);
      // SARIF 2.1.0, §3.27.6: ruleIndex is the place of the rule that ruleId names. §3.30.5: lines and columns from 1. §3.4.4: relative.
      expect(run.tool.driver.rules[result.ruleIndex].id).toBe(result.ruleId);
      const { artifactLocation, region } = result.locations[0].physicalLocation;
      expect([artifactLocation.uri, region.startLine, region.startColumn]).toEqual([LEARN, line, 1]);
      expect(run.originalUriBaseIds).toHaveProperty(artifactLocation.uriBaseId);
      expect(result.level).toBe('warning');
    });

    it('runs scenarios in a closed loop, with metrics of the machine', async () => {
      const [run] = (await json('compare', 'HEAD', '.', '--scenario', 'target-step', '--seed', '7')).runs;
      expect(run).toMatchObject({ name: 'target-step', kind: 'scenario', seed: 7, verdict: 'outputsDiffer' });
      expect(run?.metrics.map(({ name }) => name)).toEqual(expect.arrayContaining(['loadRmsN', 'oilLpm', 'coilTotalW']));
      expect(run?.first?.suspectedLine?.file).toBe(LEARN);
      expect((await json('compare', '.', '.', '--scenario', 'target-step')).counts.same).toBe(1);
    });

    describe('with a binary', () => {
      beforeAll(buildController);

      it('reads its sources from its map', async () => {
        const { out } = await project.run('compare', 'HEAD', 'dist/controller.wasm', 'target-step');
        expect(out).toContain(`${LEARN}:${line}`);
      });

      it('names no line without its map', async () => {
        writeFileSync(here('alone.wasm'), readFileSync(here('dist/controller.wasm')));
        const alone = (await json('compare', 'HEAD', 'alone.wasm', 'target-step')).runs[0]?.first;
        expect(alone).toMatchObject({
          tick: 432,
          signal: 'valveState[supply].gain',
          reason: expect.stringContaining('the sources of alone.wasm are missing'),
        });
        expect(alone?.suspectedLine).toBeUndefined();
      });

      const useMap = async (map: string): Promise<Divergence | undefined> => {
        writeFileSync(here('other.wasm'), readFileSync(here('dist/controller.wasm')));
        writeFileSync(here('other.wasm.map'), map);
        return (await json('compare', 'HEAD', 'other.wasm', 'target-step')).runs[0]?.first;
      };

      it('uses no map of another build', async () => {
        const { file } = await findBuild('HEAD', project.root);
        const found = await useMap(readFileSync(`${file}.map`, 'utf8'));
        expect(found).toMatchObject({ tick: 432, reason: expect.stringMatching(/does not belong to the binary/) });
        expect(found?.suspectedLine).toBeUndefined();
      });

      it.each([
        ['with half of its sources', (map: string) => map.replace(BANK, 'elsewhere/bank.ts'), /does not belong to the binary/],
        ['without any', () => `{"version":3,"sources":["${BANK}"]}`, /is damaged, or contains no sources/],
        ['cut off', (map: string) => map.slice(0, map.length / 2), /is damaged, or contains no sources/],
        ['that is nothing', () => 'null', /is damaged, or contains no sources/],
      ])('uses no map %s', async (_, change, reason) => {
        const map = readFileSync(here('dist/controller.wasm.map'), 'utf8');
        expect(change(map)).not.toBe(map);
        const found = await useMap(change(map));
        expect(found).toMatchObject({ tick: 432, reason: expect.stringMatching(reason) });
        expect(found?.suspectedLine).toBeUndefined();
      });
    });
  });

  it('lists parameters that a file sets on one side, and their effect', async () => {
    writeFileSync(here('wider.yaml'), 'deadbandSigmas: 3\n');
    const review = await json('compare', '.', '.', 'target-step', '--parameters', 'wider.yaml');
    expect(review.parameters).toEqual([{ name: 'deadbandSigmas', unit: 'ratio', base: '2.2', head: '3', runs: [] }]);
    expect(review.counts.outputsDiffer).toBe(1);
    const both = await json('compare', '.', '.', 'target-step', '--parameters', 'wider.yaml', '--base-parameters', 'wider.yaml');
    expect(both.counts.same).toBe(1);
  });

  it('reports where a side stops', async () => {
    project.git('checkout', '--quiet', 'assembly');
    project.edit('assembly/controller/valve-pair.ts', 'assert(valve.request !== Order.None);', 'assert(valve.request === Order.None);');
    const { status, out } = await project.run('compare', 'HEAD', '.', 'target-step');
    expect(status).toBe(1);
    expect(out).toMatch(/first difference at tick 0 \(0\.000 s\): stop running → stopped: unreachable/);
    expect(out).toContain('assert(valve.request === Order.None);');
    expect(out).toMatch(/\n1 run: 1 stopped\n$/);
    project.git('checkout', '--quiet', 'assembly');
  });

  it.each([
    [
      'does not return',
      'while (input.targetLoadN > 500) {}',
      /first difference at tick \d{3,} .*: stop running → stopped: no return within 1400000 steps/,
    ],
    [
      'calls itself without end',
      'updateNotch(bank, probe, 0, senseBank(bank, input, probe, p, c) > 0, p, c);',
      /stopped: no return within 1400000 steps, or calls nested too deeply/,
    ],
  ])('reports the tick from which a side %s', async (_, code, stop) => {
    project.edit(BANK, 'probe.targetLoadN = bank.targetLoadN;', `probe.targetLoadN = bank.targetLoadN;\n  ${code}`);
    const { status, out, err } = await project.run('compare', 'HEAD', '.', 'target-step');
    expect([status, err]).toEqual([1, '']);
    expect(out).toMatch(stop);
    expect(out).toContain(code);
    project.git('checkout', '--quiet', 'assembly');
  });

  it('refuses a working tree whose tables were edited after the program was built', async () => {
    project.edit('shared/parameters.ts', "real('deadbandMinN', 'newton', 1, 1000, 80,", "real('deadbandMinN', 'newton', 1, 1000, 90,");
    for (const builds of [
      ['HEAD', '.'],
      ['.', 'HEAD'],
    ]) {
      const { status, out, err } = await project.run('compare', ...builds, 'target-step');
      expect([status, out]).toEqual([2, '']);
      expect(err).toBe('shared: the tables were edited after this program was built. Run `npm run build`.\n');
    }
    project.git('checkout', '--quiet', 'shared');
    expect((await project.run('compare', '.', '.', 'target-step')).status).toBe(0);
  });

  it('does not overwrite a binary or map that it compares', async () => {
    await buildController();
    for (const name of ['dist/controller.wasm', 'dist/controller.wasm.map']) {
      const before = readFileSync(here(name));
      const { status, err } = await project.run('compare', 'dist/controller.wasm', '.', 'target-step', '--html', name);
      expect([status, err]).toEqual([2, expect.stringContaining('the output file is also an input')]);
      expect(readFileSync(here(name)).equals(before)).toBe(true);
    }
  });

  it('does not touch the index that git passes to a hook', () => {
    project.edit(BANK, 'const COLD_C: f32 = -15;', 'const COLD_C: f32 = -14;');
    const program = join(PROJECT.root, 'dist/host/cli/main.js');
    writeFileSync(here('.git/hooks/pre-commit'), `#!/bin/sh\n'${process.execPath}' '${program}' compare HEAD HEAD target-step\n`, {
      mode: 0o755,
    });
    project.commit('Through a hook');
    rmSync(here('.git/hooks/pre-commit'));
    expect(project.git('show', '--stat', '--format=', 'HEAD')).toContain('bank.ts');
    expect(project.git('status', '--short')).not.toContain('bank.ts');
  });

  it.each([
    ['a ref that does not exist', ['nowhere', '.'], /no commit, branch or tag "nowhere"/],
    ['a ref that looks like an option', ['-x', '.'], /-x/],
    ['a file in place of a commit', [`HEAD:${BANK}`, '.'], /no commit, branch or tag "HEAD:/],
    ['a binary that does not exist', ['none.wasm', '.'], /none\.wasm: no such file/],
    ['a file that is not a binary', ['wider.yaml.wasm', '.'], /wider\.yaml\.wasm: this is not a controller: it is not valid WebAssembly\./],
    ['one build', ['.'], /head is missing\. Name two builds/],
    ['a vector that does not exist', ['.', '.', 'no-such-thing'], /no-such-thing/],
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
    const before = project.gitState();
    const { status, out, err } = await project.run('compare', ...words);
    expect([status, out]).toEqual([2, '']);
    expect(err).toMatch(message);
    expect(project.gitState()).toEqual(before);
  });

  it('reports that git is not installed', () => {
    const { status, err } = spawnLatchbench(['compare', 'HEAD', '.', 'target-step'], { cwd: project.root, env: { PATH: folder } });
    expect([status, err]).toEqual([2, expect.stringMatching(/^latchbench: git is not installed/)]);
  });

  it("prints the compiler's messages for a commit that does not build, and leaves nothing behind", async () => {
    project.edit(BANK, 'const WARM_C: f32 = 40;', 'const WARM_C: f32 = 4x;');
    const line = project.lineOf(BANK, 'const WARM_C: f32 = 4x;');
    const broken = project.commit('Does not compile');
    project.edit(BANK, 'const WARM_C: f32 = 4x;', 'const WARM_C: f32 = 40;');
    const before = project.gitState();
    const { status, err } = await project.run('compare', broken, '.', 'target-step');
    expect(status).toBe(2);
    expect(err).toContain(`in ${BANK}(${line},22)`);
    expect(err).toContain(`commit ${broken.slice(0, 12)} does not build`);
    expect(project.gitState()).toEqual(before);
  });
});

describe('commits whose records have another layout', () => {
  let other = '';
  beforeAll(() => {
    project.git('checkout', '--quiet', '--force', '-b', 'layout', first);
    project.edit('shared/records.ts', "f32('loadRawN',", "f32('extraN', 'newton', 'One more value'),\n      f32('loadRawN',");
    project.edit('shared/records.ts', "u16('closeWaitTicks',", "u32('closeWaitTicks',");
    project.edit('shared/records.ts', "spare('u16'),\n      u8('wish'", "u8('wish'");
    project.npm('contract');
    other = project.commit('One more value, and one with more bits');
  });

  it('are the same if everything that both have is', async () => {
    const review = await json('compare', first, other);
    expect(review.counts).toEqual({ same: 2, stateDiffers: 0, timingDiffers: 0, outputsDiffer: 0, stopped: 0, refused: 0 });
    expect(review.contract).toEqual(
      expect.arrayContaining([
        { what: 'signal', name: 'RowProbe.extraN', change: 'added', head: 'f32 newton' },
        { what: 'signal', name: 'RowProbe.closeWaitTicks', change: 'changed', base: 'u16 tick', head: 'u32 tick' },
      ]),
    );
    expect(review.contract).toHaveLength(2);
  });

  it('differ in a signal, at a line', async () => {
    project.edit(BANK, 'const WARM_C: f32 = 40;', 'const WARM_C: f32 = 41;');
    const line = project.lineOf(BANK, 'const WARM_C: f32 = 41;');
    const [run] = (await json('compare', first, project.commit('Another constant'), 'target-step')).runs;
    expect(run?.first).toMatchObject({ tick: 0, row: 0, signal: 'flowRatio', base: '1', suspectedLine: { file: BANK, line } });
    const added = run?.views?.states.find(({ row }) => row > 0)?.values.find(({ signal }) => signal === 'extraN');
    expect(added).toMatchObject({ base: '–', head: '0', differs: true });
  });

  it('are refused if their generated sources or their contract is stale', async () => {
    project.edit('host/contract/generated/contract.json', '"name": "extraN"', '"name": "otherN"');
    const edited = project.commit('A contract edited by hand');
    expect((await project.run('compare', first, edited, 'target-step')).err).toMatch(
      /does not build: its contract is not valid: its content has hash/,
    );
    project.git('checkout', '--quiet', first, '--', 'host/contract/generated/contract.json');
    const stale = project.commit('The contract of the first');
    expect((await project.run('compare', first, stale, 'target-step')).err).toMatch(
      /does not build: its assembly\/controller\/generated\/\w+\.ts was not written from its host\/contract\/generated\/contract\.json/,
    );
    project.git('rm', '--quiet', 'host/contract/generated/contract.json');
    const without = project.commit('No contract');
    const { status, err } = await project.run('compare', first, without, 'target-step');
    expect([status, err]).toEqual([
      2,
      expect.stringMatching(/its tables are not those of this program, and it has no host.* Build it in its own checkout/),
    ]);
  });
});
