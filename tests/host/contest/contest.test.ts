import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { ratioInterval } from '../../../host/assess/interval.js';
import { readContenders, scaleDeadband } from '../../../host/contest/contest.js';
import { commonRange, compareSweeps, curveRates, defaultRates, interpolate } from '../../../host/contest/equal-pulses.js';
import { describeContract } from '../../../host/contract/contract.js';
import { readScenario } from '../../../host/simulate/scenario.js';
import { type Made, madeSweep } from '../../support/made-contest.js';
import { PROJECT } from '../../support/project.js';
import { temporaryFolder } from '../../support/temporary-folder.js';

const contract = describeContract();
const folder = temporaryFolder();

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
  const one = madeSweep('one', '1:200 2:200; 2000:100 1000:100');

  it('is reached by every seed of every sweep', () => {
    expect(commonRange([one])).toEqual([2, 1000]);
    expect(commonRange([one, madeSweep('two', '5:90 4:90; 900:80 950:80')])).toEqual([5, 900]);
  });

  it('is undefined if the ranges of two seeds do not overlap', () => {
    expect(commonRange([madeSweep('apart', '1:9 30:9; 2:8 40:8')])).toBeUndefined();
    expect(defaultRates([one, madeSweep('slow', '1:9 1:9')])).toEqual([]);
  });

  it('is divided into three parts of equal ratio, with a default rate in the middle of each; baselines are ignored', () => {
    const still = madeSweep('still', '0:50 0:50', false);
    const rates = defaultRates([madeSweep('three decades', '1:9 1:9; 1000:8 1000:8'), still]);
    expect(rates.map((rate) => rate.toFixed(3))).toEqual(['3.162', '31.623', '316.228']);
    expect(defaultRates([still, still])).toEqual([]);
  });

  it('gives a curve of differences the ends that the reference reaches, or without pulses those that any contender reaches', () => {
    const still = madeSweep('still', '0:50 0:50', false);
    const wide = madeSweep('wide', '1:9 1:9; 10000:8 10000:8');
    const narrow = madeSweep('narrow', '10:9 10:9; 100:8 90:8');
    const rounded = (against: string): number[] => curveRates([still, wide, narrow], against).map((rate) => Number(rate.toFixed(3)));
    expect(rounded('wide')).toEqual([1, 3.162, 10, 31.623, 100, 316.228, 1000, 3162.278, 10_000]);
    expect(rounded('still')).toEqual(rounded('wide'));
    expect([rounded('narrow')[0], rounded('narrow').at(-1)]).toEqual([10, 90]);
    expect(curveRates([still], 'still')).toEqual([]);
  });
});

describe('contenders at equal pulses', () => {
  const loud = madeSweep('loud', '10:100 10:140 10:90; 100:60 100:80 100:70');

  it('have a ratio of exactly 1 to themselves', () => {
    const [at] = compareSweeps([loud, { ...loud, name: 'again' }], 'loud', [40]);
    for (const { metrics } of at?.contenders ?? []) {
      expect(metrics.loadRmsN.ratio).toEqual({ mean: 1, ciLow: 1, ciHigh: 1 });
      expect(metrics.loadRmsN.difference).toEqual({ mean: 0, ciLow: 0, ciHigh: 0 });
    }
  });

  it('are compared in pairs of the same seed', () => {
    const half = madeSweep('half', '10:50 10:70 10:45; 100:30 100:40 100:35');
    const [at] = compareSweeps([loud, half], 'loud', [100]);
    const { mean, ratio, difference } = at?.contenders[1]?.metrics.loadRmsN ?? expect.fail();
    expect(mean).toBeCloseTo(35, 9);
    for (const end of Object.values(ratio)) expect(end).toBeCloseTo(0.5, 9);
    // Differences -30, -40, -35: standard deviation 5; t(0.975; 2) = 4.3027 from any table, times 5 / √3 is 12.421.
    expect(difference.mean).toBeCloseTo(-35, 9);
    expect([difference.ciLow, difference.ciHigh].map((end) => end.toFixed(2))).toEqual(['-47.42', '-22.58']);
  });

  it('have no value where a seed does not reach the rate; a baseline has one everywhere', () => {
    const short = madeSweep('short', '10:50 10:70 30:45; 100:30 100:40 100:35');
    const still = madeSweep('still', '0:50 0:70 0:45', false);
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
