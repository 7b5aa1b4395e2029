import { describe, expect, it } from 'vitest';
import {
  changedStrokes,
  type PulseDifferences,
  pulsesTexts,
  type StrokeChange,
  type StrokeDifferences,
  spreadOf,
  strokeChangeText,
  strokeCountsText,
  strokesText,
} from '../../../host/replay/strokes.js';

const stroke = (base: number | undefined, head: number | undefined): StrokeChange => ({
  ...{ row: 1, valve: 'supply', order: 'open' },
  ...{ base, head },
});

describe('the text of a changed stroke', () => {
  it.each([
    [stroke(100, 103), 1000, 'later by 3 ticks (3 ms)'],
    [stroke(100, 99), 500, 'earlier by 1 tick (2 ms)'],
    [stroke(100, 103), 2000, 'later by 3 ticks (1.5 ms)'],
    [stroke(undefined, 5), 1000, 'added'],
    [stroke(5, undefined), 1000, 'removed'],
    [stroke(0, 1), 1000, 'later by 1 tick (1 ms)'],
  ])('%j at %d Hz: %s', (change, tickHz, text) => {
    expect(strokeChangeText(change, tickHz)).toBe(text);
  });
});

const NONE = spreadOf([]);
const NO_PULSES: PulseDifferences = { count: 0, shorter: NONE, longer: NONE, startEarlier: NONE, startLater: NONE };
const SAME: StrokeDifferences = {
  ...{ added: 0, removed: 0, same: 0, earlier: NONE, later: NONE, otherDriveTime: 0 },
  pulses: { supply: NO_PULSES, return: NO_PULSES },
};

describe('the text of all changed strokes', () => {
  const shifted = { ...SAME, earlier: spreadOf([4, 1]), later: spreadOf([3]) };

  it.each<[string, StrokeDifferences, number | undefined, string]>([
    ['nothing', SAME, 1000, ''],
    ['added and removed', { ...SAME, added: 2, removed: 1 }, 1000, '2 added, 1 removed'],
    ['ranges', shifted, 1000, '2 earlier by 1 to 4 ticks (1 to 4 ms), 1 later by 3 ticks (3 ms)'],
    ['ranges at 500 Hz', { ...shifted, later: NONE }, 500, '2 earlier by 1 to 4 ticks (2 to 8 ms)'],
    ['ranges without a tick rate', shifted, undefined, '2 earlier by 1 to 4 ticks, 1 later by 3 ticks'],
    ['more than two', { ...SAME, later: spreadOf([1, 9, 2]) }, 1000, '3 later by 1 to 9 ticks (1 to 9 ms; median 2, p95 9)'],
    ['more than two, all the same', { ...SAME, later: spreadOf([2, 2, 2]) }, 500, '3 later by 2 ticks (4 ms)'],
    ['drive times', { ...SAME, otherDriveTime: 4 }, 1000, '4 with another drive time'],
  ])('%s', (_, strokes, tickHz, text) => {
    expect(strokesText(strokes, tickHz)).toBe(text);
  });

  it('counts them', () => {
    expect([changedStrokes(shifted), strokeCountsText(shifted)]).toEqual([3, '2 earlier, 1 later']);
    expect([changedStrokes(SAME), strokeCountsText(SAME)]).toEqual([0, '']);
  });

  it('has a line for each kind of valve whose pulses differ', () => {
    const supply = { ...NO_PULSES, count: 35, longer: spreadOf(new Array(30).fill(2)), startEarlier: spreadOf([1]) };
    expect(pulsesTexts({ ...SAME, pulses: { supply, return: { ...NO_PULSES, count: 9 } } }, 1000)).toEqual([
      'supply pulses, 35 on both sides: 30 longer by 2 ms, 1 start earlier by 1 ms',
    ]);
  });
});

describe('spreadOf', () => {
  // Nearest rank: the smallest value that is not below that share of all. Common practice, no source.
  it.each([
    [[], [0, 0, 0, 0, 0]],
    [[7], [1, 7, 7, 7, 7]],
    [
      [3, 1],
      [2, 1, 1, 3, 3],
    ],
    [
      [10, 2, 5],
      [3, 2, 5, 10, 10],
    ],
    [Array.from({ length: 20 }, (_, at) => 20 - at), [20, 1, 10, 19, 20]],
    [Array.from({ length: 100 }, (_, at) => at + 1), [100, 1, 50, 95, 100]],
  ])('of %j', (ticks, [count, minTicks, medianTicks, p95Ticks, maxTicks]) => {
    expect(spreadOf(ticks)).toEqual({ count, minTicks, medianTicks, p95Ticks, maxTicks });
  });
});
