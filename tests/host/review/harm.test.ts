import { describe, expect, it } from 'vitest';
import type { Verdict } from '../../../host/replay/verdict.js';
import { compareRuns } from '../../../host/review/harm.js';
import { metricChange } from '../../../host/review/replay-metrics.js';
import { exampleRun } from '../../support/example-review.js';

describe('the order of runs', () => {
  const { strokes } = exampleRun('same', 0);
  const run = (name: string, verdict: Verdict, metric: string, worse = 2) => ({
    ...{ name, verdict, strokes },
    metrics: [metricChange({ name: metric, unit: 'none', worse: 'more', help: '' }, 1, worse)],
  });

  it('is by verdict, then harm; timing that does harm is ranked as other outputs are', () => {
    const runs = [
      run('state', 'stateDiffers', 'loadRmsN', 1),
      run('later', 'timingDiffers', 'loadRmsN'),
      run('other power', 'outputsDiffer', 'strokeW'),
      run('later and open together', 'timingDiffers', 'bothOpenMs'),
      run('other load', 'outputsDiffer', 'loadRmsN'),
      run('stop', 'stopped', 'strokeW', 1),
    ];
    const order = ['stop', 'later and open together', 'other load', 'other power', 'later', 'state'];
    expect([...runs].sort(compareRuns).map(({ name }) => name)).toEqual(order);
  });
});
