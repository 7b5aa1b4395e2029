import { fc, test } from '@fast-check/vitest';
import { describe, expect, it } from 'vitest';
import { unpackViews } from '../../../../host/report/review/page/client/unpack.js';
import { limitsFor } from '../../../../host/report/review/page/limits.js';
import { packViews } from '../../../../host/report/review/page/pack.js';
import type { Curve, RunViews } from '../../../../host/review/review.js';
import { exampleRun } from '../../../support/example-review.js';

const run = exampleRun('outputsDiffer', 1);
const viewsOf = (base: Curve | null, head: Curve | null): RunViews => {
  const bins = base?.min.length ?? head?.min.length ?? 1;
  const tracks = { first: 0, ticks: 10 * bins, bins, tracks: [{ signal: 'loadN', row: 1, unit: 'N', base, head }] };
  return { overview: tracks, around: tracks, lanes: [], states: [] };
};

const BINS = 12;
const values = fc.array(
  fc.option(fc.tuple(fc.double({ min: -1e6, max: 1e6, noNaN: true }), fc.double({ min: 0, max: 1e5, noNaN: true }))),
  {
    minLength: BINS,
    maxLength: BINS,
  },
);
const curves = values.map(
  (pairs): Curve => ({
    min: pairs.map((pair) => pair?.[0] ?? null),
    max: pairs.map((pair) => (pair === null ? null : pair[0] + pair[1])),
  }),
);

describe('packing and unpacking views', () => {
  test.prop([fc.option(curves), fc.option(curves)])('keeps values to half a level, and bins without a number', async (base, head) => {
    for (const differing of [1, 50]) {
      const limits = limitsFor(differing);
      const { overview } = await unpackViews(packViews(run, viewsOf(base, head), limits));
      const [track] = overview.tracks;
      const all = [base, head].flatMap((curve) => (curve === null ? [] : [...curve.min, ...curve.max])).filter((value) => value !== null);
      const range = all.length === 0 ? 0 : Math.max(...all) - Math.min(...all);
      for (const [before, after] of [
        [base, track?.base],
        [head, track?.head],
      ] as const) {
        expect(after === undefined).toBe(before === null);
        for (const end of ['min', 'max'] as const) {
          for (const [at, value] of (before?.[end] ?? []).entries()) {
            const found = after?.[end][at] ?? null;
            expect(found === null).toBe(value === null);
            if (value !== null) expect(Math.abs((found ?? 0) - value)).toBeLessThanOrEqual(range / limits.levels / 2 + 1e-6);
          }
        }
      }
    }
  });

  it('keeps integers and the ticks of valves and strokes exactly', async () => {
    const curve = { min: [0, 3, 2, null], max: [0, 4, 2, null] };
    const lanes = [
      {
        row: 2,
        valve: 'supply',
        base: [
          [10, 30],
          [55, 60],
        ],
        head: [[12, 30]],
      },
    ] as const;
    const changes = [
      { row: 2, valve: 'supply', order: 'open', base: 10, head: 12 },
      { row: 2, valve: 'supply', order: 'open', base: 55 },
      { row: 2, valve: 'return', order: 'open', head: 70 },
    ] as const;
    const one = { ...run, strokes: { ...run.strokes, changes } };
    const { packed, overview } = await unpackViews(packViews(one, { ...viewsOf(curve, null), lanes }, limitsFor(50)));
    expect(overview.tracks[0]).toMatchObject({ base: curve, head: undefined });
    // Each tick is the difference to the one before.
    expect(packed.lanes).toEqual([
      {
        row: 2,
        valve: 'supply',
        base: [10, 20, 25, 5],
        head: [12, 18],
        changes: [
          [10, 12],
          [55, null],
        ],
      },
    ]);
  });
});
