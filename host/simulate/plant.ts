import { instantiateSync } from '@assemblyscript/loader';
import { PLANT_ENUMS } from '../../shared/plant.js';
import { InputError } from '../common/input-error.js';
import { PLANT_WASM } from '../common/project.js';
import { readBytes } from '../common/read-file.js';
import { readField, writeField } from '../contract/fields.js';
import { PLANT_SECTION, type PlantPlace, plantLayout, plantPlace } from '../contract/plant-layout.js';
import { BadBinary } from '../wasm/bytes.js';
import { type Interface, readInert } from '../wasm/inert.js';
import { type BinaryModule, customSections } from '../wasm/module.js';
import type { FieldLayout } from './field.js';
import type { HeightProfile } from './profile.js';
import { type DriveField, type InjectedFaultField, NO_INJECTED_FAULTS, type Timeline } from './timeline.js';

/** The actuator: the pair of latching valves, or a baseline to compare with, which never ships. */
export type Actuation = (typeof PLANT_ENUMS.Actuation)[number];

interface PlantExports extends Record<string, unknown> {
  memory: WebAssembly.Memory;
  start(): void;
  beginTick(): void;
  beginStep(): void;
  computeRates(row: number, fraction: number): void;
  endStep(): void;
  endTick(): void;
  tick(): void;
}

const NOTHING = { params: [], results: [] };
/** The same, as the binary is checked. */
const INTERFACE: Interface = {
  required: {
    ...Object.fromEntries(['start', 'beginTick', 'beginStep', 'endStep', 'endTick', 'tick'].map((name) => [name, NOTHING])),
    computeRates: { params: ['i32', 'f64'], results: [] },
  },
};

/** Its description, as host/build/plant.ts writes it. */
const DESCRIPTION = /^\{"layoutHash":"([0-9a-f]{16})","sourceHash":"[0-9a-f]{64}"\}$/;

/** Settings of a plant. */
export interface PlantSetup {
  readonly rows: number;
  readonly tickHz: number;
  readonly seed: number;
  readonly actuation: Actuation;
  /** Chamber pressure at the start, gauge, kPa. */
  readonly startKpa: number;
  /** Every quantity of MACHINE and of FIELD, by name. */
  readonly machine: Readonly<Record<string, number>>;
  readonly field: Readonly<Record<string, number>>;
  readonly layout?: FieldLayout | undefined;
  readonly profile?: HeightProfile | undefined;
}

/**
 * The simulated machine and field. For each tick: apply the timeline, write the controller's orders to `output`, call `tick()`,
 * read `input` and `truth`. Each view holds the bank's record followed by one per row.
 */
export interface Plant {
  readonly input: Uint8Array;
  readonly output: Uint8Array;
  readonly truth: Uint8Array;
  tick(): void;
  /** Sets the drive and the injected faults of a tick. */
  apply(timeline: Timeline, tick: number): void;
  /** For tests of the integration: the steps of a tick, and access to memory by name. */
  readonly exports: PlantExports;
  number(place: string, field: string, index?: number): number;
  setNumber(place: string, field: string, value: number, index?: number): void;
}

const layoutHashOf = (binary: BinaryModule): string | undefined => {
  const [section] = customSections(binary, PLANT_SECTION);
  return DESCRIPTION.exec(Buffer.from(section ?? []).toString())?.[1];
};

/** Whether a plant's binary has the layout of this program's records. @throws InputError when it is missing or not inert */
export const hasOurLayout = (file: string): boolean => layoutHashOf(readInert(readBytes(file, 'binary'), INTERFACE)) === plantLayout().hash;

/**
 * Reads the plant's binary.
 * @throws InputError when it is missing, not a plant, or has another layout than this checkout
 */
export function loadPlant(file: string = PLANT_WASM): WebAssembly.Module {
  try {
    const binary = readInert(readBytes(file, 'binary'), INTERFACE);
    const hash = layoutHashOf(binary);
    if (hash !== plantLayout().hash) {
      const problem = hash === undefined ? 'this is not a plant' : `its layout is ${hash}, but this checkout has ${plantLayout().hash}`;
      throw new InputError({ file, problem, value: hash, hint: 'Run `npm run build:plant`' });
    }
    return new WebAssembly.Module(binary.bytes as Uint8Array<ArrayBuffer>);
  } catch (error) {
    if (!(error instanceof BadBinary)) throw error;
    throw new InputError({ file, problem: `this is not a plant: ${error.message}`, hint: 'Run `npm run build:plant`' });
  }
}

