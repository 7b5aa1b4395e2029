import { describe, expect, it } from 'vitest';
import { plainText } from '../../../../host/report/form/colours.js';
import { robustnessSvg } from '../../../../host/report/robustness/robustness-svg.js';
import { robustnessText, soakText } from '../../../../host/report/robustness/robustness-text.js';
import type { Case } from '../../../../host/robustness/case.js';
import { NOMINAL } from '../../../../host/robustness/cases.js';
import type { CaseResult } from '../../../../host/robustness/measure.js';
import { summarise } from '../../../../host/robustness/summary.js';

const NOT_LOWERED = { peakN: Number.NaN, maxKpa: Number.NaN, seconds: Number.NaN };

const result = (of: Case, ratio: number, others: Partial<CaseResult> = {}): CaseResult => ({
  of,
  means: { loadRmsN: 60 * ratio, pulsesPerMin: 100, oilLpm: 0.4, shallow5Percent: 9 },
  perfectRmsN: 30,
  ratios: { loadRmsN: ratio, pulsesPerMin: 1.2, oilLpm: 1.1, shallow5Percent: 1 },
  toPerfect: 2 * ratio,
  addedRatio: ratio,
  judged: ratio,
  wanted: 1.25,
  undersized: [],
  falseAlarmsPerH: 0,
  rowsLostPerH: 0,
  falseAlarms: {},
  lowering: NOT_LOWERED,
  violations: [],
  ...others,
});

const RESULTS = [
  result(NOMINAL, 1),
  result({ name: 'bias <0.5>', group: 'sensors' }, 1.4, { falseAlarms: { leak: 2 }, falseAlarmsPerH: 5 }),
  result({ name: 'lowered', group: 'machine' }, 1.1, { lowering: { peakN: 1420, maxKpa: 15800, seconds: 2.84 } }),
  result({ name: 'stuck', group: 'faults' }, 1, { violations: [{ kind: 'valve', row: 2, rule: 'both valves were open', seed: 103 }] }),
  result({ name: 'machine 1', group: 'random' }, 1.2),
  result({ name: 'machine 2', group: 'random' }, 2),
  result({ name: 'machine 3', group: 'random' }, 4, { undersized: ['precharge-ratio', 'slew-down-time'] }),
];

describe('robustness as text', () => {
  const lines = plainText(robustnessText(RESULTS, summarise(RESULTS))).split('\n');
  const lineOf = (start: string): string => (lines.find((line) => line.startsWith(start)) ?? '').replace(/ +/g, ' ');

  it('has a line for each case, with its limit, its lowering and whether it is beyond', () => {
    expect(lineOf('nominal')).toBe('nominal 60.0 1.00 2.00 1.00 1.20 1.10 1.00 0 0');
    expect(lineOf('sensors: bias')).toBe('sensors: bias <0.5> 84.0 1.40 2.80 1.40 1.25 1.20 1.10 1.00 5 0 BEYOND LIMIT');
    expect(lineOf('machine: lowered')).toMatch(/ 0 lowering: up to 1420 N, 158 bar, 2.8 s$/);
    expect(lineOf('random: machine 2')).toBe('random: machine 2 120.0 2.00 4.00 2.00 1.20 1.10 1.00 0 0');
  });

  it('lists false alarms, broken safety rules, the distribution over random machines and the aims', () => {
    expect(lines.find((line) => /^sensors: bias <0.5> +leak 2$/.test(line))).toBeDefined();
    expect(lines.find((line) => /^faults: stuck +103 +row 2 +both valves were open$/.test(line))).toBeDefined();
    expect(lineOf('added ')).toBe('added 1.60 1.92 2.00');
    // 1.2, 2 and 4: median 2, ninth decile 2 + 0.8·2.
    expect(lineOf('added, with')).toBe('added, with the 1 that are undersized 2.00 3.60 4.00');
    expect(lineOf('random: machine 3')).toMatch(/ undersized: precharge-ratio slew-down-time$/);
    expect(lineOf('the same: worst')).toBe('the same: worst 2 at most 1.5 NOT REACHED');
    expect(lineOf('cases beyond')).toBe('cases beyond their wanted ratio 1 at most 0 NOT REACHED');
    expect(lineOf('cases with a row lost')).toMatch(/ 0 at most 0 reached$/);
  });

  it('of a soak is its findings', () => {
    expect(soakText(1000, [])).toBe('1000 random machines: 0 broken safety rules\n');
    const found = { kind: 'nan', row: 0, rule: 'it is NaN', title: 'random: machine 5', seed: 7 } as const;
    expect(plainText(soakText(10, [found]))).toMatch(/random: machine 5 +7 +bank +it is NaN\n/);
  });
});

describe('robustness as a drawing', () => {
  const svg = robustnessSvg(RESULTS, summarise(RESULTS));
  const circles = (kind: string): number[] =>
    [...svg.matchAll(new RegExp(`class="${kind}" cx="([\\d.]+)"`, 'g'))].map(([, x]) => Number(x));

  it('has a dot and a ring for each case but a ring alone for an undersized machine, further right for a larger ratio, and random machines in ascending order', () => {
    const dots = circles('dot');
    expect(dots).toHaveLength(RESULTS.length - 1);
    expect(circles('other')).toHaveLength(RESULTS.length);
    const [nominal = 0, sensor = 0, , , one = 0, two = 0] = dots;
    expect(sensor).toBeGreaterThan(nominal);
    expect(two).toBeGreaterThan(one);
  });

  it('escapes names, and marks what is beyond its limit or unsafe', () => {
    expect(svg).toContain('bias &lt;0.5&gt;');
    expect(svg.match(/<g class="beyond">/g)).toHaveLength(2);
  });

  it('has random machines only where there are some', () => {
    const without = RESULTS.filter(({ of }) => of.group !== 'random');
    expect(robustnessSvg(without, summarise(without))).not.toContain('Random machines');
    expect(svg).toContain('Random machines');
  });
});
