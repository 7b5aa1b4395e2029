import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { parse, stringify } from 'yaml';
import { describeContract } from '../../host/contract/contract.js';
import { type BuildIdentity, identifyRun, type RunIdentity } from '../../host/contract/run-identity.js';
import { openRecording } from '../../host/recording/reader.js';
import type { Review } from '../../host/review/review.js';
import { createWasmRunner } from '../../host/runner/wasm-runner.js';
import { readScenario, scenarioNames } from '../../host/simulate/scenario.js';
import { readVector, vectorNames } from '../../host/vector/vector.js';
import { PARAMETERS } from '../../shared/parameters.js';
import { controller } from '../support/bench.js';
import { latchbench } from '../support/command.js';
import { PROJECT } from '../support/project.js';
import { temporaryFolder } from '../support/temporary-folder.js';

const folder = temporaryFolder();
const { sourceHash, contract } = controller.description;

interface Named {
  readonly controller: BuildIdentity;
  readonly ranWith: RunIdentity;
  readonly runs: readonly { readonly ranWith: RunIdentity }[];
  readonly vectors: readonly { readonly name: string; readonly ranWith: RunIdentity }[];
}

const json = async (...words: string[]): Promise<Named> => JSON.parse((await latchbench(...words, '--json')).out) as Named;

/** What a controller reads in each tick once it is configured: from its memory, after the defaults were filled in. */
function inForce(rows: number, values: Readonly<Record<string, number>>): { strategy: string | undefined; changed: string[] } {
  const runner = createWasmRunner(controller, rows, values);
  const value = (name: string): number => runner.field('parameters', name).get(0);
  const changed = PARAMETERS.filter(({ name, default: byDefault }) => name !== 'strategy' && value(name) !== Math.fround(byDefault));
  return { strategy: contract.enums.Strategy?.[value('strategy')], changed: changed.map(({ name }) => name) };
}

const namesOf = ({ parameters }: RunIdentity): string[] => parameters.map(({ name }) => name);

describe('simulate of every scenario', () => {
  // A tenth of a second on one row: events and requirements are left out, machine and parameters decide what runs.
  const short = scenarioNames(PROJECT).map((name) => {
    const { machine, parameters } = parse(readFileSync(join(PROJECT.scenarios, `${name}.yaml`), 'utf8')) as Record<string, unknown>;
    const file = join(folder, `${name}.yaml`);
    writeFileSync(file, stringify({ title: name, story: 'Shortened.', rows: 1, seconds: 0.1, machine, parameters }));
    return { name, file };
  });

  it('names the strategy that runs and the parameters that differ from the defaults', async () => {
    const { runs } = await json('simulate', ...short.map(({ file }) => file));
    const named = runs.map(({ ranWith }, index) => ({ name: short[index]?.name, strategy: ranWith.strategy, changed: namesOf(ranWith) }));
    const running = short.map(({ name }) => ({ name, ...inForce(1, readScenario(PROJECT, name).parameters) }));
    expect(named).toEqual(running);
    expect(new Set(running.map(({ strategy }) => strategy))).toEqual(new Set(['threshold', 'cascade', 'predictive']));
  });

  it('names it in text too, in a table and for one run', async () => {
    const { out } = await latchbench('simulate', ...short.map(({ file }) => file));
    for (const { name } of short) {
      const { strategy } = inForce(1, readScenario(PROJECT, name).parameters);
      expect(out).toMatch(new RegExp(`^${name} +1 +${strategy} `, 'm'));
    }
    const [first] = short;
    const one = await latchbench('simulate', first?.file ?? '', '--set', 'deadbandN=55', '--seed', '7');
    expect(one.out).toMatch(/^scenario [\w-]+, machine [\w-]+, seed 7, predictive$/m);
    expect(one.out).toMatch(/^parameters that differ from the defaults: .*deadbandN 55 N/m);
    expect(one.out).toContain(`controller: working tree, source hash ${sourceHash.slice(0, 12)}\n`);
  });
});

describe('a vector', () => {
  it.each(vectorNames(PROJECT))('%s runs with the strategy and the parameters that its results name', (name) => {
    const { values } = readVector(PROJECT, name);
    const ranWith = identifyRun(contract, values);
    expect({ strategy: ranWith.strategy, changed: namesOf(ranWith) }).toEqual(inForce(1, values));
  });
});

