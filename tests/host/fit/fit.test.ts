import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, it } from 'vitest';
import { MessageFields } from '../../../host/assess/message-fields.js';
import { compileFit } from '../../../host/build/controller.js';
import { dataViewOf } from '../../../host/common/data-view.js';
import type { ParameterValues } from '../../../host/contract/contract.js';
import { type MessageName, messageRecords } from '../../../host/contract/messages.js';
import { readParameterFile } from '../../../host/contract/parameter-values.js';
import { fitRecordings, fittedValues, narrowestDeadband, SCATTER_MAX } from '../../../host/fit/fit.js';
import { LevelCrossings } from '../../../host/fit/level-crossings.js';
import { runRecorded } from '../../../host/fit/recorded-run.js';
import { NormalEquations } from '../../../host/fit/regression.js';
import { gatherSamples } from '../../../host/fit/samples.js';
import { writeFitted } from '../../../host/fit/write-fitted.js';
import { exportCsv } from '../../../host/recording/csv/csv-export.js';
import { importCsv } from '../../../host/recording/csv/csv-import.js';
import { inspectLog } from '../../../host/recording/csv/inspect.js';
import { newMap } from '../../../host/recording/csv/new-map.js';
import { openRecording } from '../../../host/recording/reader.js';
import { RecordingWriter } from '../../../host/recording/writer.js';
import { loadController, type MemoryField } from '../../../host/runner/wasm-runner.js';
import { loadPlant } from '../../../host/simulate/plant.js';
import { ALL_MESSAGES, runScenario } from '../../../host/simulate/run.js';
import { readScenario } from '../../../host/simulate/scenario.js';
import { Bench, controller } from '../../support/bench.js';
import { benchLog } from '../../support/bench-logs.js';
import { Noise } from '../../support/noise.js';
import { PROJECT } from '../../support/project.js';
import { temporaryFolder } from '../../support/temporary-folder.js';

const { contract } = controller.description;
const folder = temporaryFolder();
const DRIVEN = join(folder, 'driven.mcap');
const ROUGHEST = join(folder, 'roughest.mcap');
const ROWS = 2;
const TICKS = 30_000;
let driven: ParameterValues = {};

/** Runs a scenario of half a minute with this text, and records everything. Returns its parameters. */
function record(name: string, text: readonly string[], recording: string): ParameterValues {
  const file = join(folder, name);
  const head = [`title: ${name}`, 'story: Invented.', 'machine: with-accelerometer', `rows: ${ROWS}`, `seconds: ${TICKS / 1000}`];
  writeFileSync(file, [...head, 'seed: 7', 'parameters: { strategy: predictive }', ...text].join('\n'));
  const scenario = readScenario(PROJECT, file, contract);
  runScenario(controller, loadPlant(), scenario, undefined, { file: recording, messages: ALL_MESSAGES, fromTick: 0 });
  return scenario.parameters;
}

/** A rough field with some missed strokes, and the roughest field at speed. */
beforeAll(() => {
  const missed = ['events:', '  - { atS: 5, what: missed-strokes, row: all, missRatio: "2 %" }'];
  driven = record('rough.yaml', ['field: { class: D }', ...missed], DRIVEN);
  record('roughest.yaml', ['field: { class: E }', 'drive: [{ atS: 0, speedMps: 5 }]'], ROUGHEST);
});

const quietly = { controller: loadController((await compileFit(PROJECT.root)).file), onProgress: () => {} };
const fitted = (files: readonly string[], values: ParameterValues) =>
  fitRecordings({ ...quietly, files, values, horizonMs: 350, ridge: 1, pulsesPerMin: 100 });

/** A recorded field of the rows: values by tick, then row. */
function recordedField(message: MessageName, name: string, recording = DRIVEN): number[][] {
  const fields = new MessageFields(contract, message);
  const places = Array.from({ length: ROWS }, (_, row) => fields.row(row, name, 'f32'));
  return Array.from(openRecording(recording, contract).messages({ messages: [message] }), ({ payload }) => {
    const view = dataViewOf(payload);
    return places.map((place) => view.getFloat32(place, true));
  });
}

