import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeEach, describe, expect, it } from 'vitest';
import { InputError } from '../../../host/common/input-error.js';
import { describeContract } from '../../../host/contract/contract.js';
import { machineNames } from '../../../host/machine/machine.js';
import { EVENTS, keysOf } from '../../../host/simulate/events.js';
import { readScenario, type Scenario, scenarioNames } from '../../../host/simulate/scenario.js';
import { FIELD } from '../../../shared/field.js';
import { PROJECT } from '../../support/project.js';

const contract = describeContract();
const folder = mkdtempSync(join(tmpdir(), 'latchbench-scenario-'));
const file = join(folder, 's.yaml');
afterAll(() => rmSync(folder, { recursive: true }));

/** Reads a scenario of four rows and ten seconds unless `head` says otherwise; the first line of `text` is line 5. */
function scenarioOf(text = '', head = 'rows: 4\nseconds: 10\n'): Scenario {
  writeFileSync(file, `title: Made up\nstory: Invented.\n${head}${text}`);
  return readScenario(PROJECT, file, contract);
}

/** The message of the InputError, without the folder. */
function refusal(text: string, head?: string): string {
  try {
    scenarioOf(text, head);
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    return error.message.replaceAll(`${folder}/`, '');
  }
  throw new Error('no error was thrown');
}

const events = (...lines: string[]): string => `events:\n${lines.map((line) => `  - { ${line} }\n`).join('')}`;
const drive = (...lines: string[]): string => `drive:\n${lines.map((line) => `  - { ${line} }\n`).join('')}`;

describe('the scenarios of the checkout', () => {
  it.each(scenarioNames(PROJECT))('%s is valid and states that it is invented', (name) => {
    const { story, requirements, timeline, seconds, tickHz } = readScenario(PROJECT, name, contract);
    expect(story).toMatch(/invented/i);
    expect(requirements.length).toBeGreaterThan(0);
    expect(timeline.ticks).toBe(seconds * tickHz);
  });

  it('use every machine except those for sizing, and one that figures and robustness use', () => {
    const used = new Set(scenarioNames(PROJECT).map((name) => readScenario(PROJECT, name, contract).machine.name));
    const sized = ['research-8-row', 'field-24-row', 'wide-48-row'];
    expect([...used, ...sized, 'ideal'].sort()).toEqual(machineNames(PROJECT));
  });
});

describe('a scenario', () => {
  it('has defaults for everything except title, story, rows and seconds', () => {
    const { machine, seed, tickHz, startKpa, field, profile, timeline, requirements, name } = scenarioOf();
    expect({ name, machine: machine.name, seed, tickHz, startKpa }).toEqual({
      name: 's',
      machine: 'default',
      seed: 1,
      tickHz: 1000,
      startKpa: 3500,
    });
    expect(field).toEqual(Object.fromEntries(FIELD.map((one) => [one.name, one.default])));
    expect([profile, timeline.ticks, requirements]).toEqual([undefined, 10000, []]);
    expect(timeline.driveAt(0)).toEqual({
      speedMps: 3,
      targetLoadN: 450,
      lowered: 1,
      enabled: 1,
      shutDown: 0,
      oilC: 40,
      airC: 20,
      sourceV: 13.2,
      railRatio: 1,
      gradePercent: 0,
      sideSlopePercent: 0,
      busLost: 0,
      speedLost: 0,
      railSensor: 0,
      liftSwitchBounceMs: 0,
    });
  });

  it('may use other units', () => {
    const { startKpa, seconds, field } = scenarioOf('startKpa: 42 bar\nfield: { stoneLengthMm: 0.3 m }\n', 'rows: 1\nseconds: 500 ms\n');
    expect({ startKpa, seconds, stone: field.stoneLengthMm }).toEqual({ startKpa: 4200, seconds: 0.5, stone: 300 });
  });

  it.each([
    ['no rows', '', 'rows: 0\nseconds: 10\n', 's.yaml:3:7: rows is 0; it must be between 1 and 48.'],
    ['too many rows', '', 'rows: 49\nseconds: 10\n', 's.yaml:3:7: rows is 49; it must be between 1 and 48.'],
    ['more than six hours', '', 'rows: 1\nseconds: 21601\n', 's.yaml:4:10: seconds is 21601; it must be between 0.01 and 21600 s.'],
    ['no time', '', 'rows: 1\nseconds: 0\n', 's.yaml:4:10: seconds is 0; it must be between 0.01 and 21600 s.'],
    [
      'another kind of unit',
      '',
      'rows: 1\nseconds: 10 bar\n',
      's.yaml:4:10: seconds is "10 bar"; it must be between 0.01 and 21600 s, as a number or as text with ',
    ],
    ['a seed that is negative', 'seed: -1\n', undefined, 's.yaml:5:7: seed is -1; it must be between 0 and 4294967295.'],
    [
      'a tick rate that the controller does not support',
      'tickHz: 100\n',
      undefined,
      's.yaml:5:9: tickHz is 100; it must be between 500 and 2000 Hz.',
    ],
    ['an unknown key', 'row: 3\n', undefined, 's.yaml:5:1: unknown key `row`; did you mean `rows`?'],
    ['no story', '', '', 's.yaml:1:1: rows is missing'],
  ])('with %s is refused', (_, text, head, words) => {
    expect(refusal(text, head)).toContain(words);
  });

  it('that does not exist is refused with the known names', () => {
    expect(() => readScenario(PROJECT, 'target-stop', contract)).toThrow(
      /target-stop\.yaml: there is no scenario target-stop; did you mean `target-step`\?/,
    );
    expect(() => readScenario(PROJECT, './nowhere.yaml', contract)).toThrow('./nowhere.yaml: no such file.');
  });
});

