import { ROWS_MAX } from '../../shared/limits.js';
import { type Quantity, quantity } from '../../shared/machine.js';
import { PLANT_ENUMS } from '../../shared/plant.js';
import type { InputError } from '../common/input-error.js';
import type { YamlFile, YamlPath } from '../common/yaml-file.js';
import { quantityProperties, readQuantity, type Written } from '../machine/quantities.js';
import type { DriveField, Happening, InjectedFaultField } from './timeline.js';

/** Whom an event is about, and the field of the drive or of a row's troubles that it sets while it lasts. */
type Sets =
  | { readonly scope: 'controller' }
  | { readonly scope: 'bank'; readonly field: DriveField }
  | { readonly scope: 'row'; readonly field: InjectedFaultField }
  | { readonly scope: 'valve'; readonly fields: Readonly<Record<ValveName, InjectedFaultField>> };

/** One kind of event. */
export type EventKind = Sets & {
  readonly what: string;
  readonly help: string;
  /** What the field is set to, or the key that says it. */
  readonly to: number | Quantity;
  /** It happens at a time and does not last: forS has no sense. */
  readonly once?: true;
  /** How long it lasts where forS is left out; without this, to the end. */
  readonly forS?: number;
};

const VALVES = ['supply', 'return'] as const;
type ValveName = (typeof VALVES)[number];

const bank = (field: DriveField): Sets => ({ scope: 'bank', field });
const row = (field: InjectedFaultField): Sets => ({ scope: 'row', field });
const valve = (ofSupply: InjectedFaultField, ofReturn: InjectedFaultField): Sets => ({
  scope: 'valve',
  fields: { supply: ofSupply, return: ofReturn },
});

const volts = (byDefault: number): Quantity => quantity('sourceV', 'volt', 0, 60, byDefault, 'Voltage of the source');
const leftRatio = (byDefault: number): Quantity => quantity('leftRatio', 'ratio', 0, 1, byDefault, 'Share that is left');
const COUNT = quantity('count', 'none', 1, 1000, 1, 'How many');

const FAULT_HELP: Readonly<Record<(typeof PLANT_ENUMS.SensorFault)[number], string>> = {
  none: 'in order',
  open: 'wire broken',
  short: 'signal at ground',
  frozen: 'same code for as long as it lasts',
  jumping: 'loose wire: jumps from tick to tick',
  garbage: 'random codes',
};

/** The faults that a sensor may have. */
const sensorEvents = (sensor: string, sets: Sets): EventKind[] =>
  PLANT_ENUMS.SensorFault.flatMap((fault, to) =>
    to === 0 ? [] : [{ ...sets, what: `${sensor}-sensor-${fault}`, help: `The ${sensor} sensor: ${FAULT_HELP[fault]}`, to }],
  );