/** A shorter copy of the recording, with fewer messages. */
function recordingOf(name: string, messages: readonly MessageName[], lastTick = TICKS): string {
  const file = join(folder, name);
  const writer = RecordingWriter.create(file, { contract, rows: ROWS, tickHz: 1000, messages });
  for (const { message, tick, payload } of openRecording(DRIVEN).messages({ messages, toTick: lastTick }))
    writer.write(message, tick, payload);
  writer.close();
  return file;
}

/** A row with constant sensors, with or without pulses of its valves. */
function stillRecording(name: string, pulses: boolean): string {
  const file = join(folder, name);
  const writer = RecordingWriter.create(file, { contract, rows: 1, tickHz: 1000, messages: ['input', 'output'] });
  const bench = new Bench();
  const orders = ['supplyOrder', 'returnOrder'].map((order) => new MessageFields(contract, 'output').row(0, order, 'u8'));
  for (let tick = 0; tick < 26_000; tick++) {
    bench.tick();
    writer.write('input', tick, bench.runner.input);
    const output = bench.runner.output.slice();
    // Each second: opening strokes of the two valves half a second apart, closing strokes 10 ms later.
    for (const [valve, place] of orders.entries()) {
      const since = tick < 3000 ? 999 : (tick + 500 * valve) % 1000;
      if (pulses && tick >= 3000) output[place] = since < 2 ? 1 : since >= 10 && since < 12 ? 2 : 0;
    }
    writer.write('output', tick, output);
  }
  writer.close();
  return file;
}

describe('regression', () => {
  const SAMPLES = [
    [[1, 0], 1],
    [[1, 1], 3],
    [[0, 1], 2],
  ] as const;
  const equations = new NormalEquations(2);
  for (const [x, y] of SAMPLES) equations.add(x, y);

  // By hand: XᵀX = (2 1; 1 2), Xᵀy = (4, 5); y = x₁ + 2·x₂ exactly.
  it('finds the weights that made the data', () => {
    expect(equations.ridgeWeights(0)).toEqual([expect.closeTo(1, 12), expect.closeTo(2, 12)]);
    expect(equations.rmsError([1, 2])).toBeCloseTo(0, 7);
  });

  it("shrinks them by a share of each feature's mean square", () => {
    // A share of 1 doubles the diagonal: (4 1; 1 4)·w = (4, 5).
    expect(equations.ridgeWeights(1)).toEqual([expect.closeTo(11 / 15, 12), expect.closeTo(16 / 15, 12)]);
  });

  it('returns RMS, condition number and error', () => {
    expect(equations.rms).toEqual([Math.sqrt(2 / 3), Math.sqrt(2 / 3)]);
    // Eigenvalues of (1 ½; ½ 1) are 1½ and ½.
    expect(equations.condition).toBeCloseTo(3, 12);
    expect(equations.rmsError([0, 0])).toBeCloseTo(Math.sqrt(14 / 3), 12);
    expect(equations.rmsError([2, 2])).toBeCloseTo(Math.sqrt(2 / 3), 12);
  });

  it('adds sums of samples', () => {
    const both = equations.plus(equations);
    expect(both.count).toBe(6);
    expect(both.ridgeWeights(1)[0]).toBeCloseTo(11 / 15, 12);
    expect(both.rmsError([0, 0])).toBeCloseTo(Math.sqrt(14 / 3), 12);
  });

  it('detects collinear features', () => {
    const twice = new NormalEquations(2);
    for (let x = 1; x < 9; x++) twice.add([x, -2 * x], x);
    expect(twice.condition).toBeGreaterThan(1e6);
  });
});

