import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { crc32 } from 'node:zlib';
import { describe, expect, it } from 'vitest';
import { loadPlant } from '../../../host/simulate/plant.js';
import { defaultSettings, type RunListener, runScenario, type SimulatedRun } from '../../../host/simulate/run.js';
import { readScenario, type Scenario } from '../../../host/simulate/scenario.js';
import { controller } from '../../support/bench.js';
import { PROJECT } from '../../support/project.js';
import { temporaryFolder } from '../../support/temporary-folder.js';

const folder = temporaryFolder();
const plant = loadPlant();

/** Two rows on a class D field for eight seconds. */
function scenarioOf(machine: string, events: readonly string[] = []): Scenario {
  writeFileSync(join(folder, 'machine.yaml'), `title: Made up\nnote: Invented for a test.\nreservoir: none\n${machine}`);
  const head = 'title: Field\nstory: Invented for a test.\nmachine: ./machine.yaml\nrows: 2\nseconds: 8\nseed: 3\nfield: { class: D }\n';
  const list = events.map((line) => `  - { atS: 0, row: all, what: ${line} }\n`).join('');
  writeFileSync(join(folder, 'field.yaml'), `${head}${list === '' ? '' : `events:\n${list}`}`);
  return readScenario(PROJECT, join(folder, 'field.yaml'), controller.description.contract);
}

function run(scenario: Scenario, listener?: RunListener): SimulatedRun {
  return runScenario(controller, plant, scenario, defaultSettings(scenario), undefined, undefined, listener);
}

/** Hash over what the controller does and what becomes of it, without what it reads. */
function effectOf(scenario: Scenario): { hash: number; inputs: number } {
  let [hash, inputs] = [0, 0];
  run(scenario, (_, { input, output, truth }) => {
    hash = crc32(truth, crc32(output, hash));
    inputs = crc32(input, inputs);
  });
  return { hash, inputs };
}

describe('an accelerometer that is not fitted', () => {
  const clean = effectOf(scenarioOf('accelerometer: none\n'));

  it.each(['open', 'short', 'jumping', 'garbage'])('may have a %s input: the controller ignores it', (fault) => {
    const { hash, inputs } = effectOf(scenarioOf('accelerometer: none\n', [`acceleration-sensor-${fault}`]));
    expect(inputs).not.toBe(clean.inputs);
    expect(hash).toBe(clean.hash);
  });

  it('would matter if it were fitted', () => {
    const fitted = effectOf(scenarioOf('accelerometer: { accelerationFitted: 1 }\n'));
    expect(effectOf(scenarioOf('accelerometer: { accelerationFitted: 1 }\n', ['acceleration-sensor-garbage'])).hash).not.toBe(fitted.hash);
  });
});

describe('sensors without any noise', () => {
  it.each([1024, 4096, 65535])('are accepted, with an ADC of %i counts that the controller knows', (counts) => {
    const noise = `sensors: { adcFullScaleCounts: ${counts}, loadNoiseN: 0, pressureNoiseKpa: 0 }\naccelerometer: { accelerationNoiseMps2PerRootHz: 0 }\n`;
    const scenario = scenarioOf(noise);
    expect(scenario.parameters.adcFullScaleCounts).toBe(counts);
    const { trap, metrics } = run(scenario);
    expect(trap).toBeUndefined();
    expect(metrics.over.bothOpenMs.max).toBe(0);
    // Converted with another range, the load would be off by more than half of the target.
    expect(metrics.over.loadRmsN.max).toBeLessThan(200);
  });
});
