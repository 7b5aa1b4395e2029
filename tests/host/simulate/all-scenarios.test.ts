import { describe, expect, it } from 'vitest';
import { evaluateRequirements } from '../../../host/assess/requirements.js';
import { describeContract } from '../../../host/contract/contract.js';
import { readScenario, scenarioNames } from '../../../host/simulate/scenario.js';
import { PROJECT } from '../../support/project.js';
import { simulatedRun } from '../../support/simulated-run.js';

const contract = describeContract();

describe('the scenarios of the checkout', () => {
  it.each(scenarioNames(PROJECT))('%s meets its requirements', (name) => {
    const scenario = readScenario(PROJECT, name, contract);
    const { metrics, trap } = simulatedRun(scenario);
    expect(trap).toBeUndefined();
    expect(scenario.requirements.length).toBeGreaterThan(0);
    expect(evaluateRequirements(metrics, scenario.requirements).filter(({ met }) => !met)).toEqual([]);
  });
});
