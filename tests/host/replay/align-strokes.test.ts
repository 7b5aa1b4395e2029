import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { alignStrokes, type Stroke } from '../../../host/replay/align-strokes.js';

/** Strokes written as `10o 20c`. */
const strokes = (text: string): Stroke[] =>
  text
    .split(' ')
    .filter(Boolean)
    .map((one) => ({ tick: Number.parseInt(one, 10), order: one.endsWith('o') ? 'open' : 'close' }));

/** Each stroke of either side in order of time: `10o>13o`, `10o-` if it was removed, `13o+` if it was added. */
function aligned(base: readonly Stroke[], head: readonly Stroke[], ticks: number): string[] {
  const text = ({ tick, order }: Stroke): string => `${tick}${order[0]}`;
  const pairs = alignStrokes(base, head, ticks);
  const [ofBase, ofHead] = [new Map(pairs), new Set(pairs.map(([, to]) => to))];
  return [
    ...base.map((stroke, at) => `${text(stroke)}${ofBase.has(at) ? `>${text(head[ofBase.get(at) as number] as Stroke)}` : '-'}`),
    ...head.flatMap((stroke, at) => (ofHead.has(at) ? [] : [`${text(stroke)}+`])),
  ];
}

describe('alignStrokes', () => {
  it.each([
    ['nothing', '', '', ''],
    ['nothing with a stroke of one side', '10o', '', '10o-'],
    ['nothing with a stroke of the other side', '', '10o', '10o+'],
    ['equal strokes', '10o 20c', '10o 20c', '10o>10o 20c>20c'],
    ['the only stroke of a valve, however far it moved', '10o', '900o', '10o>900o'],
    ['strokes of the same direction only', '10o', '10c', '10o- 10c+'],
    ['a pulse that moved as a whole', '100o 150c', '140o 190c', '100o>140o 150c>190c'],
    ['a pulse that is longer', '100o 150c', '100o 180c', '100o>100o 150c>180c'],
    [
      'around a pulse that was added',
      '100o 150c 700o 750c',
      '100o 150c 300o 350c 705o 755c',
      '100o>100o 150c>150c 700o>705o 750c>755c 300o+ 350c+',
    ],
    ['around a pulse that was removed', '100o 150c 300o 350c', '301o 351c', '100o- 150c- 300o>301o 350c>351c'],
    // Each nearest to the one before: 40 moves to 55, and 60 is left, though 60 is nearer to 55.
    ['all rather than only the nearest', '40o 60o', '55o 75o', '40o>55o 60o>75o'],
    ['no strokes that changed places', '100o 110c', '100c 110o', '100o- 110c>100c 110o+'],
    ['a stroke in the middle of two with the later one', '100c', '90c 110c', '100c>110c 90c+'],
  ])('pairs %s', (_, base, head, expected) => {
    expect(aligned(strokes(base), strokes(head), 1000).join(' ')).toBe(expected);
  });

  it.each([
    // Two strokes in 1000 ticks: the mean interval is 500 ticks.
    ['less than the mean interval', 0, 499, 1000, 1],
    ['not the mean interval', 0, 500, 1000, 0],
    ['less than it, backwards', 499, 0, 1000, 1],
    ['not as much, backwards', 500, 0, 1000, 0],
    ['twice as far in a run of twice the length', 0, 999, 2000, 1],
  ])('moves a stroke by %s', (_, from, to, ticks, count) => {
    // The other stroke is the same on both sides.
    const side = (tick: number): Stroke[] => [{ tick, order: 'open' }, ...strokes('999c')];
    expect(alignStrokes(side(from), side(to), ticks)).toHaveLength(1 + count);
  });
});

const ORDERS = ['open', 'close'] as const;
const arbitraryStrokes = (lengthMax: number, tickMax: number): fc.Arbitrary<Stroke[]> =>
  fc
    .uniqueArray(fc.record({ tick: fc.nat(tickMax), order: fc.constantFrom(...ORDERS) }), {
      selector: ({ tick }) => tick,
      maxLength: lengthMax,
    })
    .map((list) => list.sort((a, b) => a.tick - b.tick));

