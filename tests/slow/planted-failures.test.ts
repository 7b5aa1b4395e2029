import { describe, expect, it } from 'vitest';
import { MORE_FAILURES, SAMPLE_FAILURES } from '../support/seeded-bugs.js';
import { testShrinking } from '../support/shrink-failures.js';

const median = (values: readonly number[]): number => {
  const sorted = [...values].sort((a, b) => a - b);
  const middle = (sorted.length - 1) / 2;
  return ((sorted[Math.floor(middle)] ?? 0) + (sorted[Math.ceil(middle)] ?? 0)) / 2;
};

describe('twenty planted failures', () => {
  const failures = [...SAMPLE_FAILURES, ...MORE_FAILURES];

  it('are twenty, of every kind', () => {
    expect(new Set(failures.map(({ name }) => name)).size).toBe(20);
    expect(new Set(failures.map(({ kind }) => kind))).toEqual(new Set(['outputsDiffer', 'stateDiffers', 'stopped']));
  });

  describe('shrink, and still show', () => {
    const results = testShrinking(failures);

    it('to 1 % of their length or less in the median, and none of them shows at once', () => {
      const shares = results.map(({ shrunk }) => shrunk.after.ticks / shrunk.before.ticks);
      expect(shares).toHaveLength(20);
      expect(median(shares)).toBeLessThanOrEqual(0.01);
      expect(Math.min(...results.map(({ firstTick }) => firstTick))).toBeGreaterThan(500);
    });
  });
});
