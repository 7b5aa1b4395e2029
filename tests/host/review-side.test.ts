import { describe, expect, it } from 'vitest';
import { makeSide } from '../../host/review/drive.js';
import { controller } from '../support/bench.js';

describe('a side of a review', () => {
  it.each([
    ['refuses a parameter', { deadbandSigmas: 99 }, 1, /^some-case: deadbandSigmas 99 — allowed: what build .* takes$/],
    ['has no room for the rows', {}, 49, /^some-case: rows 49 — allowed: 1 to 48, for which build /],
  ])('that %s says which build it is, and what it would take', (_, values, rows, message) => {
    expect(() => makeSide({ controller, values }, rows, 'some-case')).toThrow(message);
  });
});