describe('level crossings', () => {
  /** Excursions above each level from 0 to 5. */
  const counted = (...values: number[]): number[] => {
    const crossings = new LevelCrossings(5);
    for (const value of values) crossings.add(value);
    crossings.end();
    return [0, 1, 2, 3, 4, 5].map((level) => crossings.countAbove(level));
  };

  it.each([
    ['no values', [], [0, 0, 0, 0, 0, 0]],
    ['zeros', [0, 0, 0], [0, 0, 0, 0, 0, 0]],
    ['one excursion, one peak', [1, 2.5, 1, 2.4, 0.1], [1, 1, 1, 0, 0, 0]],
    ['a peak on a level, which has not crossed it', [2], [1, 1, 0, 0, 0, 0]],
    ['both signs', [1.5, -3.5, 0.5], [3, 2, 1, 1, 0, 0]],
    ['a value of zero, which is no crossing', [1.5, 0, 1.6], [1, 1, 0, 0, 0, 0]],
    ['a peak beyond the highest level', [900], [1, 1, 1, 1, 1, 1]],
  ])('of %s', (_, values, expected) => expect(counted(...values)).toEqual(expected));

  it.each([
    ['the first width with few enough crossings', 2, 100, 30, 4],
    ['the smallest width, if it has few enough', 5, 100, 99, 5],
    ['the largest width, if none has', 2, 7, 1, 7],
  ])('%s is the deadband', (_, minN, maxN, pulsesPerMin, expected) => {
    expect(narrowestDeadband({ perMin: (widthN) => 120 / widthN }, minN, maxN, pulsesPerMin)).toBe(expected);
  });
});

describe('a run under recorded orders', () => {
  it.each([
    ['the recorded parameters', {}],
    ['parameters that would order something else', { strategy: 0, deadbandMode: 0, deadbandN: 1000 }],
  ])('has the recorded probes bit for bit, with %s', (_, other) => {
    const names = ['meteredKpa', 'presentN', 'predictedN', 'loadTrend3N', 'inertia5N', 'supplyGain', 'returnGain'];
    const expected = names.map((name) => recordedField('probe', name));
    const misses: string[] = [];
    let fields: MemoryField[] | undefined;
    runRecorded({ ...quietly, values: { ...driven, ...other } }, DRIVEN, (tick, { runner }) => {
      fields ??= names.map((name) => runner.field('rowProbe', name));
      for (const [index, name] of names.entries())
        for (let row = 0; row < ROWS; row++) {
          const value = fields[index]?.get(row);
          const recorded = expected[index]?.[tick]?.[row];
          if (value !== recorded) misses.push(`${name}[${row}] at ${tick}: ${value}, recorded ${recorded}`);
        }
    });
    expect(Math.max(...(expected[0]?.flat() ?? []).map(Math.abs))).toBeGreaterThan(500);
    expect(misses).toEqual([]);
  });

  it('samples the mean load over the horizon without metered oil', () => {
    const features = ['loadTrend2', 'pressureTrend3'].map((name) => ({ weight: `${name}Weight`, probe: `${name}N` }));
    const { training, validation, between } = gatherSamples({ ...quietly, values: driven }, [DRIVEN], features, 100);
    const [wheelN, meteredKpa, presentN, ...x] = [
      recordedField('truth', 'wheelN'),
      ...['meteredKpa', 'presentN', ...features.map(({ probe }) => probe)].map((name) => recordedField('probe', name)),
    ] as [number[][], number[][], number[][], ...number[][][]];
    const at = (of: number[][], tick: number, row: number): number => of[tick]?.[row] as number;
    const modes = modesOf();
    const settled = (tick: number, row: number): boolean => modes.slice(tick - 2000, tick + 101).every((words) => words[row] === 3);
    const areaNPerKpa = Math.fround(4.909 * 0.1 * 0.45);
    const expected = new NormalEquations(2);
    for (let tick = 2000; tick + 100 < TICKS; tick += 10)
      for (let row = 0; row < ROWS; row++) {
        if (!settled(tick, row)) continue;
        let sumN = 0;
        for (let next = tick + 1; next <= tick + 100; next++)
          sumN += at(wheelN, next, row) - areaNPerKpa * (at(meteredKpa, next, row) - at(meteredKpa, tick, row));
        expected.add(
          x.map((one) => at(one, tick, row)),
          sumN / 100 - at(presentN, tick, row),
        );
      }
    const found = training.plus(validation).plus(between);
    expect(expected.count).toBeGreaterThan(3000);
    expect(found.count).toBe(expected.count);
    for (const weights of [[0, 0], [1, -1], found.ridgeWeights(0)])
      expect(found.rmsError(weights)).toBeCloseTo(expected.rmsError(weights), 3);
    // Two blocks of 10 s for training, one for validation; the last 0.1 s before 10 s and 20 s are between blocks.
    expect(between.count).toBe(2 * 10 * ROWS);
    expect(validation.count).toBe(990 * ROWS);
  });

  function modesOf(): number[][] {
    const fields = new MessageFields(contract, 'output');
    const places = Array.from({ length: ROWS }, (_, row) => fields.row(row, 'mode', 'u8'));
    return Array.from(openRecording(DRIVEN, contract).messages({ messages: ['output'] }), ({ payload }) =>
      places.map((place) => payload[place] as number),
    );
  }
});

