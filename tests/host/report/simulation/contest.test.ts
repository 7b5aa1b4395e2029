import { describe, expect, it } from 'vitest';
import type { ContestRun } from '../../../../host/contest/contest.js';
import { plainText } from '../../../../host/report/form/colours.js';
import { apart, contestSvg } from '../../../../host/report/simulation/contest-svg.js';
import { contestText } from '../../../../host/report/simulation/contest-text.js';
import { madeContest, madeRun, madeSweep } from '../../../support/made-contest.js';

describe('a contest as text', () => {
  const one = madeSweep('one', '10:100; 100:50');

  it('shows that one seed gives no interval, and which rates are not reached', () => {
    const text = plainText(contestText(madeContest([one, madeSweep('two', '50:90; 200:45')], [31.6227766])));
    expect(text).toContain('seed 1');
    expect(text).toContain('one seed gives no confidence interval');
    expect(text).toMatch(/^ +31\.6 +one +75\.0 +1\.00 +reference$/m);
    expect(text).toMatch(/^ +31\.6 +two +not reached$/m);
    expect(text).not.toMatch(/NaN|Infinity/);
  });

  it('explains that no rate is reached by all', () => {
    expect(contestText(madeContest([one, one], []))).toContain('The sweeps have no pulse rate in common.');
  });

  it('reports a controller that stopped', () => {
    const stopped: ContestRun = {
      ...madeRun([Number.NaN, Number.NaN], 1),
      trap: { tick: 7, message: 'unreachable' },
    };
    const text = plainText(contestText(madeContest([one, { ...one, name: 'two', points: [{ scale: 0.5, runs: [stopped] }] }], [50])));
    expect(text).toContain('two, scale 0.5, seed 1: the controller stopped at tick 7: unreachable');
  });
});

describe('the picture of a contest', () => {
  const drawn = (...sweeps: Parameters<typeof madeContest>[0]) => contestSvg({ ...madeContest(sweeps, []), units: 'si' });

  it('has a curve per contender, a level line per baseline without pulses, and all names in each panel', () => {
    const svg = drawn(madeSweep('a<b', '10:100 12:90; 100:50 90:60'), madeSweep('still', '0:30 0:33', false));
    expect(svg).toContain('<title>Made &amp; up</title>');
    expect(svg.match(/>a&lt;b<\/text>/g)).toHaveLength(3);
    expect(svg).toContain('>Difference to a&lt;b at the same pulses');
    // Two curves and a level line of load error, a curve of differences and the reference at 0, two curves over oil.
    expect(svg.match(/class="line"/g)).toHaveLength(4);
    expect(svg.match(/class="level"/g)).toHaveLength(2);
    expect(svg).not.toMatch(/NaN|Infinity|undefined/);
  });

  it('shows that a difference is certain where the means of seeds scatter', () => {
    // Both seeds differ by 10 N at any rate, and from each other by 100 N.
    const svg = drawn(madeSweep('one', '10:100 10:200; 100:100 100:200'), madeSweep('two', '10:110 10:210; 100:110 100:210'));
    const [whiskers = ''] = svg.match(/class="whisker" d="[^"]+"/g) ?? [];
    const lengths = [...whiskers.matchAll(/M[\d.]+ ([\d.]+)V([\d.]+)/g)].map(([, from, to]) => Math.abs(Number(from) - Number(to)));
    expect(lengths.length).toBeGreaterThanOrEqual(2);
    for (const length of lengths) expect(length).toBeLessThan(0.2);
    expect(svg).toMatch(/<title>two less one: 10\.0 N at 10\.0 pulses per minute<\/title>/);
    expect(
      contestSvg({ ...madeContest([madeSweep('one', '10:100; 100:50'), madeSweep('two', '10:90; 100:45')], []), units: 'us' }),
    ).toMatch(/<title>two less one: -2\.25 lbf at 10\.0 pulses per minute<\/title>/);
  });

  it('can have one point, or none', () => {
    for (const made of ['10:100', '0:100', 'NaN:NaN']) {
      expect(drawn(madeSweep('one', made), madeSweep('two', made))).not.toMatch(/NaN|Infinity|undefined/);
    }
  });

  it.each([
    ['far apart', [50, 10, 30], [50, 10, 30]],
    ['too close', [10, 12, 11], [10, 38, 24]],
    ['at the bottom', [99, 100], [86, 100]],
    ['all equal, at the bottom', [100, 100, 100], [72, 86, 100]],
  ])('keeps a distance between names that are %s', (_, heights, moved) => expect(apart(heights, 14, 100)).toEqual(moved));
});