/** Cost of an alignment times twice the number of strokes, so that it is an integer: the shifts, and half an interval for each unpaired stroke. */
function costOf(base: readonly Stroke[], head: readonly Stroke[], ticks: number, pairs: readonly (readonly [number, number])[]): number {
  const shifts = pairs.reduce((sum, [from, to]) => sum + Math.abs((base[from]?.tick ?? 0) - (head[to]?.tick ?? 0)), 0);
  return 2 * Math.max(base.length, head.length) * shifts + ticks * (base.length + head.length - 2 * pairs.length);
}

/** The smallest cost of all alignments, by trying them all. */
function smallestCost(base: readonly Stroke[], head: readonly Stroke[], ticks: number): number {
  const count = Math.max(base.length, head.length);
  const from = (i: number, j: number): number => {
    const [a, b] = [base[i], head[j]];
    if (a === undefined || b === undefined) return ticks * (base.length - i + head.length - j);
    const paired = a.order === b.order ? 2 * count * Math.abs(a.tick - b.tick) + from(i + 1, j + 1) : Number.POSITIVE_INFINITY;
    return Math.min(paired, ticks + from(i + 1, j), ticks + from(i, j + 1));
  };
  return from(0, 0);
}

describe('alignStrokes of any strokes', () => {
  const small = arbitraryStrokes(6, 60);
  const large = arbitraryStrokes(60, 5000);

  it('has the smallest cost of all alignments', () => {
    fc.assert(
      fc.property(small, small, fc.integer({ min: 0, max: 200 }), (base, head, ticks) => {
        expect(costOf(base, head, ticks, alignStrokes(base, head, ticks))).toBe(smallestCost(base, head, ticks));
      }),
      { numRuns: 500 },
    );
  });

  it('keeps the order, and pairs strokes of one direction', () => {
    fc.assert(
      fc.property(large, large, (base, head) => {
        const pairs = alignStrokes(base, head, 5000);
        for (const [at, [from, to]] of pairs.entries()) {
          expect(base[from]?.order).toBe(head[to]?.order);
          const [lastFrom, lastTo] = pairs[at - 1] ?? [-1, -1];
          expect([from > lastFrom, to > lastTo]).toEqual([true, true]);
        }
      }),
    );
  });

  it('finds the same pairs from head to base', () => {
    fc.assert(
      fc.property(fc.oneof(small, large), fc.oneof(small, large), (base, head) => {
        expect(alignStrokes(head, base, 1000).map(([to, from]) => [from, to])).toEqual(alignStrokes(base, head, 1000));
      }),
    );
  });

  it('pairs each stroke of a sequence with itself', () => {
    fc.assert(
      fc.property(large, (list) => {
        expect(alignStrokes(list, list, 5000)).toEqual(list.map((_, at) => [at, at]));
      }),
    );
  });

  /** Strokes at least 40 ticks apart, in 5000 ticks: 50 of them have a mean interval of 100 ticks. */
  const apart = fc
    .array(fc.tuple(fc.integer({ min: 40, max: 99 }), fc.constantFrom(...ORDERS)), { minLength: 1, maxLength: 50 })
    .map((steps) => {
      const ticks = steps.map((_, at) => steps.slice(0, at + 1).reduce((sum, [gap]) => sum + gap, 0));
      return steps.map(([, order], at): Stroke => ({ tick: ticks[at] as number, order }));
    });

  it('finds a shift of all strokes by less than half of the smallest interval', () => {
    fc.assert(
      fc.property(apart, fc.integer({ min: -19, max: 19 }), (base, shift) => {
        const head = base.map(({ tick, order }) => ({ tick: tick + shift, order }));
        expect(alignStrokes(base, head, 5000)).toEqual(base.map((_, at) => [at, at]));
      }),
    );
  });

  it('finds a stroke that was removed, and leaves the others where they are', () => {
    fc.assert(
      fc.property(apart, fc.nat(), (base, choice) => {
        const gone = choice % base.length;
        const head = base.filter((_, at) => at !== gone);
        expect(alignStrokes(base, head, 5000)).toEqual(head.map((_, at) => [at < gone ? at : at + 1, at]));
      }),
    );
  });
});
