import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { stringify } from 'yaml';
import { MessageFields } from '../../../host/assess/message-fields.js';
import { dataViewOf } from '../../../host/common/data-view.js';
import { loadPlant } from '../../../host/simulate/plant.js';
import { runScenario, type SimulatedRun } from '../../../host/simulate/run.js';
import { readScenario } from '../../../host/simulate/scenario.js';
import { controller } from '../../support/bench.js';
import { PROJECT } from '../../support/project.js';
import { Records } from '../../support/records.js';
import { temporaryFolder } from '../../support/temporary-folder.js';

/* Accelerometer, pressure and load compared in closed loop, on three rows. The second one is observed. */

const folder = temporaryFolder();
const plant = loadPlant();
const { contract } = controller.description;
const ROW = 1;
const COMPARED = /acceleration|loadImplausible|prechargeLow/;

interface Case {
  readonly accelerometer?: Readonly<Record<string, number>>;
  readonly events?: readonly Readonly<Record<string, unknown>>[];
  readonly roadClass?: string;
  readonly seconds?: number;
}

interface Observed {
  readonly run: SimulatedRun;
  /** Acceleration in use less the true one, m/s²: after 5 s. */
  readonly meanErrorMps2: number;
  readonly rmsErrorMps2: number;
  readonly scale: number;
  readonly gasRatio: number;
  /** Times of changes of the row's mode after 1 s, with the mode. */
  readonly modes: readonly { readonly s: number; readonly mode: string }[];
  /** Faults of the comparison, of all rows. */
  readonly faults: readonly { readonly row: number; readonly name: string; readonly fromS: number; readonly isSetAtEnd: boolean }[];
}

/** Collects what a run shows of the row, tick by tick. */
class Observer {
  records: Records | undefined;
  private truth: DataView | undefined;
  private readonly trueAt = new MessageFields(contract, 'truth').row(ROW, 'rowMps2', 'f32');
  readonly modes: { s: number; mode: string }[] = [];
  private sum = 0;
  private squares = 0;
  private count = 0;

  take(tick: number, views: Readonly<Record<'input' | 'truth', Uint8Array>>): void {
    this.records ??= new Records(views.input.buffer, contract);
    this.truth ??= dataViewOf(views.truth);
    if (tick > 5000) {
      const error = this.records.get('rowProbe', ROW, 'accelerationMps2') - this.truth.getFloat32(this.trueAt, true);
      this.sum += error;
      this.squares += error * error;
      this.count += 1;
    }
    const mode = this.records.word('rowOutput', ROW, 'mode');
    if (tick >= 1000 && mode !== (this.modes.at(-1)?.mode ?? 'working')) this.modes.push({ s: tick / 1000, mode });
  }

  finish(run: SimulatedRun): Observed {
    const motion = (name: string): number => this.records?.get('motion', ROW, name) ?? Number.NaN;
    return {
      run,
      meanErrorMps2: this.sum / this.count,
      rmsErrorMps2: Math.sqrt(this.squares / this.count),
      scale: motion('scale'),
      gasRatio: motion('gasRatio'),
      modes: this.modes,
      faults: run.metrics.faults.flatMap(({ row, name, fromS, isSetAtEnd }) =>
        row !== undefined && COMPARED.test(name) ? [{ row, name, fromS, isSetAtEnd }] : [],
      ),
    };
  }
}

function observe(name: string, { accelerometer = {}, events = [], roadClass = 'D', seconds = 20 }: Case): Observed {
  const machine = { title: name, note: 'Made up.', reservoir: 'none', accelerometer: { accelerationFitted: 1, ...accelerometer } };
  writeFileSync(join(folder, `${name}-machine.yaml`), stringify(machine));
  const field = {
    title: name,
    story: 'Made up.',
    machine: `./${name}-machine.yaml`,
    rows: 3,
    seconds,
    seed: 11,
    field: { class: roadClass },
  };
  const file = join(folder, `${name}.yaml`);
  writeFileSync(file, stringify(events.length > 0 ? { ...field, events } : field));
  const observer = new Observer();
  const scenario = readScenario(PROJECT, file, contract);
  const run = runScenario(controller, plant, scenario, undefined, undefined, undefined, (tick, views) => observer.take(tick, views));
  expect(run.trap).toBeUndefined();
  return observer.finish(run);
}

/** A sensor that reads the row's acceleration and nothing else. */
const IDEAL = { accelerationBiasMps2: 0, accelerationGravityRatio: 0, accelerationTiltDeg: 0, accelerationScaleRatio: 1 };
const ideal = observe('ideal', { accelerometer: IDEAL });

describe('the slow part of the acceleration', () => {
  const biased = observe('biased', {
    accelerometer: { ...IDEAL, accelerationBiasMps2: 0.5, accelerationGravityRatio: 1, accelerationTiltDeg: 10 },
  });

  it('is taken away: offset, tilt and gravity leave no mean', () => {
    expect(Math.abs(biased.meanErrorMps2)).toBeLessThan(0.01);
    // The noise of the sensor, 0.09 m/s², and its resolution.
    expect(biased.rmsErrorMps2).toBeGreaterThan(0.08);
    // The tilted sensor also feels the pitch of the row, and the two runs do not pulse at the same times.
    expect(biased.rmsErrorMps2).toBeLessThan(1.35 * ideal.rmsErrorMps2);
  });

  it('costs nothing, and no fault reports it', () => {
    expect(biased.faults).toEqual([]);
    const ratio = biased.run.metrics.over.loadRmsN.mean / ideal.run.metrics.over.loadRmsN.mean;
    expect(ratio).toBeGreaterThan(0.93);
    expect(ratio).toBeLessThan(1.07);
  });
});

