import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { describeContract } from '../../../host/contract/contract.js';
import { type Case, GROUPS, titleOf } from '../../../host/robustness/case.js';
import { CASES, NOMINAL } from '../../../host/robustness/cases.js';
import { hillCsv } from '../../../host/robustness/hill.js';
import { type CaseRuns, compareCase } from '../../../host/robustness/measure.js';
import { readOptions } from '../../../host/robustness/options.js';
import { type PlannedCase, planCase } from '../../../host/robustness/plan.js';
import { DRIVE_RANGES, FIELD_RANGES, PART_RANGES, randomCase } from '../../../host/robustness/random-case.js';
import { chooseCases } from '../../../host/robustness/run.js';
import { SafetyWatch } from '../../../host/robustness/safety-watch.js';
import { soakCase } from '../../../host/robustness/soak.js';
import { aimsOf, distributionOf, quantile, summarise } from '../../../host/robustness/summary.js';
import { FAULTS } from '../../../shared/faults.js';
import { MadeRun } from '../../support/made-run.js';

const contract = describeContract();
const parameters = Object.fromEntries(contract.parameters.map((one) => [one.name, one.default]));
const folder = mkdtempSync(join(tmpdir(), 'latchbench-'));
afterAll(() => rmSync(folder, { recursive: true }));

const plan = (one: Case, index = 0): PlannedCase => planCase(one, index, { contract, folder, seeds: 2, seconds: 30 });

describe('the cases', () => {
  it('are valid scenarios, each with its own name', () => {
    const titles = [NOMINAL, ...CASES].map(titleOf);
    expect(new Set(titles).size).toBe(titles.length);
    expect(CASES.length).toBeGreaterThanOrEqual(50);
    for (const [index, one] of [NOMINAL, ...CASES].entries()) expect(plan(one, index).seeds).toHaveLength(2);
  });

  it('expect faults that exist, and are of every group', () => {
    const names = FAULTS.map(({ name }) => name);
    for (const { expected = [] } of CASES) expect(names).toEqual(expect.arrayContaining([...expected]));
    expect(new Set(CASES.map(({ group }) => group))).toEqual(new Set(GROUPS.filter((group) => group !== 'nominal' && group !== 'random')));
  });

  it('have runs of the perfect actuation in common unless machine or field differ in what it depends on', () => {
    const mechanicsOf = (name: string): string => plan(CASES.find((one) => one.name === name) ?? expect.fail(name)).mechanics;
    const nominal = plan(NOMINAL).mechanics;
    for (const name of ['10-bit ADC', 'valve flow 0.6 of nominal', 'speed lost']) expect(mechanicsOf(name), name).toBe(nominal);
    for (const name of ['class E', '5 m/s', 'friction 100 N', 'precharge 12 → 4 bar at once', 'hills of 10 cm over 30 m'])
      expect(mechanicsOf(name), name).not.toBe(nominal);
  });

  it('are chosen by a part of their name, the nominal one always', () => {
    expect(chooseCases({ only: 'field: class', machines: 3 }, parameters).map(titleOf)).toEqual([
      'nominal',
      'field: class C',
      'field: class E',
      'field: class E and bouncing toolbar',
    ]);
    expect(chooseCases({ only: 'random', machines: 3 }, parameters)).toHaveLength(1 + 3);
    expect(() => chooseCases({ only: 'no such case', machines: 3 }, parameters)).toThrow('--only is "no such case"');
  });
});