describe.each([
  ['class D', DRIVEN],
  ['class E', ROUGHEST],
])('of a recording on a field of %s', (_, recording) => {
  const PROBES = ['loadTrend1N', 'loadTrend2N', 'loadTrend3N', 'loadTrend4N', 'pressureTrend1N', 'pressureTrend2N', 'pressureTrend3N'];
  /** Of the order of those that a fit finds. */
  const KNOWN = [0.1, -0.4, -0.8, 0.6, -0.3, 0.5, -1.5];
  /** Samples in a horizon of one second. */
  const OVERLAP = 100;

  /** The recorded features of each sample, by row. */
  let features: number[][][] = [];
  beforeAll(() => {
    const rows: number[][][] = Array.from({ length: ROWS }, () => []);
    runRecorded({ ...quietly, values: driven }, recording, (tick, { runner, isWorking }) => {
      if (tick < 3000 || tick % 10 !== 0) return;
      const probes = PROBES.map((name) => runner.field('rowProbe', name));
      for (const [row, samples] of rows.entries()) if (isWorking(row)) samples.push(probes.map((probe) => probe.get(row)));
    });
    features = rows;
  });

  /** Those features with a target made by known weights, and noise that is the same within a horizon, as overlap makes it. */
  function madeBy(noiseN: number, seed = 1): NormalEquations {
    const equations = new NormalEquations(PROBES.length);
    const source = new Noise(seed);
    let noise = 0;
    for (const samples of features)
      for (const [index, x] of samples.entries()) {
        // The standard deviation of a uniform distribution is its half width over √3.
        if (index % OVERLAP === 0) noise = source.between(-noiseN, noiseN) * Math.sqrt(3);
        equations.add(
          x,
          x.reduce((sum, value, at) => sum + value * (KNOWN[at] as number), noise),
        );
      }
    return equations;
  }

  /** Distance of weights from others, relative to those, for features of unit mean square. */
  const distance = ({ rms }: NormalEquations, weights: readonly number[], others: readonly number[]): number => {
    const length = (of: (at: number) => number): number => Math.hypot(...rms.map((size, at) => size * of(at)));
    return length((at) => (weights[at] as number) - (others[at] as number)) / length((at) => others[at] as number);
  };

  it('weights that are well determined are found within 1 %', () => {
    const equations = madeBy(3);
    const found = equations.ridgeWeights(equations.ridgeShare(OVERLAP));
    expect(distance(equations, found, equations.ridgeWeights(0))).toBeLessThan(0.01);
    expect(distance(equations, found, KNOWN)).toBeLessThan(0.02);
    // A fixed share of the mean squares moves them further, however well they are determined.
    expect(distance(equations, equations.ridgeWeights(0.01), KNOWN)).toBeGreaterThan(0.02);
  });

  it('noise of 100 N makes the penalty larger, and the mean error of the weights smaller than that of least squares', () => {
    const errors = Array.from({ length: 20 }, (_none, index) => {
      const noisy = madeBy(100, index + 1);
      const share = noisy.ridgeShare(OVERLAP);
      expect(share).toBeGreaterThan(100 * madeBy(3).ridgeShare(OVERLAP));
      return { ridge: distance(noisy, noisy.ridgeWeights(share), KNOWN), least: distance(noisy, noisy.ridgeWeights(0), KNOWN) };
    });
    const mean = (of: 'ridge' | 'least'): number => errors.reduce((sum, one) => sum + one[of] ** 2, 0) / errors.length;
    expect(mean('ridge')).toBeLessThan(mean('least'));
  });

  /** The flow at which the oil that the controller expects is the oil that all valves have passed, by the plant's own sum. */
  function oilFlowLpm(): number {
    let expectedMl = 0;
    let read: { wish: MemoryField; compliance: MemoryField; valves: { step: MemoryField; gain: MemoryField }[] } | undefined;
    runRecorded({ ...quietly, values: driven }, recording, (_tick, { runner }) => {
      const probe = (name: string): MemoryField => runner.field('rowProbe', name);
      read ??= {
        wish: runner.field('pairState', 'flowWish'),
        compliance: probe('compliance'),
        valves: ['supply', 'return'].map((valve) => ({ step: probe(`${valve}StepKpa`), gain: probe(`${valve}Gain`) })),
      };
      for (let row = 0; row < ROWS; row++) {
        // 1 raises through the supply valve, 2 lowers through the return valve.
        const open = read.valves[read.wish.get(row) - 1];
        if (open !== undefined) expectedMl += (open.step.get(row) / open.gain.get(row)) * read.compliance.get(row);
      }
    });
    const passedMl = ['oilMl', 'returnedMl'].flatMap((name) => {
      const field = recordedField('truth', name, recording);
      return Array.from({ length: ROWS }, (_row, row) => (field.at(-1)?.[row] ?? 0) - (field[0]?.[row] ?? 0));
    });
    return (8 * passedMl.reduce((sum, one) => sum + one, 0)) / expectedMl;
  }

  it('the flow is within 12 % of the oil that the valves pass, or not fitted because the gains scatter', () => {
    const { flow } = fitted([recording], { ...driven, pressureTrend1Weight: 4, loadTrend3Weight: 3 });
    const scatter = Math.max(flow?.supply.scatterRatio ?? Number.NaN, flow?.return.scatterRatio ?? Number.NaN);
    const found = flow?.valveFlowLpm?.after;
    expect(found === undefined).toBe(scatter > SCATTER_MAX);
    // The rougher field hides the flow.
    expect(found === undefined).toBe(recording === ROUGHEST);
    if (found !== undefined) expect(Math.abs(found / oilFlowLpm() - 1)).toBeLessThan(0.12);
  });
});

