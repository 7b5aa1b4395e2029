import { describe, expect, it } from 'vitest';
import { FAIL_ON, failingRuns } from '../../../host/cli/fail-on.js';
import type { RunReview } from '../../../host/review/review.js';
import { exampleRun } from '../../support/example-review.js';

const ACCEPTANCE = { date: '2026-01-02', by: 'A. Reviewer', reason: 'Intended', signals: ['supplyOrder'] };

describe('what makes a comparison fail', () => {
  it.each<[string, Partial<RunReview> & Pick<RunReview, 'verdict'>, string[]]>([
    ['nothing differs', { verdict: 'same' }, []],
    ['accepted state', { verdict: 'stateDiffers', acceptance: ACCEPTANCE }, ['any']],
    ['state that nobody accepted', { verdict: 'stateDiffers', acceptance: null }, ['unaccepted', 'any']],
    ['accepted outputs', { verdict: 'outputsDiffer', acceptance: ACCEPTANCE }, ['outputs', 'any']],
    ['outputs that nobody accepted', { verdict: 'outputsDiffer', acceptance: null }, ['outputs', 'unaccepted', 'any']],
    ['outputs that differ only in timing', { verdict: 'timingDiffers', acceptance: null }, ['outputs', 'unaccepted', 'any']],
    ['a scenario with other outputs', { verdict: 'outputsDiffer', kind: 'scenario' }, ['outputs', 'any']],
    ['a stop', { verdict: 'stopped', acceptance: null }, ['stopped', 'outputs', 'unaccepted', 'any']],
    ['a stop in a scenario', { verdict: 'stopped', kind: 'scenario' }, ['stopped', 'outputs', 'unaccepted', 'any']],
    ['a run that a build refuses', { verdict: 'refused', acceptance: null }, ['stopped', 'outputs', 'unaccepted', 'any']],
  ])('%s', (_, { verdict, ...more }, failing) => {
    const runs = [exampleRun('same', 1), exampleRun(verdict, 2, more)];
    expect(FAIL_ON.filter((failOn) => failingRuns({ runs }, failOn).length > 0)).toEqual(failing);
  });

  it('is any difference by default', () => {
    const run = exampleRun('stateDiffers', 1);
    expect(failingRuns({ runs: [exampleRun('same', 2), run] })).toEqual([run]);
  });
});
