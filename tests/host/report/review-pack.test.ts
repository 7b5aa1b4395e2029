import { fc, test } from '@fast-check/vitest';
import { describe, expect, it } from 'vitest';
import { unpackSight } from '../../../host/report/review/page/client/unpack.js';
import { packSight } from '../../../host/report/review/page/pack.js';
import { roomFor } from '../../../host/report/review/page/room.js';
import type { Curve, Sight } from '../../../host/review/review.js';
import { exampleRun } from '../../support/example-review.js';

const run = exampleRun('outputs', 1);
const sightOf = (old: Curve | null, now: Curve | null): Sight => {
  const stretches = old?.least.length ?? now?.least.length ?? 1;
  const tracks = { first: 0, ticks: 10 * stretches, stretches, tracks: [{ signal: 'loadN', row: 1, unit: 'N', old, new: now }] };
  return { overview: tracks, around: tracks, lanes: [], states: [] };
};

const STRETCHES = 12;
const values = fc.array(
  fc.option(fc.tuple(fc.double({ min: -1e6, max: 1e6, noNaN: true }), fc.double({ min: 0, max: 1e5, noNaN: true }))),
  {
    minLength: STRETCHES,
    maxLength: STRETCHES,
  },
);
const curves = values.map(
  (pairs): Curve => ({
    least: pairs.map((pair) => pair?.[0] ?? null),
    most: pairs.map((pair) => (pair === null ? null : pair[0] + pair[1])),
  }),
);

describe('curves on their way into the page and out of it', () => {
  test.prop([fc.option(curves), fc.option(curves)])(
    'stay where they are, to half a level; what has no number still has none',
    async (old, now) => {
      for (const differing of [1, 50]) {
        const room = roomFor(differing);
        const { overview } = await unpackSight(packSight(run, sightOf(old, now), room));
        const [track] = overview.tracks;
        const all = [old, now]
          .flatMap((curve) => (curve === null ? [] : [...curve.least, ...curve.most]))
          .filter((value) => value !== null);
        const range = all.length === 0 ? 0 : Math.max(...all) - Math.min(...all);
        for (const [before, after] of [
          [old, track?.old],
          [now, track?.now],
        ] as const) {
          expect(after === undefined).toBe(before === null);
          for (const end of ['least', 'most'] as const) {
            for (const [at, value] of (before?.[end] ?? []).entries()) {
              const found = after?.[end][at] ?? null;
              expect(found === null).toBe(value === null);
              if (value !== null) expect(Math.abs((found ?? 0) - value)).toBeLessThanOrEqual(range / room.levels / 2 + 1e-6);
            }
          }
        }
      }
    },
  );

  it('whole numbers are exact, and so are the ticks of valves and strokes', async () => {
    const curve = { least: [0, 3, 2, null], most: [0, 4, 2, null] };
    const lanes = [
      {
        row: 2,
        valve: 'supply',
        old: [
          [10, 30],
          [55, 60],
        ],
        new: [[12, 30]],
      },
    ] as const;
    const changes = [
      { row: 2, valve: 'supply', order: 'open', old: 10, new: 12 },
      { row: 2, valve: 'supply', order: 'open', old: 55 },
      { row: 2, valve: 'return', order: 'open', new: 70 },
    ] as const;
    const one = { ...run, strokes: { ...run.strokes, changes } };
    const { packed, overview } = await unpackSight(packSight(one, { ...sightOf(curve, null), lanes }, roomFor(50)));
    expect(overview.tracks[0]).toMatchObject({ old: curve, now: undefined });
    // Each tick as the difference to the one before.
    expect(packed.lanes).toEqual([
      {
        row: 2,
        valve: 'supply',
        old: [10, 20, 25, 5],
        new: [12, 18],
        changes: [
          [10, 12],
          [55, null],
        ],
      },
    ]);
  });
});
