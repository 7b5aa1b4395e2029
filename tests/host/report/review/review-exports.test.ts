import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { Ajv } from 'ajv';
import type { Log, Result } from 'sarif';
import { describe, expect, it } from 'vitest';
import { escapeMarkdown, reviewMarkdown } from '../../../../host/report/review/review-markdown.js';
import { reviewSarif } from '../../../../host/report/review/review-sarif.js';
import type { Review } from '../../../../host/review/review.js';
import { bigReview, exampleReview, exampleRun, HOSTILE, sameReview, surroundedReview } from '../../../support/example-review.js';
import { PROJECT } from '../../../support/project.js';

const { $schema: _, id: __, ...schema } = JSON.parse(readFileSync(join(PROJECT.root, 'tests/support/sarif-schema-2.1.0.json'), 'utf8'));
// The schema is of draft 4, whose keywords it uses mean the same in the draft that the validator knows; its patterns are not Unicode.
const validate = new Ajv({ strict: false, validateFormats: false, unicodeRegExp: false }).compile(schema);

const logOf = (review: Review, folder?: string): Log => JSON.parse(reviewSarif(review, folder));
const resultsOf = (review: Review): Result[] => logOf(review).runs[0]?.results ?? [];

const example = exampleReview();
const refused: Review = {
  ...example,
  causes: [],
  runs: [exampleRun('refused', 0, { first: undefined, refused: { head: 'refuses x 9' } })],
};

const surrounded = surroundedReview();

describe('a review as SARIF', () => {
  it.each([
    ['several verdicts', example, 2],
    ['fifty runs with one cause', bigReview(), 1],
    ['a refused run', refused, 1],
    ['nothing that differs', sameReview(), 0],
    ['an invalid vector and inputs that were found, beside two runs', surrounded, 4],
  ])('of %s is valid by the official schema, and has a result for each cause, each with a location', (_name, review, count) => {
    const log = logOf(review);
    validate(log);
    expect(validate.errors ?? []).toEqual([]);
    const results = resultsOf(review);
    expect(results).toHaveLength(count);
    for (const { locations = [] } of results) {
      const { artifactLocation, region } = locations[0]?.physicalLocation ?? {};
      expect(artifactLocation?.uri).toMatch(/^(assembly|vectors)\/[\w/.-]+$/);
      expect(region?.startLine).toBeGreaterThan(0);
    }
  });

  it('says how the line was, why it is suspected, and in which runs', () => {
    const [first] = resultsOf(bigReview());
    const text = first?.message.text ?? '';
    expect(text).toMatch(/^50 runs: .+ and 45 more; was: .+ \(assembly\/controller\/predictor\.ts:\d+ of base\); reason: /);
    expect(first?.level).toBe('warning');
  });

  it('names a cause the same in other runs and at another line', () => {
    const print = (review: Review): unknown => resultsOf(review)[0]?.partialFingerprints;
    const big = bigReview();
    const [cause] = big.causes;
    if (cause?.first.suspectedLine === undefined) throw new Error('no cause');
    const moved = { ...cause, runs: [3], run: 3, first: { ...cause.first, suspectedLine: { ...cause.first.suspectedLine, line: 9 } } };
    expect(print({ ...big, causes: [moved] })).toEqual(print(big));
    const other = { ...cause, first: { ...cause.first, suspectedLine: { ...cause.first.suspectedLine, text: 'another();' } } };
    expect(print({ ...big, causes: [other] })).not.toEqual(print(big));
  });

  it('has paths from the top of the repository, if the project is a folder in it', () => {
    const placesOf = ({ locations = [], relatedLocations = [] }: Result) => [...locations, ...relatedLocations];
    const found = logOf(example, 'teams/row #1/').runs[0]?.results?.flatMap(placesOf) ?? [];
    expect(found.length).toBeGreaterThan(2);
    for (const { physicalLocation } of found)
      expect(physicalLocation?.artifactLocation?.uri).toMatch(/^teams\/row%20%231\/(assembly|vectors)\/[\w/.-]+$/);
  });

  it('shows what is wrong with a vector at the vector, and inputs that were found at the edit', () => {
    const places = resultsOf(surrounded).map(({ ruleId, locations }) => [
      ruleId,
      locations?.[0]?.physicalLocation?.artifactLocation?.uri,
      locations?.[0]?.physicalLocation?.region?.startLine,
    ]);
    expect(places).toContainEqual(['invalidVector', 'vectors/cases/hot-oil/case.yaml', 1]);
    expect(places).toContainEqual(['outputsDiffer', 'assembly/controller/row.ts', 12]);
  });

  it('gives a run without a cause the place of its accepted outputs', () => {
    expect(resultsOf(refused)[0]).toMatchObject({
      ruleId: 'refused',
      locations: [{ physicalLocation: { artifactLocation: { uri: `vectors/cases/${refused.runs[0]?.name}/expected.csv` } } }],
    });
  });
});