/** Everything that may happen besides driving. Defaults are estimates unless a source is named. */
// biome-ignore format: a table reads best with one event to a line
export const EVENTS: readonly EventKind[] = [
  { what: 'rail-loss', help: 'The pump keeps only a share of its pressure', ...bank('railRatio'), to: leftRatio(0) },
  { what: 'brown-out', help: 'Battery and alternator give less', ...bank('sourceV'), to: volts(6) },
  { what: 'power-loss', help: 'Battery and alternator are off', ...bank('sourceV'), to: 0 },
  // Clamped load dump of a 12 V system, 35 V for up to 400 ms (ISO 16750-2, test B; from memory). A rectangle here.
  { what: 'load-dump', help: 'The battery comes off while the alternator charges it: a clamped surge, as a rectangle', ...bank('sourceV'), to: volts(35), forS: 0.4 },
  { what: 'speed-lost', help: 'Speed is no value', ...bank('speedLost'), to: 1 },
  { what: 'bus-lost', help: 'Runner, oil temperature and speed are no values', ...bank('busLost'), to: 1 },
  ...sensorEvents('rail', bank('railSensor')),
  { what: 'shut-down', help: 'Power is about to go', ...bank('shutDown'), to: 1 },
  { what: 'restart', help: 'The controller starts anew; valves stay where they are', scope: 'controller', to: 1, once: true },
  { what: 'row-off', help: 'The row’s switch is off', ...row('off'), to: 1 },
  { what: 'missed-strokes', help: 'A share of the strokes does not move its valve', ...row('missRatio'), to: quantity('missRatio', 'ratio', 0, 1, 0.02, 'That share') },
  { what: 'missed-opens', help: 'The next opening strokes do not move the valve', ...valve('missSupplyOpens', 'missReturnOpens'), to: COUNT, once: true },
  { what: 'missed-closes', help: 'The next closing strokes do not move the valve', ...valve('missSupplyCloses', 'missReturnCloses'), to: COUNT, once: true },
  { what: 'valve-stuck', help: 'The valve does not move', ...valve('supplyStuck', 'returnStuck'), to: 1 },
  { what: 'valve-leak', help: 'The valve leaks more when closed', ...valve('supplyLeakMlPerMin', 'returnLeakMlPerMin'), to: quantity('leakMlPerMin', 'millilitrePerMinute', 0, 5000, 100, 'How much more, at 100 bar') },
  { what: 'valve-placed-open', help: 'Something else than a stroke opens the valve; at 0 s: it was left open', ...valve('placeSupply', 'placeReturn'), to: 1, once: true },
  { what: 'valve-placed-closed', help: 'Something else than a stroke closes the valve', ...valve('placeSupply', 'placeReturn'), to: 2, once: true },
  { what: 'flow-loss', help: 'Both valves of the row pass only a share of their flow', ...row('flowRatio'), to: leftRatio(0.5) },
  ...sensorEvents('load', row('loadSensor')),
  { what: 'load-offset', help: 'The load reading is shifted', ...row('loadOffsetN'), to: quantity('offsetN', 'newton', -5000, 5000, 100, 'By so much') },
  { what: 'load-swing', help: 'The load reading swings at 2 Hz, as when a lifted row sways', ...row('loadSwingN'), to: quantity('swingN', 'newton', 0, 5000, 90, 'By so much to either side') },
  ...sensorEvents('pressure', row('pressureSensor')),
  { what: 'pressure-offset', help: 'The pressure reading is shifted', ...row('pressureOffsetKpa'), to: quantity('offsetKpa', 'kilopascal', -10000, 10000, 200, 'By so much') },
  ...sensorEvents('acceleration', row('accelerationSensor')),
];

const FOR_S = quantity('forS', 'second', 0.0005, 21600, 1, 'How long it lasts');
const atS = (seconds: number): Quantity => quantity('atS', 'second', 0, seconds, 0, 'When it begins');
const KEYS: readonly Quantity[] = EVENTS.flatMap(({ to }) => (typeof to === 'number' ? [] : [to]));

/** An event as a person writes it. Which of the other keys it may have, its kind says. */
export interface WrittenEvent {
  readonly what: string;
  readonly atS: Written;
  readonly forS?: Written;
  readonly row?: number | 'all' | readonly number[];
  readonly valve?: ValveName;
  readonly [key: string]: unknown;
}

const rowSchema = { type: 'integer', minimum: 1, maximum: ROWS_MAX };

/** JSON Schema of a scenario's events. */
export const eventsSchema: object = {
  type: 'array',
  maxItems: 1000,
  items: {
    type: 'object',
    required: ['atS', 'what'],
    additionalProperties: false,
    properties: {
      ...quantityProperties([...KEYS, FOR_S, atS(0)]),
      what: { type: 'string', enum: EVENTS.map(({ what }) => what) },
      count: { type: 'integer' },
      row: { anyOf: [rowSchema, { type: 'array', minItems: 1, items: rowSchema }, { const: 'all' }] },
      valve: { type: 'string', enum: VALVES },
    },
  },
};

/** A scenario's file with what its events need of it. */
export interface EventSource {
  readonly file: YamlFile<unknown>;
  readonly events: readonly WrittenEvent[];
  readonly rows: number;
  readonly ticks: number;
  readonly tickHz: number;
}

/** Keys that an event of a kind may have. */
export function keysOf({ scope, to, once }: EventKind): string[] {
  const where = { controller: [], bank: [], row: ['row'], valve: ['row', 'valve'] };
  return ['atS', 'what', ...(once ? [] : ['forS']), ...where[scope], ...(typeof to === 'number' ? [] : [to.name])];
}

/** A happening and the place of its event in the file's list. */
interface Placed extends Happening {
  readonly index: number;
}

class EventReader {
  readonly #source: EventSource;
  readonly #byField = new Map<string, Placed[]>();
  readonly restarts: number[] = [];

  constructor(source: EventSource) {
    this.#source = source;
    for (const [index, event] of source.events.entries()) this.#read(event, index);
  }

  get happenings(): Happening[] {
    return [...this.#byField.values()].flat();
  }

  #wrong(path: YamlPath, what: string, allowed: string | readonly string[]): InputError {
    return this.#source.file.wrong(['events', ...path], what, allowed);
  }

