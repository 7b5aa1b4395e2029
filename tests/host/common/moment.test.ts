import { describe, expect, it } from 'vitest';
import { firstTickOf, lastTickOf, parseMoment, tickTime } from '../../../host/common/moment.js';

describe('a time in a run', () => {
  it.each([
    ['0', 1000, 0, 0],
    ['0.3', 1000, 300, 300],
    ['12.5', 1000, 12_500, 12_500],
    ['0.0015', 1000, 2, 1],
    ['300t', 50, 300, 300],
    ['0.07', 100, 7, 7],
  ])('%s at %d Hz starts with tick %d and ends with tick %d', (text, tickHz, first, last) => {
    const moment = parseMoment(text) ?? { value: Number.NaN, isTicks: false };
    expect([firstTickOf(moment, tickHz), lastTickOf(moment, tickHz)]).toEqual([first, last]);
  });

  it.each(['', 't', '-1', '1.5t', '1 s', 'NaN', '1e300', '2ticks'])('is not %j', (text) => expect(parseMoment(text)).toBeUndefined());

  it('is shown with its tick', () => expect(tickTime(12_345, 1000)).toBe('tick 12345 (12.345 s)'));
});
