import { describe, expect, it } from 'vitest';
import { reviewPage } from '../../../../host/report/review/review-page.js';
import { bigReview, exampleReview, exampleRun, HOSTILE, sameReview, surroundedReview } from '../../../support/example-review.js';

const SIZE_MAX = 2_300_000;

const review = exampleReview();
const page = reviewPage(review);
/** The page without scripts and style sheets. */
const readable = (text: string): string => text.replace(/<script[^>]*>[\s\S]*?<\/script>/g, '').replace(/<style>[\s\S]*?<\/style>/g, '');
const body = readable(page);

/** Start tags with their attributes. */
const tags = [...body.matchAll(/<([a-z][a-z0-9]*)((?:\s+[a-z-]+(?:="[^"]*")?)*)\s*>/g)].map(([, name = '', attributes = '']) => ({
  name,
  attributes: new Map([...attributes.matchAll(/([a-z-]+)(?:="([^"]*)")?/g)].map(([, key = '', value = '']) => [key, value])),
}));
const valuesOf = (attribute: string): string[] => tags.flatMap(({ attributes }) => attributes.get(attribute) ?? []);

/** Expects that a text contains parts in this order. */
function expectInOrder(text: string, parts: readonly string[]): void {
  const places = parts.map((part) => text.indexOf(part));
  expect(places).not.toContain(-1);
  expect(places).toEqual([...places].sort((a, b) => a - b));
}

describe('the page of a review', () => {
  it('is self-contained', () => {
    const addresses = [...valuesOf('href'), ...valuesOf('src'), ...valuesOf('srcset'), ...valuesOf('action'), ...valuesOf('style')];
    expect(addresses.filter((address) => !address.startsWith('#'))).toEqual([]);
    expect(addresses.length).toBeGreaterThan(review.runs.length);
    const styles = [...page.matchAll(/<style>([\s\S]*?)<\/style>/g)].map(([, text]) => text).join('');
    expect(styles).toContain('.uplot');
    expect(styles).not.toMatch(/@import|url\(/);
    expect(
      tags.map(({ name }) => name).filter((name) => ['link', 'iframe', 'object', 'embed', 'base', 'img', 'form'].includes(name)),
    ).toEqual([]);
    expect(page).not.toMatch(/^\s*import |\bimport\(/m);
  });

  it('allows no other script than its own', () => {
    const [, policy = ''] = /http-equiv="Content-Security-Policy" content="([^"]*)"/.exec(page) ?? [];
    expect(policy).toMatch(
      /^default-src &apos;none&apos;; script-src (&apos;sha256-[\w+/=]+&apos; ?){2}; style-src &apos;unsafe-inline&apos;/,
    );
    expect(policy.replace('style-src &apos;unsafe-inline&apos;', '')).not.toMatch(/unsafe|http|\*/);
    expect(page.match(/<script(?: type="module")?>/g)).toHaveLength(2);
    expect(page).not.toMatch(/\son[a-z]+="/);
  });

  it('escapes all texts', () => {
    expect(page).not.toContain(HOSTILE);
    expect(page).not.toContain('<script>alert');
    expect(page).not.toContain('<img');
    const escaped = '&lt;script&gt;alert(&apos;x&apos;)&lt;/script&gt; &quot;quoted&quot; &amp; &lt;/script&gt; &lt;img';
    // In the summary, the heading of the run, a note, and a reason, which stands in the list of causes too.
    expect(body.split(escaped)).toHaveLength(6);
  });

  it('lists all runs in order, with a section for those that differ', () => {
    const rows = body.slice(body.indexOf('<table class="summary"'), body.indexOf('</table>'));
    expectInOrder(
      rows,
      review.runs.map(({ name, seed }) => (seed === undefined ? `${name}<` : `${name}, seed ${seed}<`)),
    );
    const sections = [...body.matchAll(/<section class="run" id="(run-\d+)"/g)].map(([, id]) => id);
    expect(sections).toEqual(['run-1', 'run-2', 'run-3', 'run-4', 'run-5', 'run-6']);
    expect([...rows.matchAll(/href="(#run-\d+)"/g)].map(([, address]) => address)).toEqual(sections.map((id) => `#${id}`));
  });

  it('answers at the top by what outputs change, how bad that is, and who accepted it', () => {
    const accepted = { date: '2026-11-25', by: 'A. Reviewer', reason: 'x', signals: ['supplyOrder'] };
    const runs = review.runs.map((run, at) => ({ ...run, acceptance: at === 1 ? accepted : at === 2 ? null : undefined }));
    const top = (of: typeof review): string => /<dl class="answers">[\s\S]*?<\/dl>/.exec(reviewPage(of))?.[0] ?? '';
    expectInOrder(top({ ...review, runs }), [
      ...['<dt>By', 'predictor.ts:118', '1 other cause', 'c.lead * o.loadTrend;', 'c.lead * (o.loadTrend + WEIGHT'],
      ...['<dt>Worst', '<dt>Accepted', '1 of 2 vectors by A. Reviewer, 2026-11-25; 1 vector not accepted'],
    ]);
    expect(top(review)).toContain('not known for these builds');
    expect(top(sameReview())).toBe('');
  });

  it('lists the commits and files of the change, and what became of vectors', () => {
    const commit = { hash: 'a'.repeat(40), date: '2026-11-25', author: 'A', subject: HOSTILE };
    const file = { path: 'assembly/controller/x.ts', change: 'changed', addedLines: 3, removedLines: 1, lines: [] } as const;
    const change = { commits: [commit], commitCount: 7, missingCommits: 2, isUncommitted: true, files: [file] };
    const vector = { name: 'gone', title: 'T', change: 'removed', differences: [], accepted: [], problems: ['no acceptance'] } as const;
    const text = readable(reviewPage({ ...review, change, vectors: [vector] }));
    expectInOrder(text, ['not committed', 'aaaaaaaaaaaa', '&lt;script&gt;', 'and 6 more', 'base has 2 commits', 'controller/x.ts']);
    expectInOrder(text, ['<b>gone</b> removed', 'no acceptance']);
  });

  it('gives the result in one sentence', () => {
    expect(body).toContain('6 of 14 runs differ: 1 stopped, 4 with different outputs, 1 with different state, 8 same.');
    expect(reviewPage(sameReview())).toContain('Both builds do the same in all 3 runs.');
  });

  it('shows the first difference with its line and both values', () => {
    const section = body.slice(body.indexOf('id="run-2"'), body.indexOf('id="run-3"'));
    expect(section).toContain('tick 3127 (3.127 s)');
    expect(section).toContain('<code class="place">assembly/controller/predictor.ts:118:3</code> in <code>expectLoad</code>');
    expectInOrder(section, ['c.lead * o.loadTrend;', 'c.lead * (o.loadTrend + WEIGHT * o.pressureTrend);', 'const WEIGHT: f32 = 0.4;']);
    expectInOrder(section, ['451.000 N', '452.250 N']);
    const configured = body.slice(body.indexOf('id="run-5"'), body.indexOf('id="run-6"'));
    expect(configured).toContain('configure(), bank');
    expectInOrder(configured, ['NaN N', '-0 N']);
  });

  it('lists the shift of strokes in ticks and milliseconds', () => {
    const strokes = {
      ...exampleRun('outputsDiffer', 1).strokes,
      changes: [{ row: 1, valve: 'supply', order: 'open', base: 100, head: 103 } as const],
    };
    const run = exampleRun('outputsDiffer', 1, { tickHz: 500, strokes });
    expect(reviewPage({ ...sameReview(), runs: [run] })).toContain('<td>100<td>103<td>later by 3 ticks (6 ms)');
  });

  it('lists the provenance of the review', () => {
    const provenance = body.slice(body.indexOf('id="provenance"'));
    const { base, head, runs, tool } = review;
    const hashes = [base, head].flatMap((side) => [side.sourceHash, side.contractHash, side.binaryHash]);
    for (const text of [...hashes, base.commit ?? '', head.parameters?.hash ?? '', head.parameters?.file ?? '', tool])
      expect(provenance).toContain(text);
    for (const { inputHash } of runs) expect(provenance).toContain(inputHash);
    expect(provenance).toContain('class-d, seed 2<td>scenario<td class="n">2');
  });

  it('has no section on contract and parameters if they are equal', () => {
    expect(body).toContain('id="contract"');
    expect(body).toContain('0 to 200 ms, default 60');
    expect(body).toContain('run-of-outputsDiffer-1, run-of-stateDiffers-5');
    const same = reviewPage(sameReview());
    expect(same).not.toContain('id="contract"');
    expect(same).not.toContain('id="parameters"');
    expect(same).not.toContain('class="run"');
  });

  it('has unique ids, and no broken links and labels', () => {
    const ids = valuesOf('id');
    expect(new Set(ids).size).toBe(ids.length);
    const pointers = [
      ...valuesOf('href').map((address) => address.slice(1)),
      ...valuesOf('for'),
      ...valuesOf('aria-labelledby'),
      ...valuesOf('aria-describedby'),
    ];
    expect(pointers.filter((id) => !ids.includes(id))).toEqual([]);
  });

  it('shows a run with few details', () => {
    const bare = exampleRun('stopped', 1, { first: undefined, firstOutput: undefined, views: undefined, metrics: [], signals: [] });
    const text = reviewPage({ ...sameReview(), runs: [bare] });
    expect(text).toContain('No value differs before the stop.');
    expect(text).toContain('assert(count &lt;= ROWS_MAX) in stroke-queue.ts:88');
    expect(text).not.toContain('class="packed"');
    expect(readable(text)).not.toMatch(/undefined|\[object/);
    expect(body).not.toMatch(/undefined|\[object/);
    expect(reviewPage({ ...sameReview(), runs: [] })).toContain('Nothing was compared.');
  });

  it('is the same for the same review', () => expect(reviewPage(exampleReview())).toBe(page));
});

describe('the page of fifty runs that differ', () => {
  it(`is smaller than ${SIZE_MAX} bytes`, () => {
    const big = reviewPage(bigReview());
    expect(big.match(/<section class="run"/g)).toHaveLength(50);
    expect(Buffer.byteLength(big)).toBeLessThan(SIZE_MAX);
  });
});

it('has what surrounds the runs', () => {
  const text = readable(reviewPage(surroundedReview()));
  expectInOrder(text, [
    ', but 3 of 5 changed lines were never reached.',
    'Shorten pulses',
    '5 changed lines: 1 reached and different, 1 reached, the same, 3 never reached; 2 without code',
    '<li class="cause">reached and different',
    'used at assembly/controller/row.ts:20',
    'reached in 2 runs: run-of-outputsDiffer-0, run-of-outputsDiffer-1',
    'never reached in it: return 1;',
    '▲ never reached',
    'nearest: run-of-outputsDiffer-1 and 1 more run, up to assembly/controller/row.ts:14  if (isCold &amp;&amp; count &gt; 3) {, which is never true; 2 conditions left',
    'nothing calls its function',
    'no run calls what leads to it',
    'its history was rewritten',
    '<section id="suggestion"',
    'the outputs of head without these edits are accepted',
    'outputs of head accepted 2026-11-25 A. Reviewer, supplyOrder: a shorter &lt;pulse&gt;',
    'nobody has accepted the outputs of head',
  ]);
});