const fieldOf = ({ name, record }: PlantPlace, field: string): PlantPlace['record']['fields'][number] => {
  const found = record.fields.find((one) => one.name === field);
  if (found === undefined) throw new Error(`the plant's ${name} has no field ${field}`);
  return found;
};

/** Access to the plant's memory by place and field. */
class PlantMemory {
  private readonly view: DataView;

  constructor(readonly buffer: ArrayBuffer) {
    this.view = new DataView(buffer);
  }

  get(name: string, field: string, index: number): number {
    const place = plantPlace(name);
    return readField(this.view, place.at + index * place.record.size, fieldOf(place, field));
  }

  set(name: string, field: string, value: number, index: number): void {
    const place = plantPlace(name);
    writeField(this.view, place.at + index * place.record.size, fieldOf(place, field), value);
  }

  setAll(name: string, values: Readonly<Record<string, number>>, index = 0): void {
    for (const [field, value] of Object.entries(values)) this.set(name, field, value, index);
  }

  /** Returns a view of the bank's record and the records of the rows behind it. */
  message(bank: string, row: string, rows: number): Uint8Array {
    const first = plantPlace(bank);
    return new Uint8Array(this.buffer, first.at, first.record.size + rows * plantPlace(row).record.size);
  }
}

function writeProfile(memory: PlantMemory, profile: HeightProfile | undefined): void {
  if (profile === undefined) return;
  const [first] = profile.points;
  const length = first?.length ?? 0;
  memory.setAll('setup', { profileTracks: profile.points.length, profilePoints: length });
  for (const [track, points] of profile.points.entries())
    new Float32Array(memory.buffer, plantLayout().end + track * length * 4, length).set(points);
}

function writeLayout(memory: PlantMemory, layout: FieldLayout | undefined): void {
  if (layout === undefined) return;
  const { segments, stones, steps } = layout;
  memory.setAll('setup', { segments: segments.length, placedStones: stones.length, groundSteps: steps.length });
  for (const [index, { fromM, blendM, roughnessCm3, hardnessRatio, stiffnessRatio, dampingRatio, stoneEveryM }] of segments.entries())
    memory.setAll('segment', { startM: fromM, blendM, roughnessCm3, hardnessRatio, stiffnessRatio, dampingRatio, stoneEveryM }, index);
  for (const [index, { atM, heightMm, lengthMm, rows, rowShareRatio }] of stones.entries()) {
    const rowBits = rows.reduce((bits, row) => bits + 2 ** (row - 1), 0);
    memory.setAll('placedStone', { atM, heightM: heightMm / 1000, lengthM: lengthMm / 1000, rowBits, rowShareRatio }, index);
  }
  for (const [index, { atM, heightMm, overM }] of steps.entries())
    memory.setAll('groundStep', { atM, heightM: heightMm / 1000, overM }, index);
}

/** Creates a plant; it starts in the state that the timeline has before the first tick. */
export function createPlant(module: WebAssembly.Module, setup: PlantSetup, timeline: Timeline): Plant {
  const { exports } = instantiateSync<PlantExports>(module, Object.create(null));
  const memory = new PlantMemory(exports.memory.buffer as ArrayBuffer);
  const { rows, tickHz, seed, startKpa, actuation } = setup;
  memory.setAll('setup', { rows, tickHz, seed, startKpa, actuation: PLANT_ENUMS.Actuation.indexOf(actuation) });
  memory.setAll('machine', setup.machine);
  memory.setAll('field', setup.field);
  writeProfile(memory, setup.profile);
  writeLayout(memory, setup.layout);
  for (let row = 0; row < rows; row++) memory.setAll('injectedFaults', NO_INJECTED_FAULTS, row);
  memory.setAll('drive', timeline.driveAt(-1));
  exports.start();
  const driveFields = plantPlace('drive').record.fields.map(({ name }) => name) as DriveField[];
  const drive = new Float64Array(memory.buffer, plantPlace('drive').at, driveFields.length);
  const apply = (along: Timeline, tick: number): void => {
    const now = along.driveAt(tick);
    // An iterator would allocate in every tick.
    for (let index = 0; index < driveFields.length; index++) drive[index] = now[driveFields[index] as DriveField];
    for (const { row, field, value } of along.changes(tick)) memory.set('injectedFaults', field as InjectedFaultField, value, row - 1);
  };
  return {
    input: memory.message('bankInput', 'rowInput', rows),
    output: memory.message('bankOutput', 'rowOutput', rows),
    truth: memory.message('bankTruth', 'rowTruth', rows),
    tick: exports.tick,
    apply,
    exports,
    number: (place, field, index = 0) => memory.get(place, field, index),
    setNumber: (place, field, value, index = 0) => memory.set(place, field, value, index),
  };
}
