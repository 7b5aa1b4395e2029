import { plantPlace } from '../../host/contract/plant-layout.js';
import { readMachine } from '../../host/machine/machine.js';
import type { FieldLayout } from '../../host/simulate/field.js';
import { createPlant, loadPlant, type Plant } from '../../host/simulate/plant.js';
import type { HeightProfile } from '../../host/simulate/profile.js';
import { DRIVE_FIELDS, type DriveField, Timeline } from '../../host/simulate/timeline.js';
import { FIELD } from '../../shared/field.js';
import { MACHINE, type Quantity } from '../../shared/machine.js';
import { PROJECT } from './project.js';

export type Numbers = Readonly<Record<string, number>>;

/** Standard atmosphere, Pa (ISO 2533:1975), and standard gravity, m/s² (ISO 80000-3). */
export const ATMOSPHERE_PA = 101325;
export const GRAVITY_MPS2 = 9.80665;

const defaults = (quantities: readonly Quantity[]): Record<string, number> =>
  Object.fromEntries(quantities.map((one) => [one.name, one.default]));

/** The ideal machine: an imperfection is tested by a test that sets it. */
const IDEAL = readMachine(PROJECT, 'ideal-with-accelerometer').values;

/** No noise, no spread between rows, no lugs; shared lines keep their pressure; coils fed from the default reservoir. */
const QUIET_MACHINE: Numbers = {
  ...IDEAL,
  reservoirUf: defaults(MACHINE.flatMap(({ quantities }) => quantities)).reservoirUf ?? Number.NaN,
  lugHeightMm: 0,
  railDroopKpaPerLpm: 0,
  returnRiseKpaPerLpm: 0,
  loadNoiseN: 0,
  pressureNoiseKpa: 0,
  accelerationNoiseMps2PerRootHz: 0,
  massSpreadRatio: 0,
  contactSpreadRatio: 0,
  flowSpreadRatio: 0,
  loadSpreadN: 0,
};
/** Flat, no stones, uniform soil within a patch, with sharp edges. */
const QUIET_FIELD: Numbers = { roughnessCm3: 0, stoneEveryM: 0, soilNoiseRatio: 0, soilEdgeM: 0.1 };

/** A row with mass, contact and lift spring only: no friction, closing wheels, rebound damping, soil or cylinder. */
export const BARE_ROW: Numbers = { frictionN: 0, closingN: 0, rodAreaCm2: 0, liftN: 0, liftNPerM: 0, capAreaCm2: 1e-9 };
export const NO_SOIL: Numbers = { soilMinN: 0, soilMaxN: 0 };

const DEFAULT_DRIVE: Readonly<Record<DriveField, number>> = {
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
};

export interface RigSetup {
  readonly rows?: number;
  readonly tickHz?: number;
  readonly seed?: number;
  readonly startKpa?: number;
  readonly machine?: Numbers;
  readonly field?: Numbers;
  readonly drive?: Partial<Record<DriveField, number>>;
  readonly profile?: HeightProfile;
  readonly layout?: FieldLayout | undefined;
  /** Injected faults of all rows, from the start. */
  readonly faults?: Numbers;
  /** Steps of a tick, in place of the plant's choice. */
  readonly steps?: number;
}

/** Fields of the integrated state, in the order of the state and rate records. */
export const INTEGRATED = ['heightM', 'speedMps', 'chamberPa', 'gasK', 'sensedN'] as const;
export type State = Record<(typeof INTEGRATED)[number], number>;

/** A drive without end and without changes. */
function steadyTimeline(tickHz: number, drive: RigSetup['drive'] = {}): Timeline {
  const values = { ...DEFAULT_DRIVE, ...drive };
  const courses = DRIVE_FIELDS.map((field) => ({ field, shape: 'hold' as const, points: [{ atS: 0, value: values[field] }] }));
  return new Timeline({ ticks: Number.MAX_SAFE_INTEGER, tickHz, courses, timedValues: [], restarts: [] });
}

/** Index of each rate in its record of doubles. */
const RATES = new Map(plantPlace('rates').record.fields.map(({ name, offset }) => [name, offset / 8]));

const module = loadPlant();

/**
 * A plant with a steady drive, nothing random and its memory accessible. Rows are counted from 0 here. Machine values may be outside
 * the limits of a machine file (a piston of almost no area), to isolate a single effect.
 */
export class PlantRig {
  readonly plant: Plant;
  readonly #buffer: ArrayBuffer;
  readonly #rates: Float64Array;