describe('a random machine', () => {
  it('is the same for the same seed, and another one for another', () => {
    expect(randomCase(7, parameters)).toEqual(randomCase(7, parameters));
    expect(randomCase(7, parameters).parts).not.toEqual(randomCase(8, parameters).parts);
  });

  it('is within its ranges, and uses them', () => {
    const cases = Array.from({ length: 200 }, (_, seed) => randomCase(seed, parameters));
    const valuesOf = (name: string): number[] =>
      cases.flatMap(({ parts, scenario }) => {
        const places = [...Object.values(parts ?? {}), scenario?.field, ...((scenario?.drive ?? []) as object[]).slice(0, 1)];
        return places.flatMap((place) => (name in Object(place) ? [Number((place as Record<string, number>)[name])] : []));
      });
    for (const { name, min, max, isLog } of [...PART_RANGES, ...FIELD_RANGES, ...DRIVE_RANGES]) {
      const values = valuesOf(name);
      expect(values.length, name).toBeGreaterThan(100);
      const scale = (value: number): number => (isLog ? Math.log(value / min) / Math.log(max / min) : (value - min) / (max - min));
      // 100 draws miss an outer twentieth with a probability of 0.6 %; the seeds are fixed.
      expect(Math.min(...values.map(scale)), name).toBeLessThan(0.05);
      expect(Math.max(...values.map(scale)), name).toBeGreaterThan(0.95);
      expect(Math.min(...values.map(scale)), name).toBeGreaterThan(-1e-3);
      expect(Math.max(...values.map(scale)), name).toBeLessThan(1 + 1e-3);
    }
  });

  it('is a valid scenario, also with a random event', () => {
    for (let seed = 0; seed < 60; seed++) {
      plan(randomCase(seed, parameters));
      plan(soakCase(seed, parameters));
    }
  });

  it('hides from the controller in what it differs from its data sheet, but not its mass', () => {
    const { parts = {}, scenario } = randomCase(3, parameters);
    const { valve, row } = parts as Record<string, Record<string, number>>;
    expect(scenario?.parameters).toMatchObject({ valveFlowLpm: 8, prechargeAbsoluteKpa: 1200, movingMassKg: (row?.massKg ?? 0) + 20 });
    expect(valve?.valveFlowLpm).not.toBe(8);
  });
});

describe('a hill', () => {
  const tracksOf = (heightM: number): number[][] => {
    const lines = hillCsv({ heightM, lengthM: 40 }, 2, 400).trim().split('\n').slice(1);
    const cells = lines.map((line) => line.split(',').map(Number));
    return [1, 2].map((column) => cells.map((one) => one[column] ?? Number.NaN));
  };
  const [flat = [], other = []] = tracksOf(0);

  it('rises by its height over half of its length', () => {
    const [hilly = []] = tracksOf(2);
    const hill = hilly.map((height, index) => height - (flat[index] ?? 0));
    for (const [xM, heightM] of [
      [0, -1],
      [10, 0],
      [20, 1],
      [30, 0],
      [380, 1],
    ] as const)
      expect(hill[xM / 0.05]).toBeCloseTo(heightM, 4);
  });

  // Var(dz/dx) = ∫(2πn)²·Gd(n0)·(n0/n)²·dn from 0.01 to 4 cycles/m = 4π²·1024e-6 m³·(0.1/m)²·3.99/m = 1.61e-3; differences over
  // 0.05 m lose some 4 % of it: the mean of sin²(πn·0.05 m)/(πn·0.05 m)² is 0.96.
  it('is on the slopes of class D', () => {
    const slopes = other.slice(1).map((height, index) => (height - (other[index] ?? 0)) / 0.05);
    const variance = slopes.reduce((sum, slope) => sum + slope * slope, 0) / slopes.length;
    expect(variance).toBeGreaterThan(1.5e-3);
    expect(variance).toBeLessThan(1.6e-3);
  });

  it('has long waves that rows share, and short ones that they do not', () => {
    const differences = flat.map((height, index) => Math.abs(height - (other[index] ?? 0)));
    // The short waves have a variance of ∫Gd(n0)·(n0/n)²·dn from 0.1 to 4 cycles/m = 1e-4 m² in each row, σ = 10 mm.
    expect(Math.max(...differences)).toBeGreaterThan(0.02);
    expect(Math.max(...differences)).toBeLessThan(0.08);
  });
});