describe('the machine of a scenario', () => {
  beforeEach(() => writeFileSync(join(folder, 'mine.yaml'), 'title: Mine\nactuator: { capAreaCm2: 6 }\ncontroller: { deadbandN: 50 }\n'));

  it('is a name, or a path relative to the scenario', () => {
    expect(scenarioOf('machine: large-valves\n').machine.values.valveFlowLpm).toBe(12);
    expect(scenarioOf('machine: ./mine.yaml\n').machine).toMatchObject({ name: 'mine', title: 'Mine' });
    expect(scenarioOf('machine: mine.yaml\n').machine.name).toBe('mine');
  });

  it('gives the parameters first, then its `controller`, then the scenario', () => {
    expect(scenarioOf('machine: mine.yaml\n').parameters).toMatchObject({ capAreaCm2: 6, deadbandN: 50, tickHz: 1000 });
    const { parameters } = scenarioOf(
      'machine: mine.yaml\ntickHz: 500\nparameters: { capAreaCm2: 5, deadbandN: 60, strategy: threshold }\n',
    );
    expect(parameters).toMatchObject({ capAreaCm2: 5, deadbandN: 60, strategy: 0, tickHz: 500 });
  });

  it.each([
    ['unknown name', 'machine: huge-valves\n', 's.yaml:5:10: there is no machine huge-valves; did you mean `large-valves`?'],
    ['path to no file', 'machine: ./yours.yaml\n', 's.yaml:5:10: there is no machine file yours.yaml.'],
    [
      'parameter that breaks a rule',
      'parameters: { prechargeAbsoluteKpa: 13000 }\n',
      's.yaml:5:37: prechargeAbsoluteKpa is 13000, but setPointMaxKpa is 12000. setPointMaxKpa must be at least prechargeAbsoluteKpa.',
    ],
    [
      'parameter that contradicts the machine',
      'parameters: { setPointMaxKpa: 1000 }\n',
      's.yaml:5:31: setPointMaxKpa is 1000, but prechargeAbsoluteKpa is 1200. setPointMaxKpa must be at least prechargeAbsoluteKpa.',
    ],
    [
      'unknown parameter',
      'parameters: { deadBandN: 50 }\n',
      's.yaml:5:15: unknown key `deadBandN` in parameters; did you mean `deadbandN`?',
    ],
    [
      'tick rate among the parameters',
      'parameters: { tickHz: 500 }\n',
      's.yaml:5:15: unknown key `tickHz` in parameters; it must be one of liftS, ',
    ],
  ])('is refused: %s', (_, text, words) => {
    expect(refusal(text)).toContain(words);
  });

  it('is named in errors about it', () => {
    writeFileSync(join(folder, 'mine.yaml'), 'title: Mine\nactuator: { capAreaCm2: 60 }\n');
    expect(refusal('machine: mine.yaml\n')).toBe('mine.yaml:2:25: actuator.capAreaCm2 is 60; it must be between 0.5 and 50 cm².');
  });
});

describe('the field', () => {
  it('takes its roughness from a class', () => {
    expect(scenarioOf('field: { class: D }\n').field).toMatchObject({ roughnessCm3: 1024, waviness: 2 });
    expect(scenarioOf('field: { roughnessCm3: 700 }\n').field.roughnessCm3).toBe(700);
  });

  it.each([
    ['class beside a roughness', 'field: { class: D, roughnessCm3: 1024 }\n', 's.yaml:5:34: roughnessCm3 and class exclude each other.'],
    ['unknown class', 'field: { class: J }\n', 's.yaml:5:17: field.class is "J"; it must be one of A, '],
    ['value beyond its limits', 'field: { waviness: 3.1 }\n', 's.yaml:5:20: field.waviness is 3.1; it must be between 1.5 and 3.'],
    ['unknown key', 'field: { rockEveryM: 3 }\n', 's.yaml:5:10: unknown key `rockEveryM` in field; it must be one of stoneEveryM, '],
    [
      'minimum of the soil above the maximum',
      'field: { soilMinN: 1300 }\n',
      's.yaml:5:20: soilMinN is 1300, but soilMaxN is 1200. soilMinN must be at most soilMaxN.',
    ],
    [
      'maximum of the soil below the minimum',
      'field: { soilMaxN: 200 }\n',
      's.yaml:5:20: soilMaxN is 200, but soilMinN is 300. soilMinN must be at most soilMaxN.',
    ],
    [
      'minimum of the patches above the maximum',
      'field: { patchMinM: 21 }\n',
      's.yaml:5:21: patchMinM is 21, but patchMaxM is 20. patchMinM must be at most patchMaxM.',
    ],
  ])('is refused: %s', (_, text, words) => {
    expect(refusal(text)).toContain(words);
  });
});

