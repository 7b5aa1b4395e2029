import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { stripVTControlCharacters } from 'node:util';
import { describe, expect, it } from 'vitest';
import { type ContestRun, readContenders, type Sweep, scaleDeadband } from '../../../host/contest/contest.js';
import { commonRange, compareSweeps, defaultRates, interpolate, ratioInterval, seedsOf } from '../../../host/contest/equal-pulses.js';
import { describeContract } from '../../../host/contract/contract.js';
import { apart, contestSvg } from '../../../host/report/simulation/contest-svg.js';
import { type Contest, contestText } from '../../../host/report/simulation/contest-text.js';
import { readScenario } from '../../../host/simulate/scenario.js';
import { PROJECT } from '../../support/project.js';
import { temporaryFolder } from '../../support/temporary-folder.js';

const contract = describeContract();
const folder = temporaryFolder();

type Made = readonly [pulsesPerMin: number, loadRmsN: number];

const run = ([pulsesPerMin, loadRmsN]: Made, seed: number): ContestRun => {
  const metrics = { pulsesPerMin, loadRmsN, inBandPercent: 90, oilLpm: 1, coilW: 0.1, coilLossW: 0.05 };
  return { seed, hash: '00000000', metrics };
};

/** A sweep of made-up runs: points separated by semicolons, the runs of each by seed as `pulsesPerMin:loadRmsN`. */
const sweep = (name: string, points: string, hasPulses = true): Sweep => ({
  name,
  hasPulses,
  points: points.split(';').map((runs, at) => ({
    scale: at + 1,
    runs: runs
      .trim()
      .split(' ')
      .map((made, index) => run(made.split(':').map(Number) as unknown as Made, index + 1)),
  })),
});

const contest = (sweeps: readonly Sweep[], rates: readonly number[]): Contest => ({
  scenario: 'made-up',
  title: 'Made & up',
  machine: 'default',
  seeds: seedsOf(sweeps),
  against: sweeps[0]?.name ?? '',
  sweeps,
  equalPulses: compareSweeps(sweeps, sweeps[0]?.name ?? '', rates),
});

describe('a metric at a pulse rate', () => {
  // One decade wide: its middle is √10 times its start.
  const CURVE: readonly Made[] = [
    [100, 50],
    [10, 100],
  ];

  it.each([
    ['below', 9.999, Number.NaN],
    ['at the start', 10, 100],
    ['at a quarter, on a logarithmic scale', 10 ** 1.25, 87.5],
    ['half way', 10 ** 1.5, 75],
    ['at the end', 100, 50],
    ['above', 100.001, Number.NaN],
  ])('%s', (_, rate, value) => expect(interpolate(CURVE, rate)).toEqual(Number.isNaN(value) ? value : expect.closeTo(value, 9)));

  it('sorts the points by their pulse rate', () => {
    expect(
      interpolate(
        [
          [100, 50],
          [1000, 60],
          [10, 100],
        ],
        10 ** 2.5,
      ),
    ).toBeCloseTo(55, 9);
  });

  it('ignores runs without pulses and unfinished runs', () => {
    expect(interpolate([[0, 500], [Number.NaN, Number.NaN], ...CURVE], 10)).toBe(100);
    expect(interpolate([[0, 500]], 10)).toBeNaN();
    expect(interpolate([], 10)).toBeNaN();
  });

  it('of a sweep with one point has a value only at that point', () => {
    expect([10, 11].map((rate) => interpolate([[10, 100]], rate))).toEqual([100, Number.NaN]);
  });
});

describe('the common range of pulse rates', () => {
  const one = sweep('one', '1:200 2:200; 2000:100 1000:100');

  it('is reached by every seed of every sweep', () => {
    expect(commonRange([one])).toEqual([2, 1000]);
    expect(commonRange([one, sweep('two', '5:90 4:90; 900:80 950:80')])).toEqual([5, 900]);
  });

  it('is undefined if the ranges of two seeds do not overlap', () => {
    expect(commonRange([sweep('apart', '1:9 30:9; 2:8 40:8')])).toBeUndefined();
    expect(defaultRates([one, sweep('slow', '1:9 1:9')])).toEqual([]);
  });

  it('is divided into three parts of equal ratio, with a default rate in the middle of each; baselines are ignored', () => {
    const still = sweep('still', '0:50 0:50', false);
    const rates = defaultRates([sweep('three decades', '1:9 1:9; 1000:8 1000:8'), still]);
    expect(rates.map((rate) => rate.toFixed(3))).toEqual(['3.162', '31.623', '316.228']);
    expect(defaultRates([still, still])).toEqual([]);
  });
});

