import { join } from 'node:path';
import { stripVTControlCharacters } from 'node:util';
import { describe, expect, it } from 'vitest';
import { InputError } from '../../../host/common/input-error.js';
import { reviewJunit } from '../../../host/report/review/review-junit.js';
import { reviewPage } from '../../../host/report/review/review-page.js';
import { reviewSarif } from '../../../host/report/review/review-sarif.js';
import { reviewText } from '../../../host/report/review/review-text.js';
import { type Build, readBuild } from '../../../host/review/builds.js';
import { skipLocating } from '../../../host/review/locate.js';
import { reviewBuilds } from '../../../host/review/review-builds.js';
import { reviewHere } from '../../../host/review/review-engine.js';
import { makeSide } from '../../../host/review/run-pair.js';
import { readVector } from '../../../host/vector/vector.js';
import { controller } from '../../support/bench.js';
import { PROJECT } from '../../support/project.js';

describe('makeSide', () => {
  it.each([
    ['refuses a parameter', { deadbandSigmas: 99 }, 1, /^some-case: build .* of sources \w+ refuses deadbandSigmas 99\.$/],
    ['refuses more rows than it has room for', {}, 49, /^some-case: build .* of sources \w+ has room for 48 of 49 rows\.$/],
  ])('%s, and names the build', (_, values, rows, message) => {
    expect(() => makeSide({ controller, values }, rows, 'some-case')).toThrow(message);
  });
});

describe('a run that a side refuses', () => {
  const build = readBuild('.', PROJECT.controllerWasm);
  const { description } = build.controller;
  // With room for two rows only.
  const narrow: Build = {
    ...build,
    controller: { ...build.controller, description: { ...description, contract: { ...description.contract, rowsMax: 2 } } },
  };
  const refused = { file: join(PROJECT.root, 'package.json'), values: { deadbandSigmas: 99 } };
  const vectors = ['relatch-at-rest', 'garbage-then-recovery'].map((name) => readVector(PROJECT, name));
  const review = (base: Build, head: Build, parameters?: typeof refused) =>
    reviewBuilds({ base: { build: base }, head: { build: head, parameters } }, { vectors }, reviewHere(skipLocating('not needed')));

  it('has the verdict refused, and the others are compared', async () => {
    const found = await review(build, narrow);
    expect(vectors.map(({ rows }) => rows)).toEqual([3, 2]);
    expect(found.counts).toEqual({ same: 1, stateDiffers: 0, timingDiffers: 0, outputsDiffer: 0, stopped: 0, refused: 1 });
    expect(found.runs.map(({ name, verdict }) => [name, verdict])).toEqual([
      ['relatch-at-rest', 'refused'],
      ['garbage-then-recovery', 'same'],
    ]);
    expect(found.runs[0]).toMatchObject({ rows: 3, ticks: 0, refused: { base: undefined, head: 'has room for 2 of 3 rows' } });
  });

  it('names the side that refuses its parameters', async () => {
    const { runs } = await review(build, build, refused);
    expect(runs.map(({ verdict, refused: by }) => [verdict, by?.base, by?.head])).toEqual([
      ['refused', undefined, 'refuses deadbandSigmas 99'],
      ['refused', undefined, 'refuses deadbandSigmas 99'],
    ]);
  });

  it('is reported in every format', async () => {
    const found = await review(build, narrow);
    const words = 'head has room for 2 of 3 rows';
    expect(stripVTControlCharacters(reviewText(found, 3))).toMatch(
      new RegExp(`relatch-at-rest +3 +0\\.0 +cascade +refused +${words}[^]*relatch-at-rest: refused;[^]*  ${words}`),
    );
    expect(reviewJunit(found)).toMatch(new RegExp(`errors="1"[^]*<error message="refused; ${words}"`));
    expect(JSON.parse(reviewSarif(found)).runs[0].results).toMatchObject([
      {
        ruleId: 'refused',
        level: 'error',
        message: { text: `relatch-at-rest: refused; ${words}` },
        locations: [{ physicalLocation: { region: { startLine: 1 } } }],
      },
    ]);
    expect(reviewPage(found).split(words)).toHaveLength(3);
  });

  it('is bad input if both sides refuse every run', async () => {
    await expect(review(narrow, narrow)).resolves.toMatchObject({ counts: { refused: 1 } });
    const sides = { base: { build: narrow }, head: { build: narrow } };
    await expect(reviewBuilds(sides, { vectors: vectors.slice(0, 1) }, reviewHere(skipLocating('not needed')))).rejects.toThrow(InputError);
  });
});