const segmented = (...lines: string[]): string => `field:\n  segments:\n${lines.map((line) => `    - { ${line} }\n`).join('')}`;
const stones = (line: string): string => `field: { stones: [{ ${line} }] }\n`;

// The pass is 30 m long: 10 s at 3 m/s.
describe('the segments of a field', () => {
  it('follow each other up to the end of the pass, by end, length or share', () => {
    const text = segmented('name: clay, toM: 6', 'lengthM: "9000 mm", class: D', 'sharePercent: 10', 'fromM: 18, name: rest');
    const { layout, field } = scenarioOf(text.replace('segments:', 'class: B\n  segmentBlendM: 5\n  segments:'));
    expect(layout.segments.map(({ name, fromM, toM, blendM, roughnessCm3 }) => [name, fromM, toM, blendM, roughnessCm3])).toEqual([
      ['clay', 0, 6, 0, 64],
      ['segment 2', 6, 15, 5, 1024],
      ['segment 3', 15, 18, 3, 64],
      ['rest', 18, 30, 3, 64],
    ]);
    expect(field.roughnessCm3).toBe(64);
  });

  it('change force, stiffness and damping with hardness, or with moisture', () => {
    const text = segmented('toM: 5', 'toM: 10, hardnessRatio: 0.5', 'moisturePercent: 40');
    const { segments } = scenarioOf(text.replace('segments:', 'moisturePower: 1\n  soilYieldRatio: 0.25\n  segments:')).layout;
    // Springs in series: 1/(0.75 + 0.25/0.5) = 0.8; twice the water halves the hardness. The damping ratio stays.
    for (const { hardnessRatio, stiffnessRatio, dampingRatio } of segments.slice(1)) {
      expect(hardnessRatio).toBe(0.5);
      expect(stiffnessRatio).toBeCloseTo(0.8, 12);
      expect(dampingRatio).toBeCloseTo(Math.sqrt(0.8), 12);
    }
    expect(segments[0]).toMatchObject({ hardnessRatio: 1, stiffnessRatio: 1, dampingRatio: 1, stoneEveryM: 60 });
  });

  it.each([
    [
      'overlap',
      segmented('toM: 12', 'fromM: 10'),
      's.yaml:8:16: fromM is 10 m, but the segment before ends at 12 m: they overlap; it must be 12 m, or left out.',
    ],
    [
      'gap',
      segmented('toM: 12', 'fromM: 14'),
      's.yaml:8:16: fromM is 14 m, but the segment before ends at 12 m: there is a gap between them; it must be 12 m, or left out.',
    ],
    ['unknown class', segmented('toM: 12, class: K', ''), 's.yaml:7:25: field.segments[0].class is "K"; it must be one of A, B, C'],
    ['field longer than the pass', segmented('toM: 12', 'toM: 31'), 's.yaml:8:14: the segments end at 31 m, but the pass is 30 m long.'],
    [
      'pass longer than the field',
      segmented('toM: 12', 'lengthM: 17'),
      's.yaml:8:18: the segments end at 29 m, but the pass is 30 m long.',
    ],
    ['nothing left', segmented('toM: 30', 'class: B'), 's.yaml:8:7: nothing of the pass of 30 m is left for segment 2.'],
    ['no end', segmented('class: B', 'class: C'), 's.yaml:7:7: segment 1 has no end.'],
    ['two ends', segmented('toM: 3, lengthM: 3', ''), 's.yaml:7:26: toM and lengthM exclude each other.'],
    ['no length', segmented('lengthM: 0', ''), 's.yaml:7:18: field.segments[0].lengthM is 0; it must be greater than 0.'],
    ['end before the start', segmented('toM: 9', 'toM: 8', ''), 's.yaml:8:14: field.segments[1].toM is 8; it must be greater than 9 m'],
    [
      'hardness twice',
      segmented('hardnessRatio: 2, moisturePercent: 9'),
      's.yaml:7:44: moisturePercent and hardnessRatio exclude each other.',
    ],
    ['roughness twice', segmented('roughnessCm3: 9, class: A'), 's.yaml:7:23: roughnessCm3 and class exclude each other.'],
    ['unknown key', segmented('hardness: 9'), 's.yaml:7:9: unknown key `hardness` in field.segments[0]; it must be one of hardnessRatio, '],
    ['too soft', segmented('hardnessRatio: 0'), 's.yaml:7:24: field.segments[0].hardnessRatio is 0; it must be between 0.05 and 20.'],
    [
      'stone beyond the pass',
      stones('atM: 29.9'),
      's.yaml:5:26: atM is 29.9 m, but the pass ends at 30 m and this is 0.2 m long; it must be at most 29.8 m.',
    ],
    ['stone without a place', stones('heightMm: 40'), 's.yaml:5:19: field.stones[0].atM is missing'],
    ['stone in a row too many', stones('atM: 3, row: 5'), 's.yaml:5:34: field.stones[0].row is 5; it must be between 1 and 4, or all.'],
    [
      'step beyond the pass',
      'field: { steps: [{ atM: 40 }] }\n',
      's.yaml:5:25: atM is 40 m, but the pass ends at 30 m and this is 0.3 m long',
    ],
  ])('are refused: %s', (_, text, words) => {
    expect(refusal(text)).toContain(words);
  });
});