describe('contenders at equal pulses', () => {
  const loud = sweep('loud', '10:100 10:140 10:90; 100:60 100:80 100:70');

  it('have a ratio of exactly 1 to themselves', () => {
    const [at] = compareSweeps([loud, { ...loud, name: 'again' }], 'loud', [40]);
    for (const { metrics } of at?.contenders ?? []) {
      expect(metrics.loadRmsN.ratio).toEqual({ mean: 1, ciLow: 1, ciHigh: 1 });
      expect(metrics.loadRmsN.difference).toEqual({ mean: 0, ciLow: 0, ciHigh: 0 });
    }
  });

  it('are compared in pairs of the same seed', () => {
    const half = sweep('half', '10:50 10:70 10:45; 100:30 100:40 100:35');
    const [at] = compareSweeps([loud, half], 'loud', [100]);
    const { mean, ratio, difference } = at?.contenders[1]?.metrics.loadRmsN ?? expect.fail();
    expect(mean).toBeCloseTo(35, 9);
    for (const end of Object.values(ratio)) expect(end).toBeCloseTo(0.5, 9);
    // Differences -30, -40, -35: standard deviation 5; t(0.975; 2) = 4.3027 from any table, times 5 / √3 is 12.421.
    expect(difference.mean).toBeCloseTo(-35, 9);
    expect([difference.ciLow, difference.ciHigh].map((end) => end.toFixed(2))).toEqual(['-47.42', '-22.58']);
  });

  it('have no value where a seed does not reach the rate; a baseline has one everywhere', () => {
    const short = sweep('short', '10:50 10:70 30:45; 100:30 100:40 100:35');
    const still = sweep('still', '0:50 0:70 0:45', false);
    const [at] = compareSweeps([loud, short, still], 'loud', [20]);
    expect(at?.contenders.map(({ isReached }) => isReached)).toEqual([true, false, true]);
    expect(at?.contenders[1]?.metrics.loadRmsN.mean).toBeNaN();
    expect(at?.contenders[2]?.metrics.loadRmsN.mean).toBeCloseTo(55, 9);
  });

  it('have no interval with one seed', () => {
    expect(ratioInterval([50], [100])).toEqual({ mean: expect.closeTo(0.5, 12), ciLow: Number.NaN, ciHigh: Number.NaN });
  });
});

describe('the deadband of a sweep', () => {
  it('is scaled in all its parameters, and no other parameter is', () => {
    const parameters = { deadbandN: 40, deadbandMinN: 20, deadbandMaxN: 100, deadbandSigmas: 2, loadFilterHz: 3 };
    const doubled = { deadbandN: 80, deadbandMinN: 40, deadbandMaxN: 200, deadbandSigmas: 4, loadFilterHz: 3 };
    expect(scaleDeadband(parameters, 2, contract)).toEqual(doubled);
  });

  it('starts from the defaults where nothing is set', () => {
    expect(scaleDeadband({}, 0.5, contract)).toEqual({ deadbandN: 20, deadbandSigmas: 1.05, deadbandMinN: 40, deadbandMaxN: 65 });
  });

  it.each([
    [100, { deadbandN: 1000, deadbandSigmas: 6, deadbandMinN: 1000, deadbandMaxN: 1000 }],
    [0.01, { deadbandN: 1, deadbandSigmas: 0.5, deadbandMinN: 1, deadbandMaxN: 1.3 }],
  ])('scaled by %d stays within the limits of each parameter', (scale, values) => {
    expect(scaleDeadband({}, scale, contract)).toEqual(values);
  });
});

