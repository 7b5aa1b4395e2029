import { describe, expect, it } from 'vitest';
import { describeContract } from '../../../host/contract/contract.js';
import { type RunOptions, resolveSettings } from '../../../host/simulate/run-options.js';
import { readScenario } from '../../../host/simulate/scenario.js';
import { PROJECT } from '../../support/project.js';
import { simulatedRun } from '../../support/simulated-run.js';

const contract = describeContract();
const scenario = readScenario(PROJECT, 'class-d-reference', contract);
const runWith = (options: RunOptions) => simulatedRun(scenario, resolveSettings(scenario, options, contract)).metrics.over;

describe('the settings of a run', () => {
  it('override parameters of the scenario', () => {
    const wide = runWith({ set: ['deadbandMode=fixed', 'deadbandN=300'] });
    expect(wide.pulsesPerMin.mean).toBeLessThan(0.5 * runWith({}).pulsesPerMin.mean);
  });

  it('replace the valve pair by a perfect actuator', () => {
    const { pulsesPerMin, loadRmsN } = runWith({ strategy: 'perfect' });
    expect(pulsesPerMin.max).toBe(0);
    // Measured 30 N; much better is as suspicious as worse.
    expect(loadRmsN.mean).toBeGreaterThan(20);
    expect(loadRmsN.mean).toBeLessThan(45);
  });

  it('replace the valve pair by a proportional valve', () => {
    const { pulsesPerMin, loadRmsN, coilW, coilLossW } = runWith({ strategy: 'proportional' });
    expect(pulsesPerMin.max).toBe(0);
    // Measured 58 N, 7.1 W and 2.5 W.
    expect(loadRmsN.mean).toBeGreaterThan(45);
    expect(loadRmsN.mean).toBeLessThan(90);
    // 12 V times 0.57 A, and 8 ohm times its square (common practice, no source): 6.2 to 7.0 W and 2.3 to 2.8 W.
    expect(coilW.mean).toBeGreaterThan(6);
    expect(coilW.mean).toBeLessThan(8);
    expect(coilLossW.mean).toBeGreaterThan(2.2);
    expect(coilLossW.mean).toBeLessThan(2.9);
  });
});