describe('the safety watch', () => {
  const [OPEN, CLOSE] = [1, 2];
  class Watched extends MadeRun {
    readonly watch = new SafetyWatch(contract, this.rows, 1000);
    override go(ticks: number): this {
      for (let count = 0; count < ticks; count++) {
        super.go(1);
        this.watch.take(this.tick - 1, this.views);
      }
      return this;
    }
  }
  const closedAt = (tick: number): Watched => {
    const run = new Watched(2).set('truth', 2, { returnOpening: 1 }).set('output', 2, { returnOrder: OPEN }).go(tick);
    return run.set('output', 2, { returnOrder: CLOSE }).go(2).set('output', 2, { returnOrder: 0 });
  };

  it('finds a valve that is open 0.3 s after it was ordered closed', () => {
    expect(closedAt(10).go(299).watch.violations()).toEqual([]);
    expect(closedAt(10).go(302).watch.violations()).toMatchObject([
      { kind: 'valve', row: 2, rule: expect.stringContaining('return valve') },
    ]);
  });

  it('finds nothing if the valve closed, or was ordered open again', () => {
    expect(closedAt(10).set('truth', 2, { returnOpening: 0 }).go(400).watch.violations()).toEqual([]);
    expect(closedAt(10).set('output', 2, { returnOrder: OPEN }).go(400).watch.violations()).toEqual([]);
    expect(new Watched().set('truth', 1, { supplyOpening: 1 }).go(400).watch.violations()).toEqual([]);
  });

  it('finds a value that is not a number, of bank or row, in truth or probe', () => {
    const rules = [
      new Watched().set('truth', 1, { wheelN: Number.NaN }),
      new Watched().set('probe', 1, { loadN: Number.NaN }),
      new Watched().set('probe', 0, { railKpa: Number.NaN }),
    ].map((run) => run.go(200).watch.violations());
    expect(rules).toMatchObject([
      [{ kind: 'nan', row: 1, rule: expect.stringContaining('truth wheelN') }],
      [{ kind: 'nan', row: 1, rule: expect.stringContaining('probe loadN') }],
      [{ kind: 'nan', row: 0, rule: expect.stringContaining('probe railKpa') }],
    ]);
  });
});

