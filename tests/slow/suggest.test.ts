import { readdirSync } from 'node:fs';
import { beforeAll, describe, expect, it } from 'vitest';
import { PLANT_WASM } from '../../host/common/project.js';
import { sourcesOf } from '../../host/review/build-sources.js';
import type { Build } from '../../host/review/builds.js';
import { editsBetween } from '../../host/review/causes/edits.js';
import { interestOf } from '../../host/review/suggest/interest.js';
import { suggest } from '../../host/review/suggest/suggest.js';
import { loadPlant } from '../../host/simulate/plant.js';
import { readScenario, scenarioNames } from '../../host/simulate/scenario.js';
import { readVector, vectorNames } from '../../host/vector/vector.js';
import { copyVector, latchbench, latchbenchIn } from '../support/command.js';
import { buildPatched } from '../support/patched-controller.js';
import { PROJECT } from '../support/project.js';
import { HIDDEN_BUGS } from '../support/seeded-bugs.js';
import { temporaryFolder } from '../support/temporary-folder.js';

const folder = temporaryFolder();

describe('a search for inputs that show a bug which no vector shows', () => {
  let base: Build;
  let heads: readonly Build[];
  beforeAll(async () => {
    base = await buildPatched();
    heads = await Promise.all(HIDDEN_BUGS.map((bug) => buildPatched(bug)));
  });

  it('finds at least three of four', async () => {
    const input = {
      vectors: vectorNames(PROJECT).map((name) => readVector(PROJECT, name)),
      scenarios: scenarioNames(PROJECT).map((name) => readScenario(PROJECT, name)),
      plant: loadPlant(PLANT_WASM),
      ...{ seed: 1, rowTicks: 12_000_000 },
    };
    const from = await sourcesOf(base);
    const found: string[] = [];
    for (const [index, head] of heads.entries()) {
      const to = await sourcesOf(head);
      if (typeof from === 'string' || typeof to === 'string') throw new Error('both builds have sources');
      const interest = interestOf(editsBetween(from.sources, to.sources), from.sources, to.sources);
      if (suggest({ ...input, builds: { base, head }, interest }).subject !== undefined) found.push(HIDDEN_BUGS[index]?.file ?? '');
    }
    expect(found.length).toBeGreaterThanOrEqual(3);
  });

  it('makes a vector that compare then shows', async () => {
    const one = copyVector('relatch-at-rest', folder);
    const project = { ...PROJECT, vectors: folder };
    const words = ['compare', base.file, heads[2]?.file ?? '', one, '--suggest', '--by', 'A. Reviewer', '--reason', 'A test', '--json'];
    const { status, out, err } = await latchbenchIn(project, words);
    expect(err).toBe('');
    expect(status).toBe(1);
    const { suggestion, counts } = JSON.parse(out);
    expect(counts.same).toBe(1);
    const [made = ''] = readdirSync(folder).filter((name) => name.endsWith('-shrunk'));
    const { vector, accepts } = suggestion.found;
    expect(vector.endsWith(made)).toBe(true);
    expect(accepts).toBe('base');
    const again = JSON.parse((await latchbench('compare', base.file, heads[2]?.file ?? '', vector, '--json')).out);
    expect(again.counts.same).toBe(0);
  });
});
