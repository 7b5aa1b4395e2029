import { stripVTControlCharacters } from 'node:util';
import { describe, expect, it } from 'vitest';
import { countVerdicts, type Verdict } from '../../../../host/replay/verdict.js';
import { type CauseStrokes, causeStrokes, causeStrokesText } from '../../../../host/report/review/cause-strokes.js';
import { shiftHistogram } from '../../../../host/report/review/page/histogram.js';
import { reviewMarkdown } from '../../../../host/report/review/review-markdown.js';
import { reviewPage } from '../../../../host/report/review/review-page.js';
import { reviewText } from '../../../../host/report/review/review-text.js';
import type { Review, RunReview } from '../../../../host/review/review.js';
import { exampleReview, exampleRun } from '../../../support/example-review.js';

type Shifts = CauseStrokes['shifts'];

const runWith = (verdict: Verdict, index: number, tickHz: number, shifts: Shifts, added = 0): RunReview => {
  const run = exampleRun(verdict, index);
  return { ...run, tickHz, strokes: { ...run.strokes, added, removed: 0, same: 10, shifts } };
};

describe('the strokes of a cause', () => {
  const slow = runWith('timingDiffers', 0, 500, [
    [-2, 1],
    [1, 3],
  ]);
  const fast = runWith('timingDiffers', 1, 1000, [[2, 2]]);

  it('are those of all its runs, in ms', () => {
    const found = causeStrokes({ runs: [0, 1] }, [slow, fast]);
    expect(found).toEqual({
      isTimingOnly: true,
      added: 0,
      removed: 0,
      same: 20,
      shifts: [
        [-4, 1],
        [2, 3],
        [2, 2],
      ],
    });
    expect(found && causeStrokesText(found)).toBe('only timing differs; strokes: 1 earlier by 4 ms, 5 later by 2 ms, 20 in the same tick');
  });

  it.each([
    ['runs without a stroke that differs', [exampleRun('stateDiffers', 0)], undefined],
    ['a run with other state too', [slow, exampleRun('stateDiffers', 1)], true],
    ['a run with other outputs too', [slow, runWith('outputsDiffer', 1, 1000, [], 1)], false],
  ])('of %s', (_, runs, isTimingOnly) => {
    expect(causeStrokes({ runs: runs.map((_run, index) => index) }, runs)?.isTimingOnly).toBe(isTimingOnly);
  });

  it('have median and 95th percentile if three or more differ', () => {
    const strokes = {
      isTimingOnly: false,
      added: 2,
      removed: 1,
      same: 0,
      shifts: [
        [5, 1],
        [0.5, 18],
        [20, 1],
      ],
    } as const;
    const later = '20 later by 0.5 to 20 ms (median 0.5, p95 5)';
    expect(causeStrokesText(strokes)).toBe(`strokes: 2 added, 1 removed, ${later}, 0 in the same tick`);
  });

  it('are in text, comment and page', () => {
    const review = exampleReview();
    const runs = [slow, fast];
    const [cause] = review.causes;
    const timing: Review = {
      ...review,
      runs,
      counts: countVerdicts(runs),
      causes: cause === undefined ? [] : [{ ...cause, run: 0, runs: [0, 1] }],
    };
    const line = 'only timing differs; strokes: 1 earlier by 4 ms, 5 later by 2 ms, 20 in the same tick';
    const text = stripVTControlCharacters(reviewText(timing, 0));
    for (const one of [`\n     ${line}\n`, '2 runs: 2 with different timing only']) expect(text).toContain(one);
    expect(reviewMarkdown(timing)).toContain(line);
    expect(reviewPage(timing)).toContain(`<div>${line}</div><figure class="shifts">`);
  });
});

describe('the picture of shifts', () => {
  const barsOf = (shifts: Shifts): [x: number, height: number][] =>
    [
      ...shiftHistogram({ isTimingOnly: true, added: 0, removed: 0, same: 0, shifts }).text.matchAll(
        /<rect x="(\d+)" y="[\d.]+" width="12" height="([\d.]+)"/g,
      ),
    ].map(([, x, height]) => [Number(x), Number(height)]);
  const labelOf = (shifts: Shifts): string =>
    /aria-label="([^"]+)"/.exec(shiftHistogram({ isTimingOnly: true, added: 0, removed: 0, same: 0, shifts }).text)?.[1] ?? '';

  it('is missing if no stroke moved', () => expect([barsOf([]), labelOf([])]).toEqual([[], '']));

  it('has the highest bar for the most strokes, and earlier ones to the left', () => {
    // Bins of 1 ms, five on either side of the middle at 70 pixels, 14 pixels each.
    expect(
      barsOf([
        [-5, 1],
        [1, 4],
        [3, 2],
      ]),
    ).toEqual([
      [1, 12],
      [71, 48],
      [99, 24],
    ]);
  });

  it.each([
    [[[12, 1]], '1 ms from −12 to +12 ms'],
    [[[13, 1]], '2 ms from −14 to +14 ms'],
    [[[0.3, 1]], '1 ms from −5 to +5 ms'],
    [[[61, 1]], '10 ms from −70 to +70 ms'],
    [[[2500, 1]], '500 ms from −2500 to +2500 ms'],
  ] as [Shifts, string][])('of %j has bins of %s', (shifts, bins) => {
    expect(labelOf(shifts)).toBe(`Strokes by shift, in bins of ${bins}; the highest bar is 1`);
  });
});
