import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { InputError } from '../../../host/common/input-error.js';
import { reviewJunit } from '../../../host/report/review/review-junit.js';
import { reviewPage } from '../../../host/report/review/review-page.js';
import { reviewSarif } from '../../../host/report/review/review-sarif.js';
import { reviewText } from '../../../host/report/review/review-text.js';
import { type Build, readBuild } from '../../../host/review/builds.js';
import { reviewSides } from '../../../host/review/compare.js';
import { makeSide } from '../../../host/review/drive.js';
import { locateNothing } from '../../../host/review/locate.js';
import { readVector } from '../../../host/vector/vector.js';
import { controller } from '../../support/bench.js';
import { PROJECT } from '../../support/project.js';

describe('a side of a review', () => {
  it.each([
    ['refuses a parameter', { deadbandSigmas: 99 }, 1, /^some-case: deadbandSigmas 99 — allowed: what build .* takes$/],
    ['has no room for the rows', {}, 49, /^some-case: rows 49 — allowed: 1 to 48, for which build /],
  ])('that %s says which build it is, and what it would take', (_, values, rows, message) => {
    expect(() => makeSide({ controller, values }, rows, 'some-case')).toThrow(message);
  });
});

describe('a run that a side refuses', () => {
  const build = readBuild('.', PROJECT.controllerWasm);
  const { description } = build.controller;
  // As if it had room for two rows only.
  const narrow: Build = {
    ...build,
    controller: { ...build.controller, description: { ...description, contract: { ...description.contract, rowsMax: 2 } } },
  };
  const odd = { file: join(PROJECT.root, 'package.json'), values: { deadbandSigmas: 99 } };
  const cases = ['relatch-at-rest', 'garbage-then-recovery'].map((name) => readVector(PROJECT, name));
  const review = (old: Build, fresh: Build, parameters?: typeof odd) =>
    reviewSides({ old: { build: old }, new: { build: fresh, parameters } }, { cases }, locateNothing('told so'));

  it('has that for its verdict, and the others are compared', async () => {
    const found = await review(build, narrow);
    expect(cases.map(({ rows }) => rows)).toEqual([3, 2]);
    expect(found.counts).toEqual({ same: 1, inner: 0, outputs: 0, stopped: 0, refused: 1 });
    expect(found.runs.map(({ name, verdict }) => [name, verdict])).toEqual([
      ['relatch-at-rest', 'refused'],
      ['garbage-then-recovery', 'same'],
    ]);
    expect(found.runs[0]).toMatchObject({ rows: 3, ticks: 0, refused: { old: undefined, new: 'has room for 2 of 3 rows' } });
  });

  it('so it is with parameters, on the side that refuses them', async () => {
    const { runs } = await review(build, build, odd);
    expect(runs.map(({ verdict, refused }) => [verdict, refused?.old, refused?.new])).toEqual([
      ['refused', undefined, 'refuses deadbandSigmas 99'],
      ['refused', undefined, 'refuses deadbandSigmas 99'],
    ]);
  });

  it('is told in every form', async () => {
    const found = await review(build, narrow);
    const words = 'new has room for 2 of 3 rows';
    expect(reviewText(found, 3)).toMatch(
      new RegExp(`relatch-at-rest +3 +0\\.0 +refused +${words}[^]*relatch-at-rest: refused;[^]*  ${words}`),
    );
    expect(reviewJunit(found)).toMatch(new RegExp(`errors="1"[^]*<error message="refused; ${words}"`));
    expect(JSON.parse(reviewSarif(found)).runs[0].results).toMatchObject([
      { ruleId: 'refused', level: 'error', message: { text: `relatch-at-rest: refused; ${words}` }, locations: [] },
    ]);
    expect(reviewPage(found).split(words)).toHaveLength(3);
  });

  it('is bad input where both sides refuse every run', async () => {
    await expect(review(narrow, narrow)).resolves.toMatchObject({ counts: { refused: 1 } });
    const sides = { old: { build: narrow }, new: { build: narrow } };
    await expect(reviewSides(sides, { cases: cases.slice(0, 1) }, locateNothing('told so'))).rejects.toThrow(InputError);
  });
});