describe('the comparison with the nominal case', () => {
  /** Runs of 3600 s/100 on rows with given loads, and a target of 450 N. */
  const runsOf = (of: Case, loads: readonly number[], perfectN: number, change: (run: MadeRun) => void = () => {}): CaseRuns => {
    const made = (wheelN: readonly number[]): MadeRun => {
      const run = new MadeRun(wheelN.length);
      for (const [row, one] of wheelN.entries()) run.set('truth', row + 1, { wheelN: one, chamberKpa: 4000 });
      return run;
    };
    const watched = (run: MadeRun) => ({ run: { metrics: run.go(1000).finish(), hash: '', ticks: 0, trap: undefined }, violations: [] });
    const run = made(loads).go(2000);
    change(run);
    const planned = { ...plan(of), rows: loads.length, seeds: [1] };
    return { planned, runs: [watched(run)], perfect: [watched(made(loads.map(() => 450 + perfectN)).go(2000))] };
  };
  const nominal = runsOf(NOMINAL, [500, 500], 30);
  const sensor: Case = { name: 'a sensor', group: 'sensors' };
  const rough: Case = { name: 'a field', group: 'field', scenario: { field: { class: 'E' } } };

  // Errors of 75 N against 50 N; √(75² − 30²) = 68.74 N against √(50² − 30²) = 40 N.
  it('is the ratio of the load errors, and of what the controller adds to the perfect actuation', () => {
    const result = compareCase(runsOf(sensor, [525, 525], 30), nominal);
    expect(result.means.loadRmsN).toBeCloseTo(75, 6);
    expect(result.ratios.loadRmsN).toBeCloseTo(1.5, 6);
    expect(result.toPerfect).toBeCloseTo(2.5, 6);
    expect(result.addedRatio).toBeCloseTo(68.739 / 40, 3);
    expect(result.judged).toBe(result.ratios.loadRmsN);
  });

  // √(75² − 60²) = 45 N.
  it('judges a harder field by what the controller adds', () => {
    const result = compareCase(runsOf(rough, [525, 525], 60), nominal);
    expect(result.addedRatio).toBeCloseTo(45 / 40, 6);
    expect(result.judged).toBe(result.addedRatio);
    expect(compareCase(runsOf(rough, [525, 525], 80), nominal).judged).toBe(0);
  });

  it('leaves out rows with a broken part, unless all rows have it', () => {
    const loads = [1450, 500];
    expect(compareCase(runsOf({ ...sensor, broken: [1] }, loads, 30), nominal).judged).toBeCloseTo(1, 6);
    expect(compareCase(runsOf({ ...sensor, broken: 'all' }, loads, 30), nominal).means.loadRmsN).toBeCloseTo((1000 + 50) / 2, 6);
  });

  // Bits as in shared/faults.ts: loadOpen 1, which freezes a row, and accelerationShort 10, which only reports.
  const fault = (row: number, bit: number) => (run: MadeRun) => {
    run.set('output', row, { faults: 1 << bit });
  };
  const hours = (3 / 3600) * 2;

  it('counts faults without a cause, per hour and row', () => {
    const of = (one: Case, row: number) => compareCase(runsOf(one, [500, 500], 30, fault(row, 10)), nominal);
    expect(of(sensor, 1)).toMatchObject({ falseAlarms: { accelerationShort: 1 }, rowsLostPerH: 0 });
    expect(of(sensor, 1).falseAlarmsPerH).toBeCloseTo(1 / hours, 6);
    expect(of({ ...sensor, expected: ['accelerationShort'] }, 1).falseAlarmsPerH).toBe(0);
    expect(of({ ...sensor, expected: ['accelerationShort'], broken: [1] }, 1).falseAlarmsPerH).toBe(0);
    expect(of({ ...sensor, expected: ['accelerationShort'], broken: [1] }, 2).falseAlarmsPerH).toBeCloseTo(1 / hours, 6);
  });

  it('counts rows that end stopped without a broken part', () => {
    const of = (one: Case) => compareCase(runsOf(one, [500, 500], 30, fault(2, 1)), nominal).rowsLostPerH;
    expect(of(sensor)).toBeCloseTo(1 / hours, 6);
    expect(of({ ...sensor, broken: [1] })).toBeCloseTo(1 / hours, 6);
    expect(of({ ...sensor, broken: [2] })).toBe(0);
    const cleared = (run: MadeRun): void => {
      fault(2, 1)(run);
      run.go(100).set('output', 2, { faults: 0 });
    };
    expect(compareCase(runsOf(sensor, [500, 500], 30, cleared), nominal).rowsLostPerH).toBe(0);
  });

  // supplyCritical, bit 9 of the bank, inhibits all strokes.
  it('counts all rows where the bank stops them, unless that is the case itself', () => {
    const of = (one: Case) => compareCase(runsOf(one, [500, 500], 30, fault(0, 9)), nominal).rowsLostPerH;
    expect(of(sensor)).toBeCloseTo(2 / hours, 6);
    expect(of({ ...sensor, expected: ['supplyCritical'] })).toBe(0);
  });

  it('exempts only valve positions of broken rows from the safety rules', () => {
    const all = runsOf({ ...sensor, broken: [1] }, [500, 500], 30);
    const violations = (['valve', 'nan', 'trap'] as const).map((kind) => ({ kind, row: 1, rule: kind }));
    const watched = {
      ...all,
      runs: all.runs.map((one) => ({ ...one, violations: [...violations, { kind: 'valve' as const, row: 2, rule: 'row 2' }] })),
    };
    expect(compareCase(watched, nominal).violations.map(({ rule }) => rule)).toEqual(['nan', 'trap', 'row 2']);
  });

  it('sums up to aims, of which NaN reaches none', () => {
    const random = (addedTo: number) => {
      const result = compareCase(runsOf({ name: 'one', group: 'random', scenario: rough.scenario ?? {} }, [525, 525], 60), nominal);
      return { ...result, addedRatio: addedTo };
    };
    const results = [1, 1.1, 1.2, 1.3].map(random);
    expect(aimsOf(summarise(results)).map(({ measured, isReached }) => [Number(measured.toFixed(3)), isReached])).toEqual([
      [1.15, false],
      [1.27, false],
      [1.3, true],
      [0, true],
      [0, true],
      [0, true],
    ]);
    expect(aimsOf(summarise([random(Number.NaN)])).slice(0, 3)).toMatchObject(Array(3).fill({ isReached: false }));
    const bad = { ...compareCase(runsOf(sensor, [525, 525], 30), nominal), judged: Number.NaN };
    expect(summarise([bad]).beyondWanted).toBe(1);
  });
});