describe('what made a result', () => {
  const file = (name: string): string => join(folder, name);
  const scenario = file('made.yaml');
  const log = file('log.mcap');
  writeFileSync(scenario, 'title: Made\nstory: Invented.\nrows: 2\nseconds: 25\nfield: { class: D }\nparameters: { deadbandN: 45 }\n');
  const WHO = ['--by', 'A. Reviewer', '--reason', 'A test'];

  it('is in a recording', async () => {
    expect((await latchbench('simulate', scenario, '--strategy', 'cascade', '-o', log)).status).toBe(0);
    const { about } = openRecording(log, describeContract());
    expect(about).toMatchObject({ strategy: 'cascade', controller: expect.stringContaining(`source hash ${sourceHash}`) });
    expect(about.parameters).toMatch(/\bdeadbandN 45\b/);
    const { out } = await latchbench('show', log);
    expect(out).toMatch(/^ {2}strategy: cascade$/m);
    expect(out).toMatch(new RegExp(`^ {2}controller: version .*, source hash ${sourceHash.slice(0, 12)}$`, 'm'));
  });

  it.each([
    ['a baseline', ['simulate', scenario, '--strategy', 'perfect'], 'perfect'],
    ['seeds', ['simulate', scenario, '--seeds', '2'], 'predictive'],
  ])('is in the JSON and the text of %s', async (_, words, strategy) => {
    const { controller: made, runs } = await json(...words);
    expect(made).toMatchObject({ name: '.', sourceHash });
    for (const { ranWith } of runs) expect(ranWith).toMatchObject({ strategy, seed: expect.any(Number) });
    expect((await latchbench(...words)).out).toMatch(
      new RegExp(`, ${strategy}( \\(baseline, never ships\\))?\nparameters .*deadbandN 45 N`),
    );
  });

  it.each([
    ['show', ['show', 'relatch-at-rest']],
    ['plot', ['plot', 'relatch-at-rest', '-o', file('plot.svg')]],
    ['accept', ['accept', 'relatch-at-rest', ...WHO, '--dry-run']],
    ['replay', ['replay', 'relatch-at-rest']],
    ['fit', ['fit', log, '--parameters', file('cascade.yaml')]],
  ])('is in the JSON and the text of %s', async (_, words) => {
    writeFileSync(file('cascade.yaml'), 'strategy: cascade\nnoAccelPressureTrend1Weight: 4\n');
    const { controller: made, ranWith, vectors } = await json(...words);
    const run = ranWith ?? vectors[0]?.ranWith;
    expect(run.strategy).toBe('cascade');
    expect(namesOf(run)).toContain(words[0] === 'fit' ? 'noAccelPressureTrend1Weight' : 'relatchS');
    expect(made).toMatchObject({ name: '.', sourceHash, contractHash: contract.hash });
    const { out } = await latchbench(...words);
    expect(out).toMatch(/cascade; parameters that differ from the defaults: \w+ \d/);
    expect(out).toContain(`source hash ${sourceHash.slice(0, 12)}`);
  });

  it('is in the JSON and the text of compare, for both sides', async () => {
    const words = ['compare', '.', '.', 'relatch-at-rest'];
    const { base, head, runs } = JSON.parse((await latchbench(...words, '--json')).out) as Review;
    expect([base.sourceHash, head.sourceHash]).toEqual([sourceHash, sourceHash]);
    for (const side of [runs[0]?.ranWith.base, runs[0]?.ranWith.head])
      expect(side).toMatchObject({
        strategy: 'cascade',
        parameters: expect.arrayContaining([expect.objectContaining({ name: 'relatchS' })]),
      });
    const { out } = await latchbench(...words);
    expect(out).toContain(`source hash ${sourceHash.slice(0, 12)} → ${sourceHash.slice(0, 12)}\n`);
    expect(out).toMatch(/^cascade, .*relatchS 1 s$/m);
  });

  it('is in the JSON, the text and the picture of a contest', async () => {
    const picture = file('contest.svg');
    mkdirSync(folder, { recursive: true });
    const words = ['contest', scenario, '--strategies', 'threshold,predictive', '--parameters', `wide=${file('wide.yaml')}`];
    writeFileSync(file('wide.yaml'), 'deadbandN: 80\nstrategy: cascade\n');
    const { out } = await latchbench(...words, '--seeds', '1', '--scales', '1', '-o', picture);
    expect(out).toMatch(/^threshold, deadbandN 45 N$/m);
    expect(out).toMatch(/^wide: cascade, deadbandN 80 N$/m);
    expect(out).toContain(`source hash ${sourceHash.slice(0, 12)}`);
    expect(readFileSync(picture, 'utf8')).toContain('<desc>threshold, predictive, wide: cascade.');
  });
});