describe('contenders', () => {
  const scenario = readScenario(PROJECT, 'target-step', contract);
  const file = join(folder, 'soft.yaml');
  writeFileSync(file, 'strategy: threshold\ndeadbandN: 60\n');

  it('come in the order of the flags, with the parameters that are set for all', () => {
    const options = { strategies: 'cascade,perfect', parameters: [file, `hard=${file}`], set: ['deadbandN=70'], seed: 5 };
    const made = readContenders(scenario, options, contract);
    expect(
      made.map(({ name, settings: { actuation, parameters, seed } }) => [name, actuation, parameters.strategy, parameters.deadbandN, seed]),
    ).toEqual([
      ['cascade', 'latching', 1, 70, 5],
      ['perfect', 'perfect', 1, 70, 5],
      ['soft', 'latching', 0, 70, 5],
      ['hard', 'latching', 0, 70, 5],
    ]);
  });

  it.each([
    ['none', {}, /--parameters: there are 0 contenders; a contest needs 2 to 12\./],
    ['only one', { strategies: 'cascade' }, /--parameters: there is 1 contender; a contest needs 2 to 12\./],
    [
      'an unknown strategy',
      { strategies: 'cascade,fuzzy' },
      /--strategies: one strategy is "fuzzy"; it must be one of threshold, cascade, predictive, proportional, perfect\./,
    ],
    [
      'a name twice',
      { strategies: 'cascade', parameters: [`cascade=${file}`] },
      /two contenders are called "cascade"\. Give a parameter file a name/,
    ],
    [
      'a name too long',
      { strategies: 'cascade', parameters: [`abcdefghijklmnopqrstu=${file}`] },
      /--parameters: the name "abcdefghijklmnopqrstu" is longer than 20 characters\./,
    ],
    [
      'a strategy for all',
      { strategies: 'cascade,threshold', set: ['strategy=cascade'] },
      /--set: strategy would be the same for all contenders\. Name the strategies with --strategies\./,
    ],
  ])('are refused: %s', (_, options, message) => expect(() => readContenders(scenario, options, contract)).toThrow(message));
});

describe('a contest as text', () => {
  const one = sweep('one', '10:100; 100:50');

  it('shows that one seed gives no interval, and which rates are not reached', () => {
    const text = contestText(contest([one, sweep('two', '50:90; 200:45')], [31.6227766]));
    expect(text).toContain('seed 1');
    expect(text).toContain('one seed gives no confidence interval');
    expect(text).toMatch(/^ +31\.6 +one +75\.0 +1\.00 +reference$/m);
    expect(text).toMatch(/^ +31\.6 +two +not reached$/m);
    expect(text).not.toMatch(/NaN|Infinity/);
  });

  it('explains that no rate is reached by all', () => {
    expect(contestText(contest([one, one], []))).toContain('The sweeps have no pulse rate in common.');
  });

  it('reports a controller that stopped', () => {
    const stopped: ContestRun = {
      ...run([Number.NaN, Number.NaN], 1),
      trap: { tick: 7, message: 'unreachable' },
    };
    const text = stripVTControlCharacters(
      contestText(contest([one, { ...one, name: 'two', points: [{ scale: 0.5, runs: [stopped] }] }], [50])),
    );
    expect(text).toContain('two, scale 0.5, seed 1: the controller stopped at tick 7: unreachable');
  });
});

describe('the picture of a contest', () => {
  it('has a curve per contender, a level line per baseline without pulses, and all names in each panel', () => {
    const svg = contestSvg(contest([sweep('a<b', '10:100 12:90; 100:50 90:60'), sweep('still', '0:30 0:33', false)], []));
    expect(svg).toContain('<title>Made &amp; up</title>');
    expect(svg.match(/>a&lt;b<\/text>/g)).toHaveLength(2);
    expect(svg.match(/class="line"/g)).toHaveLength(3);
    expect(svg.match(/class="level"/g)).toHaveLength(1);
    expect(svg).not.toMatch(/NaN|Infinity|undefined/);
  });

  it('can have one point, or none', () => {
    for (const made of ['10:100', '0:100', 'NaN:NaN']) {
      expect(contestSvg(contest([sweep('one', made), sweep('two', made)], []))).not.toMatch(/NaN|Infinity|undefined/);
    }
  });

  it.each([
    ['far apart', [50, 10, 30], [50, 10, 30]],
    ['too close', [10, 12, 11], [10, 38, 24]],
    ['at the bottom', [99, 100], [86, 100]],
    ['all equal, at the bottom', [100, 100, 100], [72, 86, 100]],
  ])('keeps a distance between names that are %s', (_, heights, moved) => expect(apart(heights, 14, 100)).toEqual(moved));
});