describe('a machine', () => {
  const failing = (parts: Case['parts'], scenario: Case['scenario'] = {}) =>
    plan({ name: 'one', group: 'random', ...(parts === undefined ? {} : { parts }), scenario }).undersized;

  it('that passes the design checks for its job is not undersized', () => expect(failing({})).toEqual([]));

  // In the softest soil (450 - 150·9.81 + 600 + 220 + 300) N over 0.221 N/kPa is 4.5 bar; precharge is 11 bar.
  it('whose accumulator is empty in the softest soil is', () => {
    expect(failing({ row: { massKg: 130 } })).toContain('precharge-ratio');
    expect(failing({ row: { massKg: 130 } }, { field: { class: 'D', soilMinN: 1000, soilMaxN: 1200 } })).toEqual([]);
  });

  // At 45 bar the default valve needs 0.27 s to lower the load by 400 N, a quarter of it 1.1 s.
  it('whose valves are too slow is', () => expect(failing({ valve: { valveFlowLpm: 2 } })).toEqual(['slew-up-time', 'slew-down-time']));

  it('that is undersized does not count in the distribution of what the controller adds', () => {
    const result = (addedRatio: number, undersized: string[]) => {
      const runs: CaseRuns = { planned: { ...plan({ name: 'one', group: 'random' }), undersized }, runs: [], perfect: [] };
      return { ...compareCase(runs, runs), addedRatio };
    };
    const summary = summarise([result(1, []), result(3, ['slew-up-time'])]);
    expect(summary).toMatchObject({ undersized: 1, addedRatio: { worst: 1 }, addedRatioOfAll: { worst: 3 } });
  });
});

describe('a quantile', () => {
  // Hyndman and Fan's type 7, as R's quantile() gives by default.
  it.each([
    [[4, 1, 3, 2], 0.5, 2.5],
    [[4, 1, 3, 2], 0.9, 3.7],
    [[1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11], 0.9, 10],
    [[5], 0.9, 5],
    [[1, Number.NaN], 1, Number.POSITIVE_INFINITY],
  ])('of %j at %d is %d', (values, share, expected) => expect(quantile(values, share)).toBeCloseTo(expected, 9));

  it('of nothing is NaN', () => expect(distributionOf([])).toEqual({ median: Number.NaN, ninthDecile: Number.NaN, worst: Number.NaN }));
});

describe('the flags of npm run robustness', () => {
  it('have defaults', () => {
    expect(readOptions([])).toEqual({ only: '', seeds: 3, seconds: 60, machines: 40, soak: 0, json: false, output: undefined });
    expect(readOptions(['--only', 'gas', '--seeds', '2', '-o', 'a.svg', '--json'])).toMatchObject({
      only: 'gas',
      seeds: 2,
      json: true,
      output: 'a.svg',
    });
  });

  it.each([
    [['--seeds', '0'], '--seeds is "0"; it must be an integer between 1 and 1000'],
    [['--seconds', '19'], '--seconds is "19"; it must be an integer between 20 and 3600'],
    [['--machines', 'many'], '--machines is "many"'],
    [['--soak=-1'], '--soak is "-1"'],
    [['--seed', '1'], "Unknown option '--seed'"],
  ])('%j is refused', (args, message) => expect(() => readOptions(args)).toThrow(message));
});
