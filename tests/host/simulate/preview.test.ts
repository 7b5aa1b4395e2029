import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { dataViewOf } from '../../../host/common/data-view.js';
import { messageRecords } from '../../../host/contract/messages.js';
import { createWasmRunner } from '../../../host/runner/wasm-runner.js';
import { loadPlant } from '../../../host/simulate/plant.js';
import { ClosedLoop, defaultSettings } from '../../../host/simulate/run.js';
import { readScenario, type Scenario } from '../../../host/simulate/scenario.js';
import { controller } from '../../support/bench.js';
import { PROJECT } from '../../support/project.js';
import { refusalOf } from '../../support/refusal.js';
import { temporaryFolder } from '../../support/temporary-folder.js';

const folder = temporaryFolder();
const plant = loadPlant();
const ROWS = 4;
const TICKS = 8000;
/** Ticks by which the soil ahead is ahead. */
const AHEAD = 400;

function scenarioOf(preview: string, events = '', atS = 0): Scenario {
  writeFileSync(join(folder, 'machine.yaml'), `title: Made up\nnote: Invented for a test.\nreservoir: none\npreview: ${preview}\n`);
  const head = `title: Field\nstory: Invented for a test.\nmachine: ./machine.yaml\nrows: ${ROWS}\nseconds: ${TICKS / 1000}\nseed: 3\n`;
  const list = events === '' ? '' : `events:\n  - { atS: ${atS}, row: all, what: ${events} }\n`;
  writeFileSync(join(folder, 'field.yaml'), `${head}field: { class: C, rowCorrelation: 0, patchMinM: 1, patchMaxM: 4 }\n${list}`);
  return readScenario(PROJECT, join(folder, 'field.yaml'), controller.description.contract);
}

interface Series {
  /** What the controller gets, by row and tick. */
  readonly reported: readonly number[][];
  /** True opener force at the set depth. */
  readonly soil: readonly number[][];
}

/** Runs the plant alone: its orders stay at none. */
function seriesOf(preview: string, events?: string, atS?: number): Series {
  const scenario = scenarioOf(preview, events, atS);
  const loop = new ClosedLoop(createWasmRunner(controller, ROWS), plant, scenario, defaultSettings(scenario));
  const input = messageRecords(controller.description.contract, 'input');
  const truth = messageRecords(controller.description.contract, 'truth');
  const [reported, soil]: [number[][], number[][]] = [Array.from({ length: ROWS }, () => []), Array.from({ length: ROWS }, () => [])];
  const offsetOf = (records: typeof input, name: string, row: number): number =>
    records.bank.size + row * records.row.size + (records.row.fields.find((one) => one.name === name)?.offset ?? Number.NaN);
  for (let tick = 0; tick < TICKS; tick++) {
    loop.stepPlant(tick);
    for (let row = 0; row < ROWS; row++) {
      reported[row]?.push(dataViewOf(loop.plant.input).getFloat32(offsetOf(input, 'soilAheadN', row), true));
      soil[row]?.push(dataViewOf(loop.plant.truth).getFloat32(offsetOf(truth, 'soilN', row), true));
    }
  }
  return { reported, soil };
}

/** Change of a row's soil within the next 400 ticks, at each tick. */
const changesOf = (soil: readonly number[] = []): number[] => soil.slice(AHEAD).map((later, tick) => later - (soil[tick] ?? Number.NaN));

const rms = (values: readonly number[]): number => Math.sqrt(values.reduce((sum, one) => sum + one * one, 0) / values.length);
const difference = (one: readonly number[] = [], other: readonly number[] = []): number[] =>
  one.map((value, tick) => value - (other[tick] ?? Number.NaN));

const right = seriesOf('{ soilAheadFitted: 1 }');
const changes = right.soil.map(changesOf);