  constructor(setup: RigSetup = {}) {
    const { rows = 1, tickHz = 1000, seed = 1, startKpa = 3500, profile, layout } = setup;
    const machine = { ...QUIET_MACHINE, ...setup.machine };
    const field = { ...defaults(FIELD), ...QUIET_FIELD, ...setup.field };
    const begun = { rows, tickHz, seed, startKpa, actuation: 'latching' as const, machine, field, layout, profile };
    this.plant = createPlant(module, begun, steadyTimeline(tickHz, setup.drive));
    this.#buffer = this.plant.input.buffer as ArrayBuffer;
    this.#rates = this.cells('rates');
    for (let row = 0; row < rows; row++) this.set('injectedFaults', setup.faults ?? {}, row);
    if (setup.steps === undefined) return;
    this.set('derived', { steps: setup.steps, stepS: 1 / tickHz / setup.steps });
  }

  /** A record of doubles in memory, in the order of its fields. */
  cells(place: string, index = 0): Float64Array {
    const { at, record } = plantPlace(place);
    return new Float64Array(this.#buffer, at + index * record.size, record.size / 8);
  }

  get(place: string, field: string, index = 0): number {
    return this.plant.number(place, field, index);
  }

  set(place: string, values: Partial<Numbers>, index = 0): this {
    for (const [field, value] of Object.entries(values)) this.plant.setNumber(place, field, value ?? 0, index);
    return this;
  }

  get stepS(): number {
    return this.get('derived', 'stepS');
  }

  state(row = 0): State {
    return Object.fromEntries(INTEGRATED.map((field) => [field, this.get('rowState', field, row)])) as State;
  }

  setState(state: Partial<State>, row = 0): this {
    return this.set('rowState', state, row);
  }

  /** Sets the positions of a row's valves: 0 closed, 1 open. */
  openings(supply: number, returnValve: number, row = 0): this {
    for (const [side, opening] of [supply, returnValve].entries())
      this.set('valve', { opening, before: opening, latched: opening }, row * 2 + side);
    return this;
  }

  /** Sets an order in the controller's outputs: 0 none, 1 open, 2 close. */
  order(valve: 'supply' | 'return', order: number, row = 0): this {
    return this.set('rowOutput', { [`${valve}Order`]: order }, row);
  }

  /** A rate or force, as computed last. */
  readonly rate = (name: string): number => this.#rates[RATES.get(name) ?? -1] ?? Number.NaN;

  /** Rates and forces by name, for a state at a fraction of the current step; the row's present state by default. */
  ratesFor(state: Partial<State> = {}, fraction = 0, row = 0): Record<string, number> {
    this.set('trial', { ...this.state(row), ...state });
    this.plant.exports.computeRates(row, fraction);
    return Object.fromEntries([...RATES.keys()].map((name) => [name, this.rate(name)]));
  }

  /** One tick; `within` is called between the start and the end of each step. */
  tick(within: () => void = () => {}): this {
    const { exports } = this.plant;
    exports.beginTick();
    const steps = this.get('derived', 'steps');
    for (let step = 0; step < steps; step++) {
      exports.beginStep();
      within();
      exports.endStep();
    }
    exports.endTick();
    return this;
  }

  run(ticks: number, within?: () => void): this {
    for (let tick = 0; tick < ticks; tick++) this.tick(within);
    return this;
  }

  /** Advances only the profile's generators, by rings of points, and calls back for each point. The distance is set, not driven. */
  drawPoints(rings: number, take: (pointOf: (track: number, kind: 'height' | 'soil') => number) => void): void {
    const ringPoints = 5;
    const tracks = this.get('setup', 'rows') + 1;
    const ringOf = (place: string, kind: string): ((track: number) => Float64Array) => {
      const first = (plantPlace(place).record.fields.find(({ name }) => name === `${kind}0`)?.offset ?? 0) / 8;
      const rings0 = Array.from({ length: tracks }, (_, track) => this.cells(place, track).subarray(first, first + ringPoints));
      return (track) => rings0[track] ?? new Float64Array();
    };
    const rings0 = { height: ringOf('wheelPath', 'height'), soil: ringOf('track', 'soil') };
    for (let ring = 0; ring < rings; ring++) {
      this.set('plant', { distanceM: (this.get('plant', 'point') + ringPoints + 0.1) * 0.025 });
      this.plant.exports.beginStep();
      for (let index = 0; index < ringPoints; index++) take((track, kind) => rings0[kind](track)[index] ?? Number.NaN);
    }
  }
}
