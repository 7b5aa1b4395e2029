import { describe, expect, it } from 'vitest';
import { METRICS, type Metrics } from '../../../../host/assess/metrics.js';
import { evaluateRequirements } from '../../../../host/assess/requirements.js';
import { plainText } from '../../../../host/report/form/colours.js';
import { metricsText, spreadText } from '../../../../host/report/simulation/metrics-text.js';
import { LIFTED, MadeRun } from '../../../support/made-run.js';

describe('metrics as text', () => {
  const made = (wheelN: number): Metrics => {
    const run = new MadeRun(2).set('truth', 1, { wheelN, chamberKpa: 4120 }).set('truth', 2, { wheelN, chamberKpa: 4120 });
    return run.go(1000).set('output', 2, { faults: 2 }).go(3000).finish();
  };
  const lineOf = (text: string, name: string): string => (text.split('\n').find((line) => line.startsWith(name)) ?? '').replace(/ +/g, ' ');

  it('show rows, bank, faults and requirements, in the units of the names, within 100 columns', () => {
    const metrics = made(500);
    const text = plainText(
      metricsText(
        metrics,
        evaluateRequirements(metrics, [
          { metric: 'loadRmsN', max: 40 },
          { metric: 'assessedS', min: 2 },
        ]),
      ),
    );
    expect(lineOf(text, 'chamberMinKpa')).toBe('chamberMinKpa 4120 4120 4120 kPa');
    expect(lineOf(text, 'loadRmsN ')).toBe('loadRmsN 50.0 50.0 50.0 N');
    expect(lineOf(text, 'loadOpen')).toBe('loadOpen row 2 1.000 end');
    expect(lineOf(text, 'assessedS ')).toBe('assessedS 2.00 s');
    expect(lineOf(text, 'loadRmsN, mean')).toBe('loadRmsN, mean over rows: at most 40 N 50 N NOT MET');
    expect(lineOf(text, 'assessedS:')).toBe('assessedS: at least 2 s 2 s met');
    for (const line of text.split('\n')) expect(line.length).toBeLessThanOrEqual(100);
    for (const { name } of METRICS) expect(text).toContain(`${name} `);
  });

  it('of several seeds show mean, standard deviation and the worst seed', () => {
    const text = plainText(
      spreadText([
        { seed: 7, metrics: made(460) },
        { seed: 8, metrics: made(470) },
        { seed: 9, metrics: made(480) },
      ]),
    );
    // Errors of 10, 20 and 30 N: mean 20, standard deviation 10. The lowest mean load is the worst.
    expect(lineOf(text, 'loadRmsN')).toBe('loadRmsN mean 20.0 10.0 N 30.0 9');
    expect(lineOf(text, 'meanLoadN')).toBe('meanLoadN mean 470 10.0 N 460 7');
    expect(lineOf(text, 'faultsSet')).toBe('faultsSet bank 1 0 1 7');
    for (const line of text.split('\n')) expect(line.length).toBeLessThanOrEqual(100);
  });

  it('treat a seed without a value as the worst, and give one seed no standard deviation', () => {
    const idle = new MadeRun().set('output', 0, { mode: LIFTED }).go(10).finish();
    const runs = [
      { seed: 1, metrics: made(460) },
      { seed: 2, metrics: idle },
    ];
    expect(lineOf(plainText(spreadText(runs)), 'loadRmsN')).toBe('loadRmsN mean – – N – 2');
    expect(lineOf(plainText(spreadText(runs.slice(0, 1))), 'loadRmsN')).toBe('loadRmsN mean 10.0 – N 10.0 1');
  });
});
