import { readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { describeContract } from '../../../host/contract/contract.js';
import { readParameterFile } from '../../../host/contract/parameter-values.js';
import { readMachineFile } from '../../../host/machine/machine.js';
import { plainText } from '../../../host/report/form/colours.js';
import { loadController } from '../../../host/runner/wasm-runner.js';
import { loadPlant } from '../../../host/simulate/plant.js';
import { objectiveOf, positionOf, valueAt } from '../../../host/tune/evaluate.js';
import { tune } from '../../../host/tune/tune.js';
import { resultFile, tunedText } from '../../../host/tune/tune-text.js';
import { type Axis, readTuning, type Tuning } from '../../../host/tune/tuning-file.js';
import { PROJECT } from '../../support/project.js';
import { refusalOf } from '../../support/refusal.js';
import { temporaryFolder } from '../../support/temporary-folder.js';

const folder = temporaryFolder();
const contract = describeContract();
const binaries = { controller: loadController(PROJECT.controllerWasm), plant: loadPlant() };

writeFileSync(join(folder, 'short.yaml'), 'title: Short\nstory: Some seconds of class D.\nrows: 2\nseconds: 12\nfield: { class: D }\n');
// Far too wide: the valves hardly work.
writeFileSync(join(folder, 'detuned.yaml'), 'strategy: threshold\nloadFilterHz: 3\ndeadbandMode: fixed\ndeadbandN: 400\n');

const HEAD = 'title: A test\nscenarios: [./short.yaml]\nseeds: { first: 1, count: 1, fresh: 2 }\nevaluations: 8\n';
let files = 0;
function tuningOf(text: string): Tuning {
  const file = join(folder, `tuning-${++files}.yaml`);
  writeFileSync(file, text);
  return readTuning(PROJECT, file, contract);
}

const DETUNED = `${HEAD}start: detuned.yaml
parameters:
  deadbandN: { min: 10, max: 600, scale: log }
objective: { pulsesPerMin: 200, oilWeight: 0 }
`;

describe('a tuning', () => {
  const tuning = tuningOf(DETUNED);

  it('improves a detuned strategy, also on fresh seeds, and again with the same result', async () => {
    const tuned = await tune(binaries, tuning);
    expect(tuned.start).toEqual({ deadbandN: 400 });
    expect(tuned.result.deadbandN).toBeLessThan(250);
    expect(tuned.tuning.seeds).toEqual([1]);
    expect(tuned.fresh.seeds).toEqual([2, 3]);
    for (const { objective, start, result } of [tuned.tuning, tuned.fresh]) {
      expect(objective.result).toBeLessThan(0.9 * objective.start);
      expect(result[0]?.loadRmsN).toBeLessThan(0.9 * (start[0]?.loadRmsN ?? 0));
    }
    expect(tuned.isBetter).toBe(true);
    expect(await tune(binaries, tuning)).toEqual(tuned);

    const file = join(folder, 'result.yaml');
    writeFileSync(file, resultFile(tuning, tuned, contract));
    expect(readParameterFile(file, contract)).toEqual({ strategy: 0, loadFilterHz: 3, deadbandMode: 0, ...tuned.result });
    expect(readFileSync(file, 'utf8')).toContain('# Tuned on short; seeds 1 to 1;\n# 8 evaluations');
    const text = plainText(tunedText(tuned));
    expect(text).toMatch(/^deadbandN +400 +\d/m);
    expect(text).toMatch(/^short +fresh +\d+\.\d → \d/m);
  });

  it('improves a detuned proportional baseline; the result is a part of a machine', async () => {
    const detuned = tuningOf(
      `${HEAD}proportional:\n  proportionalKpaPerNS: { min: 0.1, max: 100, start: 0.2, scale: log }\nobjective: { oilWeight: 0 }\n`,
    );
    const tuned = await tune(binaries, detuned);
    expect(tuned.result.proportionalKpaPerNS).toBeGreaterThan(1);
    expect(tuned.fresh.objective.result).toBeLessThan(0.95);
    expect(tuned.fresh.result[0]?.pulsesPerMin).toBe(0);

    const file = join(folder, 'machine.yaml');
    writeFileSync(file, `title: The result\n${resultFile(detuned, tuned, contract)}`);
    expect(readMachineFile(file, contract).values).toMatchObject(tuned.result);
  });

  it('tries no values that contradict each other', async () => {
    // deadbandMaxN is 130, and deadbandMinN must not be greater.
    const text = `${HEAD}parameters:\n  deadbandMinN: { min: 70, max: 1000 }\nobjective: { pulseWeight: 0, oilWeight: 0 }\n`;
    const { result } = await tune(binaries, tuningOf(text));
    expect(result.deadbandMinN).toBeLessThanOrEqual(130);
  });
});

describe('a tuning file', () => {
  it.each([
    [
      'an unknown parameter',
      'parameters:\n  deadbandM: { min: 1, max: 2 }\n',
      ':6:3: unknown key `deadbandM` in parameters; did you mean `deadbandN`?',
    ],
    [
      'a limit beyond the table',
      'parameters:\n  deadbandN: { min: 0, max: 100 }\n',
      ':6:21: parameters.deadbandN.min is 0; it must be between 1 and 1000',
    ],
    [
      'limits in the wrong order',
      'parameters:\n  deadbandN: { min: 100, max: 20 }\n',
      ':6:31: parameters.deadbandN.max is 20; it must be greater than min, 100.',
    ],
    [
      'a start outside',
      'parameters:\n  deadbandN: { min: 100, max: 200 }\n',
      ':6:14: the search of deadbandN starts at 40, which is not between 100 and 200.',
    ],
    [
      'a logarithm of 0',
      'parameters:\n  restMs: { min: 0, max: 200, scale: log }\n',
      ':6:18: parameters.restMs.min is 0; it must be greater than 0 on a logarithmic scale.',
    ],
    ['a choice', 'parameters:\n  strategy: { min: 0, max: 2 }\n', ':6:3: unknown key `strategy` in parameters'],
    ['a quantity of another part', 'proportional:\n  massKg: { min: 50, max: 200 }\n', ':6:3: unknown key `massKg` in proportional'],
    [
      'a quantity beyond the table',
      'proportional:\n  proportionalFilterHz: { min: 1, max: 90 Hz }\n',
      ':6:40: proportional.proportionalFilterHz.max is "90 Hz"; it must be between 0.2 and 50 Hz.',
    ],
    ['nothing to search', '', ':1:1: nothing is searched.'],
    [
      'both kinds',
      'parameters:\n  deadbandN: { min: 1, max: 99 }\nproportional:\n  spoolHz: { min: 1, max: 99 }\n',
      ':8:3: parameters and proportional exclude each other.',
    ],
    [
      'a start without parameters',
      'proportional:\n  spoolHz: { min: 1, max: 99 }\nstart: detuned.yaml\n',
      ':7:8: start has parameters of the controller',
    ],
  ])('is refused with %s', (_, text, expected) => {
    expect(refusalOf(() => tuningOf(`${HEAD}${text}`)).message).toContain(expected);
  });

  it('is refused with a scenario that does not exist', () => {
    const rest = '\nseeds: { first: 1, count: 1, fresh: 2 }\nevaluations: 9\nparameters:\n  deadbandN: { min: 1, max: 99 }\n';
    const refused = (scenario: string): string => refusalOf(() => tuningOf(`title: A test\nscenarios: [${scenario}]${rest}`)).message;
    expect(refused('class-d-refrence')).toContain(':2:13: scenarios[0] is "class-d-refrence"; did you mean `class-d-reference`?');
    expect(refused('./none.yaml')).toContain(`:2:13: there is no scenario file ${join(folder, 'none.yaml')}.`);
  });

  it('is refused if scenarios start at different values', () => {
    writeFileSync(join(folder, 'wide.yaml'), 'title: Wide\nstory: Wide deadband.\nrows: 1\nseconds: 5\nparameters: { deadbandN: 90 }\n');
    const text = `${HEAD}parameters:\n  deadbandN: { min: 1, max: 99 }\n`.replace('./short.yaml', './short.yaml, ./wide.yaml');
    expect(refusalOf(() => tuningOf(text)).message).toContain(
      ':6:14: deadbandN is 40 in one scenario and 90 in another. Add a start beside min and max.',
    );
  });

  const shipped = join(PROJECT.root, 'vectors', 'tuning');
  it.each(readdirSync(shipped).filter((name) => name.endsWith('.yaml')))('%s can be read', (name) => {
    expect(readTuning(PROJECT, join(shipped, name), contract).axes.length).toBeGreaterThan(0);
  });
});

describe('positions on an axis', () => {
  const axis = (changes: Partial<Axis>): Axis => ({
    name: 'x',
    min: 1,
    max: 100,
    isLogarithmic: false,
    isInteger: false,
    start: 1,
    ...changes,
  });

  it.each([
    ['linear', axis({}), 0.5, 50.5],
    ['logarithmic', axis({ isLogarithmic: true }), 0.5, 10],
    ['integer', axis({ isInteger: true }), 0.5, 51],
    ['rounded to four digits', axis({ max: 3 }), 1 / 3, 1.667],
  ])('%s', (_, one, position, value) => {
    expect(valueAt(one, position)).toBe(value);
    expect(positionOf(one, valueAt(one, position))).toBeCloseTo(position, 1);
  });
});

describe('the objective', () => {
  const start = [
    { loadRmsN: 100, pulsesPerMin: 50, oilLpm: 1 },
    { loadRmsN: 50, pulsesPerMin: 100, oilLpm: 2 },
  ];
  const weights = { pulseWeight: 2, oilWeight: 0.5 };

  it('is 1 at the start, more than 1 if the start has too many pulses', () => {
    expect(objectiveOf(start, start, weights)).toBe(1);
    // Half of the scenarios have a quarter too many, at twice the weight.
    expect(objectiveOf(start, start, { ...weights, pulsesPerMin: 80 })).toBeCloseTo(1 + 2 * 0.25 * 0.5, 12);
  });

  it('is the mean of load ratios and penalties; nothing is gained by fewer pulses or less oil', () => {
    const metrics = [
      { loadRmsN: 80, pulsesPerMin: 60, oilLpm: 0.5 },
      { loadRmsN: 50, pulsesPerMin: 10, oilLpm: 3 },
    ];
    expect(objectiveOf(metrics, start, weights)).toBeCloseTo((0.8 + 2 * 0.2 + 1 + 0.5 * 0.5) / 2, 12);
  });

  it('is infinite if the controller stopped', () => {
    expect(objectiveOf([{ loadRmsN: Number.NaN, pulsesPerMin: 1, oilLpm: 1 }], start, weights)).toBe(Number.POSITIVE_INFINITY);
  });
});
