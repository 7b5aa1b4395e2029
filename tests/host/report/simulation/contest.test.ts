import { stripVTControlCharacters } from 'node:util';
import { describe, expect, it } from 'vitest';
import type { ContestRun } from '../../../../host/contest/contest.js';
import { apart, contestSvg } from '../../../../host/report/simulation/contest-svg.js';
import { contestText } from '../../../../host/report/simulation/contest-text.js';
import { madeContest, madeRun, madeSweep } from '../../../support/made-contest.js';

describe('a contest as text', () => {
  const one = madeSweep('one', '10:100; 100:50');

  it('shows that one seed gives no interval, and which rates are not reached', () => {
    const text = contestText(madeContest([one, madeSweep('two', '50:90; 200:45')], [31.6227766]));
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
    const text = stripVTControlCharacters(
      contestText(madeContest([one, { ...one, name: 'two', points: [{ scale: 0.5, runs: [stopped] }] }], [50])),
    );
    expect(text).toContain('two, scale 0.5, seed 1: the controller stopped at tick 7: unreachable');
  });
});

describe('the picture of a contest', () => {
  it('has a curve per contender, a level line per baseline without pulses, and all names in each panel', () => {
    const svg = contestSvg(madeContest([madeSweep('a<b', '10:100 12:90; 100:50 90:60'), madeSweep('still', '0:30 0:33', false)], []));
    expect(svg).toContain('<title>Made &amp; up</title>');
    expect(svg.match(/>a&lt;b<\/text>/g)).toHaveLength(2);
    expect(svg.match(/class="line"/g)).toHaveLength(3);
    expect(svg.match(/class="level"/g)).toHaveLength(1);
    expect(svg).not.toMatch(/NaN|Infinity|undefined/);
  });

  it('can have one point, or none', () => {
    for (const made of ['10:100', '0:100', 'NaN:NaN']) {
      expect(contestSvg(madeContest([madeSweep('one', made), madeSweep('two', made)], []))).not.toMatch(/NaN|Infinity|undefined/);
    }
  });

  it.each([
    ['far apart', [50, 10, 30], [50, 10, 30]],
    ['too close', [10, 12, 11], [10, 38, 24]],
    ['at the bottom', [99, 100], [86, 100]],
    ['all equal, at the bottom', [100, 100, 100], [72, 86, 100]],
  ])('keeps a distance between names that are %s', (_, heights, moved) => expect(apart(heights, 14, 100)).toEqual(moved));
});