describe('a review as Markdown', () => {
  const text = reviewMarkdown(example);

  it('begins with the verdict, then causes, then the metrics that got worse, and folds the rest', () => {
    const places = ['### Controller review', '6 of 14 runs differ', '**2 causes**', '**Metrics that got worse', '<details>'].map((part) =>
      text.indexOf(part),
    );
    expect(places).toEqual([...places].sort((a, b) => a - b));
    expect(places).not.toContain(-1);
    expect(text.match(/<details>/g)?.length).toBe(text.match(/<\/details>/g)?.length);
  });

  it('has the same number of cells in each line of a table', () => {
    const lines = text.split('\n').filter((line) => line.startsWith('|'));
    const widths = lines.map((line) => line.split('|').length);
    const heads = lines.flatMap((line, at) => (/^\|( --- \|)+$/.test(line) ? [at] : []));
    expect(heads.length).toBeGreaterThan(2);
    for (const [index, head] of heads.entries())
      expect(new Set(widths.slice(head - 1, (heads[index + 1] ?? lines.length + 1) - 1)).size).toBe(1);
  });

  it.each([
    [HOSTILE, /[<>[\]`*_@#|\\]/],
    ['[a](http://evil.example) ![b](x) `c` *d* _e_ ~f~ | g', /[[\]`*_~|]|:\/\//],
    ['@someone fixes #12 :tada: www.evil.example', /@|#(?!\d+;)|:t|www\./],
    ['a\n\n# b\n- c', /\n/],
  ])('shows %j as text', (given, markup) => expect(escapeMarkdown(given).replace(/&#\d+;/g, '')).not.toMatch(markup));

  it('escapes texts of the review', () => {
    const hostile = { ...example, base: { ...example.base, name: HOSTILE } };
    const tags = reviewMarkdown(hostile).match(/<[^>]*>/g) ?? [];
    expect(new Set(tags)).toEqual(new Set(['<code>', '</code>', '<details>', '</details>', '<summary>', '</summary>', '<sub>', '</sub>']));
  });

  it('is short enough for a comment, however large the review is', () => {
    const long = 'x'.repeat(5000);
    const runs = Array.from({ length: 500 }, (_, at) => exampleRun('outputsDiffer', at, { name: `${at}${long}` }));
    const contract = Array.from({ length: 500 }, () => ({ what: 'signal', name: `<${long}`, change: 'added' }) as const);
    const large = reviewMarkdown({ ...bigReview(), runs, contract });
    expect(large.length).toBeLessThan(65_000);
    expect(large).toContain('**1 cause**');
  });

  it.each([
    'accepted 2026-11-25 A. Reviewer, supplyOrder: a shorter &#60;pulse&#62;',
    'Nobody has accepted the outputs of head in 1 run.',
    'changes that are not committed',
    '2026-11-24 B. Author: Shorten pulses',
    '<code>assembly/controller/row.ts</code> changed +3 −2 lines',
    '▲ <code>hot-oil</code>: its history was rewritten',
    '<code>hot-oil</code> changed; other inputs',
    'head differs from head without assembly/controller/row.ts&#58;12: supplyOrder of a row: none → open; found with 7 inputs',
    'vectors/cases/target-step-shrunk written; the outputs of head without these edits are accepted',
  ])('says %s', (line) => expect(reviewMarkdown(surrounded)).toContain(line));

  it('lists changed lines that show no difference, those that no run reaches first', () => {
    const places = ['**5 changed lines', 'count &#60;&#64;someone&#62;;', 'return x;', 'line of base', 'if (a &#60; b) return 1;'];
    const found = places.map((place) => reviewMarkdown(surrounded).indexOf(place));
    expect(found).toEqual([...found].sort((a, b) => a - b));
    expect(found).not.toContain(-1);
  });

  it('is a sentence if nothing differs', () => {
    expect(reviewMarkdown(sameReview())).toContain('**Both builds do the same in all 3 runs.**');
  });
});
