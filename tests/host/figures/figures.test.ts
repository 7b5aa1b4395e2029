import { spawnSync } from 'node:child_process';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { describeContract } from '../../../host/contract/contract.js';
import { isReached, type MeasuredMetric, meanOf, REFERENCE } from '../../../host/figures/measurement.js';
import { readScenario } from '../../../host/simulate/scenario.js';
import { PROJECT } from '../../support/project.js';
import { simulatedRun } from '../../support/simulated-run.js';

// All figures are in tests/slow/figures.test.ts.
describe('the reference of npm run figures', () => {
  const run = simulatedRun(readScenario(PROJECT, REFERENCE, describeContract()));

  // Measured 67.8 N; the mean of five seeds is between 56 and 62 N.
  it('has a load RMS error between 62 and 74 N with its own seed', () => {
    expect(meanOf([run], 'loadRmsN')).toBeGreaterThan(62);
    expect(meanOf([run], 'loadRmsN')).toBeLessThan(74);
  });
});

describe('a target', () => {
  const metric = (measured: number, target: MeasuredMetric['target']): MeasuredMetric => ({
    name: 'a metric',
    measured,
    decimals: 0,
    unit: '',
    target,
    details: '',
  });

  it.each([
    [61, { max: 62 }, true],
    [62, { max: 62 }, true],
    [63, { max: 62 }, false],
    [Number.NaN, { max: 62 }, false],
    [98, { min: 97 }, true],
    [97, { min: 97 }, true],
    [96, { min: 97 }, false],
    [Number.NaN, { min: 97 }, false],
  ])('%d with the limit %j is reached: %s', (measured, target, reached) => {
    expect(isReached(metric(measured, target))).toBe(reached);
  });
});

describe('npm run figures', () => {
  const main = join(PROJECT.root, 'dist/host/figures/main.js');

  it.each([
    [['--seeds', '0'], '--seeds is "0"; it must be an integer between 1 and 100\n'],
    [['--seed', '3'], "Unknown option '--seed'"],
  ])('refuses %j with 2', (words, message) => {
    const { status, stdout, stderr } = spawnSync(process.execPath, [main, ...words], { encoding: 'utf8' });
    expect([status, stdout]).toEqual([2, '']);
    expect(stderr).toContain(message);
    expect(stderr.trimEnd().split('\n')).toHaveLength(1);
  });
});
