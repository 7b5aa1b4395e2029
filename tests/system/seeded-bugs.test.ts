import { describe, expect, it } from 'vitest';
import { testLocating } from '../support/locate-bugs.js';
import { MORE_BUGS, SAMPLE_BUGS } from '../support/seeded-bugs.js';

describe('a review finds tick, signal and line of one-line bugs', () => testLocating(SAMPLE_BUGS));

describe('the table of seeded bugs', () => {
  it('has at least thirty, in at least fifteen files', () => {
    const bugs = [...SAMPLE_BUGS, ...MORE_BUGS];
    expect(bugs.length).toBeGreaterThanOrEqual(30);
    expect(new Set(bugs.map(({ file }) => file)).size).toBeGreaterThanOrEqual(15);
  });
});