describe('stones and steps of a field', () => {
  it('are in the order of their places, in the rows that are written, with defaults', () => {
    const { layout } = scenarioOf(
      'field: { stones: [{ atM: 9, row: [1, 3], heightMm: 80 }, { atM: 4, rowShareRatio: 0.5 }], steps: [{ atM: 1 }] }\n',
    );
    expect(layout.stones).toEqual([
      { atM: 4, heightMm: 50, lengthMm: 200, rows: [1, 2, 3, 4], rowShareRatio: 0.5 },
      { atM: 9, heightMm: 80, lengthMm: 200, rows: [1, 3], rowShareRatio: 1 },
    ]);
    expect(layout.steps).toEqual([{ atM: 1, heightMm: 100, overM: 0.3 }]);
  });
});

describe('a drive by distance', () => {
  it('reaches its speeds at the distances of its key points, and other keys on the way', () => {
    // 2 m/s for 4 m, 2 s; then up to 4 m/s over 9 m, at a mean of 3 m/s: 3 s; then 20 m in 5 s.
    const { timeline, pass } = scenarioOf(
      drive('atM: 0, speedMps: 2', 'atM: 4, speedMps: 2', 'atM: 8, targetLoadN: 600', 'atM: 13, speedMps: 4', 'atM: 17, lowered: false'),
    );
    expect([1999, 3499, 4999].map((tick) => timeline.driveAt(tick).speedMps)).toEqual([2, 3, 4]);
    expect(pass.lengthM).toBeCloseTo(33, 9);
    // 4 m on from 2 m/s at 2/3 m/s²: t² + 6·t − 12 = 0, so t = √21 − 3 = 1.583 s.
    expect([3582, 3583].map((tick) => timeline.driveAt(tick).targetLoadN)).toEqual([450, 600]);
    expect([5999, 6000].map((tick) => timeline.driveAt(tick).lowered)).toEqual([1, 0]);
  });

  it.each([
    ['backwards', drive('atM: 4, speedMps: 2', 'atM: 3, speedMps: 2'), 's.yaml:7:12: atM is 3 m, but the machine is already further'],
    [
      'not after another key',
      drive('atM: 4, targetLoadN: 500', 'atM: 3, oilC: 20'),
      's.yaml:7:12: atM is 3 m, but the machine is already further',
    ],
    ['too far', drive('atM: 31, targetLoadN: 500'), 's.yaml:6:12: atM is 31 m, but the machine does not get there in 10 s.'],
    [
      'after a stop',
      drive('atM: 4, speedMps: 0', 'atM: 5, speedMps: 0'),
      's.yaml:7:12: atM is 5 m, but the machine does not get there in 10 s.',
    ],
    ['by time too', drive('atM: 4, atS: 2'), 's.yaml:6:12: atS and atM exclude each other.'],
  ])('is refused: %s', (_, text, words) => {
    expect(refusal(text)).toContain(words);
  });
});

describe('the drive', () => {
  it('ramps speed, slopes and temperatures, and holds target and switches', () => {
    const { timeline } = scenarioOf(
      drive(
        'atS: 0, speedMps: 3, oilC: -10, airC: 0, gradePercent: 0, sideSlopePercent: 0, targetLoadN: 450, lowered: true, enabled: true',
        'atS: 4, speedMps: 2, oilC: 30, airC: 20, gradePercent: 10, sideSlopePercent: -20, targetLoadN: 600, lowered: false, enabled: false',
      ),
    );
    // Half way, at the end of tick 1999.
    expect(timeline.driveAt(1999)).toMatchObject({
      speedMps: 2.5,
      oilC: 10,
      airC: 10,
      gradePercent: 5,
      sideSlopePercent: -10,
      targetLoadN: 450,
      lowered: 1,
      enabled: 1,
    });
    expect(timeline.driveAt(4000)).toMatchObject({ speedMps: 2, oilC: 30, targetLoadN: 600, lowered: 0, enabled: 0 });
  });

  it('ignores key points that do not set a key, and starts from the defaults', () => {
    const { timeline } = scenarioOf(drive('atS: 2, targetLoadN: 600', 'atS: 4, speedMps: 18 km/h'));
    // 3 m/s at 0 s, 5 m/s at 4 s: 4 m/s at 2 s.
    expect(timeline.driveAt(1999)).toMatchObject({ speedMps: 4, targetLoadN: 450 });
    expect(timeline.driveAt(2000).targetLoadN).toBe(600);
    expect(timeline.driveAt(9999)).toMatchObject({ speedMps: 5, targetLoadN: 600 });
  });

  it.each([
    [
      'not ascending',
      drive('atS: 0', 'atS: 3', 'atS: 3'),
      's.yaml:8:12: drive[2].atS is 3; it must be later than atS of the previous entry, 3 s.',
    ],
    [
      'running backwards',
      drive('atS: 3', 'atS: "2000 ms"'),
      's.yaml:7:12: drive[1].atS is "2000 ms"; it must be later than atS of the previous entry, 3 s.',
    ],
    ['before the start', drive('atS: -1'), 's.yaml:6:12: drive[0].atS is -1; it must be between 0 and 10 s.'],
    ['after the end', drive('atS: 10.1'), 's.yaml:6:12: drive[0].atS is 10.1; it must be between 0 and 10 s.'],
    ['without a time', drive('speedMps: 3'), 's.yaml:6:5: drive[0] has neither atS nor atM; it must be one of them.'],
    ['too fast', drive('atS: 0, speedMps: 40 km/h'), 's.yaml:6:25: drive[0].speedMps is "40 km/h"; it must be between 0 and 10 m/s.'],
    ['with a number for a switch', drive('atS: 0, lowered: 1'), 's.yaml:6:24: drive[0].lowered is 1; it must be true or false.'],
    ['with an unknown key', drive('atS: 0, speed: 3'), 's.yaml:6:15: unknown key `speed` in drive[0]; it must be one of speedMps, '],
  ])('is refused when it is %s', (_, text, words) => {
    expect(refusal(text)).toContain(words);
  });
});