describe('a fit', () => {
  it('predicts better than poor weights, and no better than itself', () => {
    const poor = { ...driven, pressureTrend1Weight: 2, loadTrend3Weight: 3 };
    const found = fitted([DRIVEN], poor);
    expect(found).toMatchObject({ isBetter: true, recordings: [{ source: 'truth', rows: ROWS, seconds: 30 }] });
    expect(found.heldOut.fittedRmsN).toBeLessThan(0.8 * found.heldOut.beforeRmsN);
    expect(found.heldOut.fittedRmsN).toBeLessThan(found.heldOut.persistenceRmsN);
    expect(found.deadband?.pulsesPerMin).toBeLessThanOrEqual(100);
    const again = fitted([DRIVEN], fittedValues(found, poor));
    expect(again).toMatchObject({ isBetter: false });
    expect([again.flow, again.deadband]).toEqual([undefined, undefined]);
  });

  const poorly = { pressureTrend1Weight: 0 };
  const sensed = (): string => recordingOf('sensed.mcap', ['input', 'output']);
  let bySensor: ReturnType<typeof fitted>;
  /** Distance of weights from those of another fit, before or after it. */
  const distanceFrom = (one: typeof bySensor, other: typeof bySensor, at: 'before' | 'after'): number =>
    Math.hypot(...other.weights.map(({ after }, index) => after - (one.weights[index]?.[at] ?? Number.NaN)));

  it('finds nearly the same weights from the load sensor alone', () => {
    bySensor = fitted([sensed()], { ...driven, ...poorly });
    const byTruth = fitted([DRIVEN], { ...driven, pressureTrend1Weight: 0 });
    expect(bySensor.recordings[0]?.source).toBe('sensor');
    // The slowest trends are nearly collinear, so that single weights say less than how far apart all of them are.
    expect(distanceFrom(bySensor, byTruth, 'before')).toBeGreaterThan(3);
    expect(distanceFrom(bySensor, byTruth, 'after')).toBeLessThan(0.25 * distanceFrom(bySensor, byTruth, 'before'));
  });

  /** Imports a log with the mapping that is written for it, all decisions made. */
  function importLog(log: string, name: string): string {
    const [csv, map, recording] = ['csv', 'yaml', 'mcap'].map((end) => join(folder, `${name}.${end}`)) as [string, string, string];
    writeFileSync(csv, log);
    writeFileSync(map, newMap(inspectLog(csv)).replaceAll('missing: decide', 'missing: { fill: interpolate, upToMs: 100 }'));
    importCsv(csv, map, recording, contract);
    return recording;
  }

  it('of an exported and imported recording is that of the recording', async () => {
    const csv = join(folder, 'exported.csv');
    const map = join(folder, 'exported.yaml');
    const recording = join(folder, 'imported.mcap');
    await exportCsv(sensed(), csv);
    const columns = readFileSync(csv, 'utf8').split('\n', 1)[0]?.split(',') ?? [];
    const { bank, row } = messageRecords(contract, 'input');
    const names = new Set([...bank.fields, ...row.fields].map(({ name }) => name));
    const entries = columns.flatMap((column) => {
      const [, signal = '', number] = /^(?:input\.)?(\w+)(?:\[(\d)\])?$/.exec(column) ?? [];
      return names.has(signal) && column !== 'tick'
        ? [`  - { signal: ${signal}, column: "${column}"${number === undefined ? '' : `, row: ${number}`} }`]
        : [];
    });
    const orders = [1, 2].flatMap((number) =>
      ['supply', 'return'].map((valve) => `  - { valve: ${valve}, row: ${number}, order: "${valve}Order[${number}]" }`),
    );
    writeFileSync(map, ['rows: 2', 'time: { column: time_s }', 'signals:', ...entries, 'orders:', ...orders, ''].join('\n'));
    importCsv(csv, map, recording, contract);
    const found = fitted([recording], { ...driven, ...poorly });
    expect(found.recordings).toMatchObject([{ ordersFrom: 'orders', source: 'sensor', seconds: 30 }]);
    expect(found.weights).toEqual(bySensor.weights);
    expect([found.pulses, found.flow]).toEqual([bySensor.pulses, bySensor.flow]);
  });

  it('of a log of coil currents at 500 Hz finds nearly the same weights and flow, with every stroke', () => {
    const found = fitted([importLog(benchLog(sensed(), ROWS), 'bench')], { ...driven, ...poorly });
    expect(found.pulses).toEqual(bySensor.pulses);
    expect(distanceFrom(found, bySensor, 'after')).toBeLessThan(0.5 * distanceFrom(found, bySensor, 'before'));
    expect((found.flow?.supply.median ?? 0) / (bySensor.flow?.supply.median ?? 1)).toBeCloseTo(1, 1);
  });

  it('without an accelerometer, fits the weights of rows without one', () => {
    const { weights } = fitted([DRIVEN], { ...driven, accelerationFitted: 0, noAccelPressureTrend1Weight: 4 });
    expect(weights.map(({ name }) => name)).toEqual(
      [1, 2, 3, 4]
        .flatMap((band) => `noAccelLoadTrend${band}Weight`)
        .concat([1, 2, 3, 4].map((band) => `noAccelPressureTrend${band}Weight`)),
    );
  });

  it.each([
    ['holds no outputs', () => join(PROJECT.vectors, 'target-step', 'input.mcap'), /: the recording has no outputs\. A fit needs both: /],
    [
      'is short',
      () => recordingOf('short.mcap', ['input', 'output'], 8000),
      /: the rows are in mode working for \d+\.\d s, summed over rows\. A fit needs 20 s/,
    ],
    ['has no pulses', () => stillRecording('still.mcap', false), /: only 0 pulses raise the pressure\. A fit needs 20 in each direction/],
    [
      'has a constant load',
      () => stillRecording('pulsing.mcap', true),
      /: loadTrend1N hardly changes: its RMS is 0\.\d{3} N\. A fit needs 1 N/,
    ],
  ])('refuses a recording that %s', (_, make, message) => {
    expect(() => fitted([make()], { frozenMs: 0, missedStrokeDetection: 0 })).toThrow(message);
  });

  it('writes a parameter file that can be read back, whatever the name of the recording', () => {
    const file = join(folder, 'fitted.yaml');
    const values = { accelerationFitted: 1, loadTrend1Weight: -0.25, deadbandN: 70 };
    writeFitted(file, values, contract, ['a\nb: c.mcap'], ['--ridge', '1']);
    expect(readParameterFile(file, contract)).toEqual(values);
  });
});