describe('a sensor of another scale', () => {
  it.each([
    [0.5, 2],
    [1.5, 0.67],
  ])('of %d is corrected by about %d', (accelerationScaleRatio, expected) => {
    const { scale, gasRatio, faults, rmsErrorMps2, modes } = observe(`scale-${accelerationScaleRatio}`, {
      accelerometer: { ...IDEAL, accelerationScaleRatio },
      seconds: 30,
    });
    expect(scale / expected).toBeGreaterThan(0.85);
    expect(scale / expected).toBeLessThan(1.15);
    expect(gasRatio).toBe(1);
    expect(faults).toEqual([]);
    expect(modes).toEqual([]);
    // Uncorrected it would be half of the acceleration, which is 2 m/s² rms here: of 25 s at most 0.7² are, 12 s, most of them while
    // the wrong scale still causes frequent pulses, and little is left to compare.
    expect(rmsErrorMps2).toBeLessThan(0.7);
  });
});

describe('an accumulator that loses half of its gas', () => {
  const lost = observe('gas', { events: [{ atS: 5, what: 'gas-loss', row: ROW + 1, leftRatio: 0.5 }] });

  it('is found within 5 s, in its row and nowhere else; the row goes on working', () => {
    expect(lost.faults).toMatchObject([{ row: ROW + 1, name: 'prechargeLow', isSetAtEnd: true }]);
    expect(lost.faults[0]?.fromS).toBeGreaterThan(6);
    expect(lost.faults[0]?.fromS).toBeLessThan(10);
    expect(lost.modes.filter(({ s }) => s > 5.1)).toEqual([]);
  });

  it('is measured to a tenth, with the scale of the sensor unchanged', () => {
    expect(lost.gasRatio).toBeGreaterThan(0.45);
    expect(lost.gasRatio).toBeLessThan(0.55);
    expect(lost.scale).toBe(1);
  });
});

describe('an accelerometer without a signal', () => {
  const accelerometer = { ...IDEAL };
  const dead = observe('dead', {
    accelerometer,
    events: [{ atS: 6, forS: 10, what: 'acceleration-sensor-noise-only', row: ROW + 1 }],
    seconds: 26,
  });

  it('is found within 10 s, and trusted again within 10 s after its return', () => {
    const found = dead.faults.filter(({ name }) => name === 'accelerationImplausible');
    expect(found).toMatchObject([{ row: ROW + 1, isSetAtEnd: false }]);
    expect(found[0]?.fromS).toBeGreaterThan(7);
    expect(found[0]?.fromS).toBeLessThan(16);
  });

  it('leaves its row working in the end, and the others without a fault', () => {
    expect(dead.modes.at(-1)?.mode ?? 'working').toBe('working');
    expect(dead.faults.filter(({ row }) => row !== ROW + 1)).toEqual([]);
  });

  it('that read gravity before makes no valve look stuck within a second', () => {
    const jump = observe('jump', {
      accelerometer: { ...IDEAL, accelerationGravityRatio: 1 },
      events: [{ atS: 6, what: 'acceleration-sensor-noise-only', row: ROW + 1 }],
      seconds: 7,
    });
    expect(jump.run.metrics.faults.filter(({ name }) => name.endsWith('Stuck'))).toEqual([]);
  });
});

describe('a load sensor without a signal', () => {
  it('is found within 7 s, its row holds its pressure then, and it is trusted again after its return', () => {
    const dead = observe('dead-load', { events: [{ atS: 6, forS: 8, what: 'load-sensor-noise-only', row: ROW + 1 }], seconds: 24 });
    // Until the pressure has spoken for the accelerometer, it could be the one that is wrong.
    expect(dead.faults).toMatchObject([
      { row: ROW + 1, name: 'accelerationImplausible', isSetAtEnd: false },
      { row: ROW + 1, name: 'loadImplausible', isSetAtEnd: false },
    ]);
    expect(dead.faults[0]?.fromS).toBeGreaterThan(7);
    expect(dead.faults[1]?.fromS).toBeLessThan(13);
    // The jumps when the signal goes and returns freeze the row for a moment too.
    const frozen = dead.modes.filter(({ s, mode }) => s > 7 && mode === 'frozen');
    expect(frozen[0]?.s).toBeLessThan(13);
  });
});

describe('on a smooth field', () => {
  it('nothing is corrected and nothing is suspect', () => {
    const smooth = observe('smooth', { accelerometer: IDEAL, roadClass: 'A' });
    expect(smooth.faults).toEqual([]);
    expect(smooth.scale).toBe(1);
    expect(smooth.gasRatio).toBe(1);
  });

  it('a dead accelerometer has no other fault: little contradicts it but the pulses', () => {
    const smooth = observe('smooth-dead', {
      accelerometer: IDEAL,
      roadClass: 'A',
      events: [{ atS: 10, what: 'acceleration-sensor-noise-only', row: ROW + 1 }],
    });
    expect(smooth.faults.filter(({ name }) => name !== 'accelerationImplausible')).toEqual([]);
  });
});
