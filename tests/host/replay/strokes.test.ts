import { describe, expect, it } from 'vitest';
import {
  changedStrokes,
  pairUp,
  type StrokeChange,
  type StrokeDifferences,
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

describe('the text of all changed strokes', () => {
  const none = { count: 0, minTicks: 0, maxTicks: 0 };
  const same: StrokeDifferences = { added: 0, removed: 0, earlier: none, later: none };
  const shifted = { ...same, earlier: { count: 2, minTicks: 1, maxTicks: 4 }, later: { count: 1, minTicks: 3, maxTicks: 3 } };

  it.each<[string, StrokeDifferences, number | undefined, string]>([
    ['nothing', same, 1000, ''],
    ['added and removed', { ...same, added: 2, removed: 1 }, 1000, '2 added, 1 removed'],
    ['ranges', shifted, 1000, '2 earlier by 1 to 4 ticks (1 to 4 ms), 1 later by 3 ticks (3 ms)'],
    ['ranges at 500 Hz', { ...shifted, later: none }, 500, '2 earlier by 1 to 4 ticks (2 to 8 ms)'],
    ['ranges without a tick rate', shifted, undefined, '2 earlier by 1 to 4 ticks, 1 later by 3 ticks'],
  ])('%s', (_, strokes, tickHz, text) => {
    expect(strokesText(strokes, tickHz)).toBe(text);
  });

  it('counts them', () => {
    expect([changedStrokes(shifted), strokeCountsText(shifted)]).toEqual([3, '2 earlier, 1 later']);
    expect([changedStrokes(same), strokeCountsText(same)]).toEqual([0, '']);
  });
});

describe('pairUp', () => {
  it.each([
    ['nothing', [], [], []],
    ['nothing with a tick of one side', [10], [], []],
    ['nothing with a tick of the other side', [], [10], []],
    ['equal ticks', [10, 20], [10, 20], [0, 0]],
    ['a shift', [10, 20], [13, 23], [3, 3]],
    ['the nearest of several', [100], [60, 90, 130], [-10]],
    ['each tick once', [10, 12], [11], [1]],
    ['up to 250 ticks later', [0], [250], [250]],
    ['not 251 ticks later', [0], [251], []],
    ['up to 250 ticks earlier', [250], [0], [-250]],
    ['not 251 ticks earlier', [251], [0], []],
    ['the next one after one too far away', [0, 1000], [400, 1001], [1]],
  ])('pairs %s', (_, base, head, shifts) => {
    expect(pairUp(base, head).map(([from, to]) => to - from)).toEqual(shifts);
  });
});