describe('events', () => {
  const changesOf = ({ timeline }: Scenario): [number, number, string, number][] =>
    Array.from({ length: timeline.ticks + 1 }, (_, tick) => tick).flatMap((tick) =>
      timeline.changes(tick).map(({ row, field, value }): [number, number, string, number] => [tick, row, field, value]),
    );

  it.each([
    ['load-sensor-open, row: 3', 'loadSensor', 1, 0],
    ['load-sensor-garbage, row: 3', 'loadSensor', 5, 0],
    ['pressure-sensor-frozen, row: 3', 'pressureSensor', 3, 0],
    ['acceleration-sensor-short, row: 3', 'accelerationSensor', 2, 0],
    ['row-off, row: 3', 'off', 1, 0],
    ['missed-strokes, row: 3', 'missRatio', 0.02, 0],
    ['missed-strokes, row: 3, missRatio: 5 %', 'missRatio', 0.05, 0],
    ['valve-stuck, row: 3, valve: return', 'returnStuck', 1, 0],
    ['valve-leak, row: 3, valve: supply, leakMlPerMin: 0.03 L/min', 'supplyLeakMlPerMin', 30, 0],
    ['flow-loss, row: 3, leftRatio: 0.6', 'flowRatio', 0.6, 1],
    ['load-offset, row: 3, offsetN: -60', 'loadOffsetN', -60, 0],
    ['load-swing, row: 3', 'loadSwingN', 90, 0],
    ['pressure-offset, row: 3, offsetKpa: 3 bar', 'pressureOffsetKpa', 300, 0],
    ['flow-change, row: 3, valve: return', 'returnFlowRatio', 0.6, 1],
    ['flow-change, row: 3, valve: supply, flowRatio: 120 %', 'supplyFlowRatio', 1.2, 1],
    ['load-gain, row: 3, gainRatio: 0.8', 'loadGainRatio', 0.8, 1],
    ['load-drift, row: 3, driftNPerMin: 0.0005 N/ms', 'loadDriftNPerMin', 30, 0],
    ['acceleration-bias, row: 3, biasMps2: -2', 'accelerationBiasMps2', -2, 0],
    ['acceleration-scale, row: 3, scaleRatio: -1', 'accelerationScaleRatio', -1, 1],
    ['acceleration-tilt, row: 3', 'accelerationTiltDeg', 10, 0],
    ['acceleration-sensor-noise-only, row: 3', 'accelerationSensor', 6, 0],
  ])('%s sets %s to %f, and back to %f', (what, field, value, normal) => {
    const text = `machine: with-accelerometer\n${events(`atS: 2, forS: 1, what: ${what}`)}`;
    expect(changesOf(scenarioOf(text))).toEqual([
      [2000, 3, field, value],
      [3000, 3, field, normal],
    ]);
  });

  it.each([
    ['missed-opens, valve: supply', 'missSupplyOpens', 1],
    ['missed-closes, valve: return, count: 3', 'missReturnCloses', 3],
    ['valve-placed-open, valve: supply', 'placeSupply', 1],
    ['valve-placed-closed, valve: return', 'placeReturn', 2],
  ])('%s sets %s to %f once', (what, field, value) => {
    expect(changesOf(scenarioOf(events(`atS: 2, what: ${what}, row: 3`)))).toEqual([[2000, 3, field, value]]);
  });

  it('gas-loss sets the gas that is left and the time for it once', () => {
    expect(changesOf(scenarioOf(events('atS: 2, what: gas-loss, row: 3, leftRatio: 0.4, overS: 60000 ms')))).toEqual([
      [2000, 3, 'gasLeftRatio', 0.4],
      [2000, 3, 'gasLossS', 60],
    ]);
    expect(refusal(events('atS: 2, what: gas-loss, row: 3, leftRatio: 0'))).toContain('leftRatio is 0; it must be between 0.01 and 1');
    expect(refusal(events('atS: 2, what: gas-loss, row: 3, overS: -1'))).toContain('overS is -1; it must be between 0 and 21600 s');
  });

  it('of the open input of an accelerometer that is not fitted are accepted, of the sensor itself refused', () => {
    expect(changesOf(scenarioOf(events('atS: 2, forS: 1, what: acceleration-sensor-garbage, row: 3')))[0]).toEqual([
      2000,
      3,
      'accelerationSensor',
      5,
    ]);
    expect(refusal(events('atS: 2, what: acceleration-bias, row: 3'))).toContain('acceleration-bias needs an accelerometer');
  });

  it.each([
    ['rail-loss, leftRatio: 0.7', 'railRatio', 0.7, 1],
    ['brown-out', 'sourceV', 6, 13.2],
    ['brown-out, sourceV: 8500 mV', 'sourceV', 8.5, 13.2],
    ['power-loss', 'sourceV', 0, 13.2],
    ['load-dump, sourceV: 40', 'sourceV', 40, 13.2],
    ['bus-lost', 'busLost', 1, 0],
    ['speed-lost', 'speedLost', 1, 0],
    ['rail-sensor-jumping', 'railSensor', 4, 0],
    ['lift-switch-bounces, bounceMs: 20', 'liftSwitchBounceMs', 20, 0],
    ['shut-down', 'shutDown', 1, 0],
  ] as const)('%s sets %s of the drive to %f, and back to %f', (what, field, value, normal) => {
    const { timeline } = scenarioOf(events(`atS: 2, forS: 1, what: ${what}`));
    expect([1999, 2000, 2999, 3000].map((tick) => timeline.driveAt(tick)[field])).toEqual([normal, value, value, normal]);
  });

  it('last to the end of the run by default, a load dump 0.4 s', () => {
    expect(changesOf(scenarioOf(events('atS: 9, what: row-off, row: 1')))).toEqual([
      [9000, 1, 'off', 1],
      [10000, 1, 'off', 0],
    ]);
    const { timeline } = scenarioOf(events('atS: 2, what: load-dump'));
    expect([2000, 2399, 2400].map((tick) => timeline.driveAt(tick).sourceV)).toEqual([35, 35, 13.2]);
  });

  it('last at least one tick', () => {
    expect(changesOf(scenarioOf(events('atS: 2.0014, forS: 0.0006, what: row-off, row: 1')))).toEqual([
      [2001, 1, 'off', 1],
      [2002, 1, 'off', 0],
    ]);
  });

  it('apply to one row, several, or all', () => {
    const rowsOf = (row: string): number[] =>
      scenarioOf(events(`atS: 0, what: row-off, row: ${row}`))
        .timeline.changes(0)
        .map((one) => one.row);
    expect([rowsOf('4'), rowsOf('[4, 2]'), rowsOf('all')]).toEqual([[4], [4, 2], [1, 2, 3, 4]]);
  });

  it('restart the controller', () => {
    const { timeline } = scenarioOf(events('atS: 5.5, what: restart', 'atS: 7, what: restart'));
    expect([5499, 5500, 7000].map((tick) => timeline.restarts(tick))).toEqual([false, true, true]);
  });

  it.each([
    [
      'unknown name',
      'atS: 0, what: load-sensor-opened, row: 1',
      '6:21: events[0].what is "load-sensor-opened"; did you mean `load-sensor-open`?',
    ],
    ['time before the start', 'atS: -0.1, what: bus-lost', '6:12: events[0].atS is -0.1; it must be between 0 and 10 s.'],
    ['time after the end', 'atS: 11, what: bus-lost', '6:12: events[0].atS is 11; it must be between 0 and 10 s.'],
    ['time at the end', 'atS: 10, what: bus-lost', '6:12: events[0].atS is 10; it must be before the end of the run at 10 s.'],
    [
      'end after the end',
      'atS: 9.1, forS: 1, what: bus-lost',
      '6:23: events[0].forS is 1; it must be at most 0.9 s, to the end of the run.',
    ],
    ['duration of zero', 'atS: 9, forS: 0, what: bus-lost', '6:21: events[0].forS is 0; it must be between 0.0005 and 21600 s.'],
    [
      'time of another kind',
      'atS: 9 m, what: bus-lost',
      '6:12: events[0].atS is "9 m"; it must be between 0 and 10 s, as a number or as text with one of the units ',
    ],
    ['row that the bank does not have', 'atS: 0, what: row-off, row: 5', '6:35: events[0].row is 5; it must be between 1 and 4, or all.'],
    [
      'row in a list that it does not have',
      'atS: 0, what: row-off, row: [1, 5]',
      '6:39: events[0].row[1] is 5; it must be between 1 and 4, or all.',
    ],
    ['row twice', 'atS: 0, what: row-off, row: [1, 1]', '6:39: row 1 is listed twice.'],
    [
      'row that no bank has',
      'atS: 0, what: row-off, row: 0',
      '6:35: events[0].row is 0; it must be an integer between 1 and 48, a list, or all.',
    ],
    ['row missing', 'atS: 0, what: row-off', '6:5: row-off needs a row: 1 to 4, a list of them, or all.'],
    ['row for a bank event', 'atS: 0, what: bus-lost, row: 1', '6:36: bus-lost has no row. Its keys are atS, what, forS.'],
    ['valve missing', 'atS: 0, what: valve-stuck, row: 1', '6:5: valve-stuck needs a valve: supply or return.'],
    [
      'valve for a row event',
      'atS: 0, what: row-off, row: 1, valve: supply',
      '6:45: row-off has no valve. Its keys are atS, what, forS, row.',
    ],
    [
      'key of another event',
      'atS: 0, what: load-offset, row: 1, swingN: 9',
      '6:50: load-offset has no swingN. Its keys are atS, what, forS, row, offsetN.',
    ],
    ['duration for an event without one', 'atS: 0, forS: 1, what: restart', '6:21: restart has no forS. Its keys are atS, what.'],
    [
      'fractional count',
      'atS: 0, what: missed-opens, row: 1, valve: supply, count: 1.5',
      '6:65: events[0].count is 1.5; it must be an integer.',
    ],
    [
      'number beyond its limits',
      'atS: 0, what: missed-strokes, row: 1, missRatio: 101 %',
      '6:56: events[0].missRatio is "101 %"; it must be between 0 and 1.',
    ],
  ])('with a %s are refused', (_, line, words) => {
    expect(refusal(events(line))).toContain(`s.yaml:${words}`);
  });

  it.each([
    [
      'of a row',
      ['atS: 1, forS: 2, what: load-sensor-open, row: [1, 2]', 'atS: 2.999, forS: 1, what: load-sensor-short, row: 2'],
      's.yaml:7:34: load-sensor-short of row 2 overlaps with load-sensor-open in events[0]. That one lasts from 1 to 3 s.',
    ],
    [
      'in any order',
      ['atS: 5, what: flow-loss, row: 1', 'atS: 1, forS: 5, what: flow-loss, row: all'],
      's.yaml:7:30: flow-loss of row 1 overlaps with flow-loss in events[0]. That one lasts from 5 to 10 s.',
    ],
    [
      'of the bank',
      ['atS: 1, forS: 2, what: brown-out', 'atS: 2.5, what: load-dump'],
      's.yaml:7:23: load-dump overlaps with brown-out in events[0]. That one lasts from 1 to 3 s.',
    ],
    [
      'without a duration',
      ['atS: 1, what: valve-placed-open, row: 1, valve: supply', 'atS: 1, what: valve-placed-closed, row: 1, valve: supply'],
      's.yaml:7:21: valve-placed-closed of row 1 overlaps with valve-placed-open in events[0].',
    ],
  ])('that overlap are refused: %s', (_, lines, words) => {
    expect(refusal(events(...lines))).toContain(words);
  });

  it.each([
    ['one after the other', ['atS: 1, forS: 2, what: load-sensor-open, row: 1', 'atS: 3, forS: 1, what: load-sensor-short, row: 1']],
    ['in different rows', ['atS: 1, what: load-sensor-open, row: 1', 'atS: 1, what: load-sensor-open, row: 2']],
    ['of different fields', ['atS: 1, what: load-sensor-open, row: 1', 'atS: 1, what: load-offset, row: 1']],
    ['of both valves', ['atS: 1, what: valve-stuck, row: 1, valve: supply', 'atS: 1, what: valve-stuck, row: 1, valve: return']],
    ['of rail and supply', ['atS: 1, what: rail-loss', 'atS: 1, what: brown-out']],
  ])('are accepted %s', (_, lines) => {
    expect(() => scenarioOf(events(...lines))).not.toThrow();
  });

  it('have unique names, and keys by their kind', () => {
    expect(new Set(EVENTS.map(({ what }) => what)).size).toBe(EVENTS.length);
    expect(EVENTS.find(({ what }) => what === 'valve-leak')).toMatchObject({ scope: 'valve' });
    expect(EVENTS.filter(({ what }) => what === 'valve-leak').map(keysOf)).toEqual([
      ['atS', 'what', 'forS', 'row', 'valve', 'leakMlPerMin'],
    ]);
  });
});