describe('the soil ahead', () => {
  it('has something to report on this field', () => {
    for (const row of changes) expect(rms(row)).toBeGreaterThan(100);
  });

  it('is what the force on the opener then does, up to the interpolation between points', () => {
    for (const [row, change] of changes.entries()) expect(rms(difference(change, right.reported[row]))).toBeLessThan(0.03 * rms(change));
  });

  it('is 0 without a preview, and the soil is the same', () => {
    const { reported, soil } = seriesOf('none');
    expect(new Set(reported.flat())).toEqual(new Set([0]));
    expect(soil).toEqual(right.soil);
  });

  it.each([
    ['the gain of the map', '{ soilAheadFitted: 1, soilAheadGainRatio: -0.5 }', undefined],
    ['a changed gain', '{ soilAheadFitted: 1 }', 'soil-ahead-gain, gainRatio: -0.5'],
  ])('is multiplied by %s', (_, preview, events) => {
    const { reported, soil } = seriesOf(preview, events);
    expect(soil).toEqual(right.soil);
    for (const [row, values] of reported.entries())
      expect(
        rms(
          difference(
            values.map((one) => -2 * one),
            right.reported[row],
          ),
        ),
      ).toBeLessThan(1e-3);
  });

  it.each([
    // 0.3 m at 3 m/s are 100 ticks.
    ['a shifted map', '{ soilAheadFitted: 1, soilAheadOffsetM: 0.3 }', undefined, 100],
    ['a delay', '{ soilAheadFitted: 1 }', 'soil-ahead-delayed, delayS: 0.25', 250],
  ])('is late by %s', (_, preview, events, ticks) => {
    const { reported } = seriesOf(preview, events);
    for (const [row, values] of reported.entries()) expect(rms(difference(values.slice(ticks), right.reported[row]))).toBeLessThan(1);
  });

  it('may be that of another row, NaN, the same all the time, or any bits', () => {
    const other = seriesOf('{ soilAheadFitted: 1 }', 'soil-ahead-other-row');
    expect(other.reported).toEqual([2, 3, 0, 1].map((row) => right.reported[row]));
    expect(seriesOf('{ soilAheadFitted: 1 }', 'soil-ahead-lost').reported.flat().every(Number.isNaN)).toBe(true);
    const frozen = seriesOf('{ soilAheadFitted: 1 }', 'soil-ahead-frozen', 2).reported;
    for (const [row, values] of frozen.entries()) expect(new Set(values.slice(2000))).toEqual(new Set([right.reported[row]?.[1999]]));
    const garbage = new Set(seriesOf('{ soilAheadFitted: 1 }', 'soil-ahead-garbage').reported[0]?.map(Math.abs));
    expect(garbage.size).toBeGreaterThan(0.9 * TICKS);
    expect([...garbage].some(Number.isNaN)).toBe(true);
  });

  it('has the noise of the map: twice its variance, because it is a difference, less between the centres of cells', () => {
    const { reported, soil } = seriesOf('{ soilAheadFitted: 1, soilAheadNoiseN: 50 }');
    expect(soil).toEqual(right.soil);
    // A linear course between independent values has two thirds of their variance: 50 · √(2 · 2/3) = 58 N.
    const noise = rms(reported.flatMap((values, row) => difference(values, right.reported[row])));
    expect(noise).toBeGreaterThan(45);
    expect(noise).toBeLessThan(70);
  });

  it('knows nothing of wrong patches, while the true soil stays', () => {
    const { reported, soil } = seriesOf('{ soilAheadFitted: 1, soilAheadWrongRatio: 1 }');
    expect(soil).toEqual(right.soil);
    const all = reported.flat();
    const flat = right.reported.flat();
    const product = all.reduce((sum, one, at) => sum + one * (flat[at] ?? Number.NaN), 0) / all.length;
    expect(Math.abs(product / (rms(all) * rms(flat)))).toBeLessThan(0.4);
    expect(rms(all)).toBeGreaterThan(50);
  });
});

it('an event of the soil ahead needs a preview', () => {
  expect(refusalOf(() => scenarioOf('none', 'soil-ahead-frozen')).message).toContain('needs a preview, and the machine machine has none');
});