  #read(event: WrittenEvent, index: number): void {
    const kind = EVENTS.find(({ what }) => what === event.what);
    if (kind === undefined) throw new Error(`the schema let ${event.what} pass`);
    this.#checkKeys(event, kind, index);
    const { fromTick, untilTick } = this.#times(event, kind, index);
    if (kind.scope === 'controller') {
      this.restarts.push(fromTick);
      return;
    }
    const field = kind.scope === 'valve' ? kind.fields[event.valve ?? 'supply'] : kind.field;
    const value = this.#value(event, kind, index);
    for (const row of kind.scope === 'bank' ? [0] : this.#rows(event, index)) {
      this.#place({ index, field, row, value, fromTick, untilTick, once: kind.once === true });
    }
  }

  #checkKeys(event: WrittenEvent, kind: EventKind, index: number): void {
    const keys = keysOf(kind);
    const stray = Object.keys(event).find((key) => !keys.includes(key));
    if (stray !== undefined) throw this.#wrong([index, stray], `${stray} of ${kind.what}`, `only ${keys.join(', ')}`);
    if (keys.includes('valve') && event.valve === undefined) throw this.#wrong([index], `valve of ${kind.what} is missing`, VALVES);
    if (keys.includes('row') && event.row === undefined) {
      throw this.#wrong([index], `row of ${kind.what} is missing`, `1 to ${this.#source.rows}, a list of them, or all`);
    }
  }

  /** Whole ticks, at least one. What is open ends with the scenario. */
  #times(event: WrittenEvent, kind: EventKind, index: number): { fromTick: number; untilTick: number } {
    const { file, ticks, tickHz } = this.#source;
    const seconds = ticks / tickHz;
    const beginS = readQuantity(atS(seconds), event.atS, file, ['events', index, 'atS']);
    const fromTick = Math.round(beginS * tickHz);
    if (fromTick >= ticks) throw this.#wrong([index, 'atS'], 'atS', `before ${seconds} s, the scenario’s end`);
    if (kind.once) return { fromTick, untilTick: fromTick + 1 };
    if (event.forS === undefined) {
      const lastTick = kind.forS === undefined ? ticks : fromTick + Math.round(kind.forS * tickHz);
      return { fromTick, untilTick: Math.min(ticks, lastTick) };
    }
    const lastS = readQuantity(FOR_S, event.forS, file, ['events', index, 'forS']);
    const untilTick = Math.max(fromTick + 1, Math.round((beginS + lastS) * tickHz));
    if (untilTick > ticks) throw this.#wrong([index, 'forS'], 'forS', `at most ${(ticks - fromTick) / tickHz} s, to the scenario’s end`);
    return { fromTick, untilTick };
  }

  #value(event: WrittenEvent, { to }: EventKind, index: number): number {
    if (typeof to === 'number') return to;
    const written = event[to.name] as Written | undefined;
    return written === undefined ? to.default : readQuantity(to, written, this.#source.file, ['events', index, to.name]);
  }

  #rows({ row }: WrittenEvent, index: number): readonly number[] {
    const { rows } = this.#source;
    if (row === 'all' || row === undefined) return Array.from({ length: rows }, (_, one) => one + 1);
    const list = [row].flat();
    const stray = list.findIndex((one, place) => one > rows || list.indexOf(one) < place);
    if (stray < 0) return list;
    throw this.#wrong(Array.isArray(row) ? [index, 'row', stray] : [index, 'row'], 'row', `1 to ${rows}, each once; or all`);
  }

  /** @throws InputError at an event that sets what one before it in the file sets at the same time */
  #place(one: Placed): void {
    const key = `${one.field} ${one.row}`;
    const others = this.#byField.get(key) ?? [];
    const other = others.find(({ fromTick, untilTick }) => fromTick < one.untilTick && one.fromTick < untilTick);
    if (other !== undefined) throw this.#overlap(one, other);
    this.#byField.set(key, [...others, one]);
  }

  #overlap({ index, row }: Placed, other: Placed): InputError {
    const { tickHz, events } = this.#source;
    const times = `before ${other.fromTick / tickHz} s or from ${other.untilTick / tickHz} s on`;
    const what = `overlapping fault times${row === 0 ? '' : ` in row ${row}`}:`;
    return this.#wrong([index, 'what'], what, `${times}, because of ${events[other.index]?.what} in events[${other.index}]`);
  }
}

/**
 * What a scenario's events do, in ticks, and when the controller is started anew.
 * @throws InputError where an event has keys, rows or times that it cannot have, or sets what another one sets at the time
 */
export function readEvents(source: EventSource): { happenings: readonly Happening[]; restarts: readonly number[] } {
  const { happenings, restarts } = new EventReader(source);
  return { happenings, restarts };
}
