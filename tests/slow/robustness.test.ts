import { spawnSync } from 'node:child_process';
import { beforeAll, describe, expect, it } from 'vitest';
import { titleOf } from '../../host/robustness/case.js';
import type { CaseResult } from '../../host/robustness/measure.js';
import { isBeyond, type Summary } from '../../host/robustness/summary.js';
import { PROJECT } from '../support/project.js';

/*
 * What `npm run robustness` measures with one seed. Bands have two sides: a much better value fails too, because then the
 * expectation is stale.
 */

/** Cases in which a row stops without a broken part: loads and accelerations are beyond the range of their sensors. */
const LOSES_ROWS: readonly string[] = ['random: machine 9'];

/** Distributions over the random machines; the aims are in host/robustness/summary.ts. */
// biome-ignore format: a table reads best with one value to a line
const BANDS: readonly (readonly [of: 'loadRatio' | 'addedRatio' | 'addedRatioOfAll', value: 'median' | 'ninthDecile' | 'worst', min: number, max: number])[] = [
  ['loadRatio', 'median', 1.07, 1.15],
  ['loadRatio', 'ninthDecile', 1.37, 1.49],
  ['loadRatio', 'worst', 3.8, 4.2],
  ['addedRatio', 'median', 1, 1.08],
  ['addedRatio', 'ninthDecile', 1.25, 1.37],
  ['addedRatio', 'worst', 3.9, 4.35],
  ['addedRatioOfAll', 'median', 1.12, 1.21],
  ['addedRatioOfAll', 'ninthDecile', 1.74, 1.92],
];

/** Machines of the soak; 1000 of them, `-- --soak 1000`, need some three minutes on two processors. */
const SOAK = 200;

function robustness(...flags: string[]) {
  const words = ['run', '--silent', 'robustness', '--', '--json', ...flags];
  const { stdout, stderr } = spawnSync('npm', words, { cwd: PROJECT.root, encoding: 'utf8', maxBuffer: 2 ** 26 });
  expect(stderr).toBe('');
  return JSON.parse(stdout);
}

describe('npm run robustness', () => {
  let cases: readonly CaseResult[] = [];
  let summary: Summary;

  beforeAll(() => {
    ({ cases, summary } = robustness('--seeds', '1'));
  }, 3_600_000);

  const titles = (of: (one: CaseResult) => boolean): string[] => cases.filter(of).map((one) => titleOf(one.of));

  // NaN is null in JSON.
  it('judges every case', () => expect(titles(({ judged }) => !Number.isFinite(judged))).toEqual([]));

  it('has no case beyond its limit', () => {
    expect(titles((one) => one.of.group !== 'random' && isBeyond(one))).toEqual([]);
  });

  it('loses rows without a broken part in the known cases only', () => {
    expect(titles(({ rowsLostPerH }) => rowsLostPerH > 0)).toEqual(LOSES_ROWS);
  });

  it('breaks no safety rule', () => expect(cases.flatMap(({ violations }) => violations)).toEqual([]));

  it.each(BANDS)('%s of random machines: the %s is between %d and %d', (of, value, min, max) => {
    expect(summary[of][value]).toBeGreaterThan(min);
    expect(summary[of][value]).toBeLessThan(max);
  });

  it('has between 32 and 40 false alarms per hour and row', () => {
    expect(summary.falseAlarmsPerH).toBeGreaterThan(32);
    expect(summary.falseAlarmsPerH).toBeLessThan(40);
  });
});

describe(`a soak of ${SOAK} random machines, each with a random event`, () => {
  it('breaks no safety rule', () => expect(robustness('--soak', String(SOAK)).findings).toEqual([]), 3_600_000);
});