it('requirements are checked against rows and seconds', () => {
  const text = (line: string): string => `requirements:\n  - { ${line} }\n`;
  expect(scenarioOf(text('metric: bothOpenMs, max: 0')).requirements).toEqual([{ metric: 'bothOpenMs', max: 0 }]);
  expect(refusal(text('metric: bothOpenMs, max: 0, row: 5'))).toBe('s.yaml:6:40: row is 5; it must be between 1 and 4.');
  expect(refusal(text('fault: supplyLow, fromS: 9, toS: 11'))).toBe('s.yaml:6:40: toS is 11; it must be at most 10 s, the end of the run.');
  expect(refusal(text('metric: bothOpenS, max: 0'))).toContain(
    's.yaml:6:15: requirements[0].metric is "bothOpenS"; did you mean `bothOpenMs`?',
  );
});

describe('a height profile', () => {
  const csv = (text: string): void => writeFileSync(join(folder, 'ground.csv'), text);
  const profile = (more = 'height: z_mm', file = 'ground.csv'): string =>
    `field:\n  profile: { file: ${file}, distance: x_m, ${more} }\ndrive: [{ atS: 0, speedMps: 0.01 }]\n`;

  it('is interpolated linearly, starting at its first line', () => {
    csv('x_m,z_mm\n100,10\n100.1,30\n100.15,0\n');
    const { profile: read } = scenarioOf(profile());
    // By hand, every 25 mm: 0, 5, 10, 15, 20 mm up to 0.1 m, then 5 and −10 mm, relative to the first line's 10 mm.
    expect(read?.lengthM).toBeCloseTo(0.15, 12);
    expect(read?.points).toHaveLength(1);
    const expected = [0, 0.005, 0.01, 0.015, 0.02, 0.005, -0.01];
    expect([...(read?.points[0] ?? [])]).toEqual(expected.map((value) => expect.closeTo(value, 8)));
  });

  it('may have other units and a column per row, all relative to the same level', () => {
    csv('x_m;a;b\n0;1;2\n1000;2;2\n');
    const { profile: read } = scenarioOf(profile('height: [a, b], distanceUnit: mm, heightUnit: m'), 'rows: 2\nseconds: 10\n');
    expect(read?.lengthM).toBe(1);
    expect(read?.points.map((track) => [track.length, track[0], track[20], track[40]])).toEqual([
      [41, -0.5, 0, 0.5],
      [41, 0.5, 0.5, 0.5],
    ]);
  });

  it.each([
    [
      'distance that does not increase',
      'x_m,z_mm\n0,1\n1,1\n1,2\n',
      'ground.csv:4:1: x_m is 1; it must be greater than in the line before.',
    ],
    ['distance that decreases', 'z_mm,x_m\n1,0\n1,1\n2,0.5\n', 'ground.csv:4:3: x_m is 0.5; it must be greater '],
    [
      'height that is not a number',
      'x_m,z_mm\n0,1\n1,high\n',
      'ground.csv:3:3: z_mm is "high"; it must be a finite number (decimal point, not comma).',
    ],
    ['missing height', 'x_m,z_mm\n0,1\n1,\n', 'ground.csv:3:3: z_mm is empty; it must be a finite number'],
    ['line too short', 'x_m,z_mm\n0,1\n1\n', 'ground.csv:3:1: the row has 1 cell; the header has 2.'],
    ['height far too large', 'x_m,z_mm\n0,1\n1,1e30\n', 'ground.csv:3:3: z_mm is "1e30"; it must be between -20000 and 20000 m.'],
    ['single line', 'x_m,z_mm\n0,1\n', 'ground.csv:2:1: a profile needs at least two lines.'],
    ['header alone', 'x_m,z_mm\n', 'ground.csv:2:1: a profile needs at least two lines.'],
    ['column twice', 'x_m,z_mm,z_mm\n0,1,1\n1,1,1\n', 'ground.csv:1:10: this is a second column named "z_mm".'],
    ['column missing', 'x_m,height\n0,1\n1,1\n', 's.yaml:6:55: ground.csv has no column "z_mm"; it must be one of x_m, height.'],
    // A million points of 25 mm reach 24 999.975 m.
    [
      'length above the limit',
      'x_m,z_mm\n0,1\n24999.97,1\n25000,1\n',
      'ground.csv:4:1: x_m is 25000; it must be at most 1000000 points of 0.025 m from the first line.',
    ],
    // 0.01 m/s for 10 s.
    ['length shorter than the drive', 'x_m,z_mm\n0,1\n0.09,1\n', 's.yaml:6:20: the profile is 0.09 m long, but the drive 0.1 m.'],
  ])('with a %s is refused', (_, text, words) => {
    csv(text);
    expect(refusal(profile())).toContain(words);
  });

  it('must cover the distance of a drive with ramps', () => {
    // From 2 to 4 m/s within 5 s: 15 m. 5 s at 4 m/s: 20 m.
    const text = (lastM: number): void => csv(`x_m,z_mm\n0,0\n${lastM},0\n`);
    const ramp =
      'field: { profile: { file: ground.csv, distance: x_m, height: z_mm } }\ndrive: [{ atS: 0, speedMps: 2 }, { atS: 5, speedMps: 4 }]\n';
    text(35);
    expect(scenarioOf(ramp).profile?.lengthM).toBe(35);
    text(34.9);
    expect(refusal(ramp)).toContain('the profile is 34.9 m long, but the drive 35 m.');
  });

  it.each([
    ['missing file', profile('height: z_mm', 'nowhere.csv'), 'nowhere.csv: no such file.'],
    [
      'missing column in a list',
      profile('height: [z_mm, a, b, c]'),
      's.yaml:6:62: ground.csv has no column "a"; it must be one of x_m, z_mm.',
    ],
    [
      'wrong number of columns',
      profile('height: [z_mm, a]'),
      's.yaml:6:55: there are 2 columns of heights for 4 rows. Give one column for all rows, or one per row.',
    ],
    [
      'unit of another kind',
      profile('height: z_mm, heightUnit: bar'),
      's.yaml:6:73: field.profile.heightUnit is "bar"; it must be one of cm, ',
    ],
    [
      'class beside the profile',
      profile().replace('field:\n', 'field:\n  class: D\n'),
      's.yaml:6:10: class and profile exclude each other.',
    ],
  ])('is refused: %s', (_, text, words) => {
    csv('x_m,z_mm\n0,1\n1,1\n');
    expect(refusal(text)).toContain(words);
  });

  it('of the checkout is small', () => {
    expect(
      readFileSync(join(readScenario(PROJECT, 'recorded-profile', contract).file, '..', 'profiles', 'sines-with-a-furrow.csv')).length,
    ).toBeLessThan(200_000);
  });
});
