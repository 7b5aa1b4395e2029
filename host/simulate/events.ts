import { PREVIEW_S } from '../../shared/limits.js';
import { type Quantity, quantity } from '../../shared/machine.js';
import { PLANT_ENUMS } from '../../shared/plant.js';
import type { InputError } from '../common/input-error.js';
import type { ValueProblem, YamlFile, YamlPath } from '../common/yaml-file.js';
import { quantityProperties, readQuantity, type WrittenQuantity } from '../machine/quantities.js';
import { SECONDS_MAX } from './drive.js';
import { ROWS_SCHEMA, readRows, type WrittenRows } from './rows.js';
import type { DriveField, InjectedFaultField, TimedValue } from './timeline.js';

/** What an event acts on, and the field of the drive or of a row's injected faults that it sets while it lasts. */
type Sets =
  | { readonly scope: 'controller' }
  | { readonly scope: 'bank'; readonly field: DriveField }
  | { readonly scope: 'row'; readonly field: InjectedFaultField }
  | { readonly scope: 'valve'; readonly fields: Readonly<Record<ValveName, InjectedFaultField>> };

/** One kind of event. */
export type EventKind = Sets & {
  readonly what: string;
  readonly help: string;
  /** The value that the field gets, or the key that gives it. */
  readonly to: number | Quantity;
  /** A second field, and the key that gives its value. */
  readonly also?: { readonly field: InjectedFaultField; readonly to: Quantity };
  /** It happens at a time and has no duration: forS is not allowed. */
  readonly once?: true;
  /** Default of forS; without this it lasts to the end of the run. */
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

const volts = (byDefault: number): Quantity => quantity('sourceV', 'volt', 0, 60, byDefault, 'Source voltage');
const leftRatio = (byDefault: number): Quantity => quantity('leftRatio', 'ratio', 0, 1, byDefault, 'Remaining share');
const COUNT = quantity('count', 'none', 1, 1000, 1, 'Number of strokes');

const FAULT_HELP: Readonly<Record<(typeof PLANT_ENUMS.SensorFault)[number], string>> = {
  none: 'no fault',
  open: 'open circuit',
  short: 'short to ground',
  frozen: 'the reading stays the same',
  jumping: 'loose contact: the reading jumps from tick to tick',
  garbage: 'random readings',
  noiseOnly: 'noise about zero without a signal',
};

/** The words of a name, joined by hyphens. */
const hyphenated = (name: string): string => name.replace(/[A-Z]/g, (letter) => `-${letter.toLowerCase()}`);

/** The faults that a sensor may have. */
const sensorEvents = (sensor: string, sets: Sets): EventKind[] =>
  PLANT_ENUMS.SensorFault.flatMap((fault, to) =>
    to === 0 ? [] : [{ ...sets, what: `${sensor}-sensor-${hyphenated(fault)}`, help: `${sensor} sensor: ${FAULT_HELP[fault]}`, to }],
  );

const SOIL_AHEAD_HELP: Readonly<Record<(typeof PLANT_ENUMS.SoilAheadFault)[number], string>> = {
  none: 'no fault',
  lost: 'nothing is known',
  frozen: 'it stays the same',
  garbage: 'random bits',
  otherRow: 'that of the row farthest away',
};

/** What may be wrong with the soil ahead, beside its gain and its time. */
const soilAheadEvents = (): EventKind[] =>
  PLANT_ENUMS.SoilAheadFault.flatMap((fault, to) =>
    to === 0 ? [] : [{ ...row('soilAhead'), what: `soil-ahead-${hyphenated(fault)}`, help: `Soil ahead: ${SOIL_AHEAD_HELP[fault]}`, to }],
  );

/** All events. Defaults are estimates unless a source is named. */
// biome-ignore format: a table reads best with one event to a line
export const EVENTS: readonly EventKind[] = [
  { what: 'rail-loss', help: 'The pump pressure drops to a share of nominal', ...bank('railRatio'), to: leftRatio(0) },
  { what: 'brown-out', help: 'The source voltage drops', ...bank('sourceV'), to: volts(6) },
  { what: 'power-loss', help: 'The source is disconnected', ...bank('sourceV'), to: 0 },
  // Clamped load dump of a 12 V system, 35 V for up to 400 ms (ISO 16750-2, test B; from memory). A rectangle here.
  { what: 'load-dump', help: 'The battery is disconnected while the alternator charges it: a clamped surge, as a rectangle', ...bank('sourceV'), to: volts(35), forS: 0.4 },
  { what: 'speed-lost', help: 'The speed is invalid', ...bank('speedLost'), to: 1 },
  { what: 'bus-lost', help: 'Target, oil temperature and speed are invalid', ...bank('busLost'), to: 1 },
  ...sensorEvents('rail', bank('railSensor')),
  { what: 'shut-down', help: 'Power is about to be switched off', ...bank('shutDown'), to: 1 },
  { what: 'restart', help: 'The controller restarts; the valves keep their positions', scope: 'controller', to: 1, once: true },
  { what: 'lift-switch-bounces', help: 'The controller reads a lift switch that chatters, while the frame does what the drive asks for', ...bank('liftSwitchBounceMs'), to: quantity('bounceMs', 'millisecond', 0.5, 1000, 5, 'Time for which it keeps a random position'), forS: 0.2 },
  { what: 'row-off', help: 'The row switch is off', ...row('off'), to: 1 },
  { what: 'missed-strokes', help: 'Strokes miss at random', ...row('missRatio'), to: quantity('missRatio', 'ratio', 0, 1, 0.02, 'Probability of a miss') },
  { what: 'missed-opens', help: 'The next opening strokes do not move the valve', ...valve('missSupplyOpens', 'missReturnOpens'), to: COUNT, once: true },
  { what: 'missed-closes', help: 'The next closing strokes do not move the valve', ...valve('missSupplyCloses', 'missReturnCloses'), to: COUNT, once: true },
  { what: 'valve-stuck', help: 'The valve does not move', ...valve('supplyStuck', 'returnStuck'), to: 1 },
  { what: 'valve-leak', help: 'The closed valve leaks more', ...valve('supplyLeakMlPerMin', 'returnLeakMlPerMin'), to: quantity('leakMlPerMin', 'millilitrePerMinute', 0, 5000, 100, 'Additional leak at 100 bar') },
  { what: 'valve-placed-open', help: 'The valve opens without a stroke; at 0 s: it was left open', ...valve('placeSupply', 'placeReturn'), to: 1, once: true },
  { what: 'valve-placed-closed', help: 'The valve closes without a stroke', ...valve('placeSupply', 'placeReturn'), to: 2, once: true },
  { what: 'flow-loss', help: 'Both valves of the row pass only a share of their flow', ...row('flowRatio'), to: leftRatio(0.5) },
  { what: 'flow-change', help: 'One valve passes another flow than before, such as with dirt in its seat', ...valve('supplyFlowRatio', 'returnFlowRatio'), to: quantity('flowRatio', 'ratio', 0, 3, 0.6, 'Flow as a fraction of the normal one') },
  { what: 'gas-loss', help: 'The accumulator loses gas, for the rest of the run', ...row('gasLeftRatio'), to: quantity('leftRatio', 'ratio', 0.01, 1, 0.5, 'Remaining share'), also: { field: 'gasLossS', to: quantity('overS', 'second', 0, 21600, 0, 'Time in which a full accumulator loses that much, linearly; 0: at once') }, once: true },
  ...sensorEvents('load', row('loadSensor')),
  { what: 'load-offset', help: 'The load reading has an offset', ...row('loadOffsetN'), to: quantity('offsetN', 'newton', -5000, 5000, 100, 'Offset') },
  { what: 'load-drift', help: 'The load reading drifts; the drift so far stays', ...row('loadDriftNPerMin'), to: quantity('driftNPerMin', 'newtonPerMinute', -5000, 5000, 20, 'Drift') },
  { what: 'load-gain', help: 'The gain of the load sensor changes', ...row('loadGainRatio'), to: quantity('gainRatio', 'ratio', 0, 2, 0.9, 'Gain as a fraction of the normal one') },
  { what: 'load-swing', help: 'The load reading swings at 2 Hz, as from a lifted row that sways', ...row('loadSwingN'), to: quantity('swingN', 'newton', 0, 5000, 90, 'Amplitude') },
  ...sensorEvents('pressure', row('pressureSensor')),
  { what: 'pressure-offset', help: 'The pressure reading has an offset', ...row('pressureOffsetKpa'), to: quantity('offsetKpa', 'kilopascal', -10000, 10000, 200, 'Offset') },
  { what: 'acceleration-bias', help: 'The acceleration reading has an offset', ...row('accelerationBiasMps2'), to: quantity('biasMps2', 'metrePerSecondSquared', -50, 50, 0.5, 'Offset') },
  { what: 'acceleration-scale', help: 'The scale of the accelerometer changes', ...row('accelerationScaleRatio'), to: quantity('scaleRatio', 'ratio', -2, 2, 0.8, 'Scale as a fraction of the normal one; negative: fitted upside down') },
  { what: 'acceleration-tilt', help: 'The accelerometer is tilted forward, such as on a bent bracket', ...row('accelerationTiltDeg'), to: quantity('tiltDeg', 'degree', -180, 180, 10, 'Additional tilt') },
  // Without an accelerometer these are faults of its open input.
  ...sensorEvents('acceleration', row('accelerationSensor')),
  ...soilAheadEvents(),
  { what: 'soil-ahead-gain', help: 'The change of the soil ahead has another gain', ...row('soilAheadGainRatio'), to: quantity('gainRatio', 'ratio', -3, 3, -1, 'Gain as a fraction of the normal one; negative: inverted') },
  { what: 'soil-ahead-delayed', help: 'The soil ahead is late', ...row('soilAheadDelayS'), to: quantity('delayS', 'second', 0, PREVIEW_S, PREVIEW_S, 'Delay') },
];

const FOR_S = quantity('forS', 'second', 0.0005, SECONDS_MAX, 1, 'Duration; by default to the end of the run');
const atS = (seconds: number): Quantity => quantity('atS', 'second', 0, seconds, 0, 'Start');
/** The keys that give an event's values. */
export const valueKeys = ({ to, also }: EventKind): Quantity[] => [
  ...(typeof to === 'number' ? [] : [to]),
  ...(also === undefined ? [] : [also.to]),
];
const KEYS: readonly Quantity[] = EVENTS.flatMap(valueKeys);

/** An event as written in a scenario. Its kind determines which of the other keys it may have. */
export interface WrittenEvent {
  readonly what: string;
  readonly atS: WrittenQuantity;
  readonly forS?: WrittenQuantity;
  readonly row?: WrittenRows;
  readonly valve?: ValveName;
  readonly [key: string]: unknown;
}

/** JSON Schema of a scenario's events. */
export const eventsSchema: object = {
  description: 'What happens to the machine; the table of events says which keys each kind has',
  type: 'array',
  maxItems: 1000,
  items: {
    type: 'object',
    required: ['atS', 'what'],
    additionalProperties: false,
    properties: {
      ...quantityProperties([...KEYS, FOR_S, atS(SECONDS_MAX)], false),
      what: { description: 'Kind of event', title: 'a kind of event', type: 'string', enum: EVENTS.map(({ what }) => what) },
      count: { description: COUNT.help, type: 'integer' },
      row: ROWS_SCHEMA,
      valve: { description: 'The valve', type: 'string', enum: VALVES },
    },
  },
};

/** A scenario's events, and what is needed to read them. */
export interface EventSource {
  readonly file: YamlFile<unknown>;
  readonly events: readonly WrittenEvent[];
  readonly rows: number;
  readonly ticks: number;
  readonly tickHz: number;
}

/** Returns the keys that a kind of event may have. */
export function keysOf(kind: EventKind): string[] {
  const target = { controller: [], bank: [], row: ['row'], valve: ['row', 'valve'] };
  return ['atS', 'what', ...(kind.once ? [] : ['forS']), ...target[kind.scope], ...valueKeys(kind).map(({ name }) => name)];
}

/** A timedValue and the index of its event. */
interface IndexedValue extends TimedValue {
  readonly index: number;
}

/** An event as it is shown over time: what happens, in words with its values, and to which rows; 0 for the bank. */
export interface TimedEvent {
  readonly what: string;
  readonly rows: readonly number[];
  readonly fromTick: number;
  /** Exclusive. */
  readonly untilTick: number;
}

class EventReader {
  readonly #source: EventSource;
  readonly #byField = new Map<string, IndexedValue[]>();
  readonly restarts: number[] = [];
  readonly timedEvents: TimedEvent[] = [];

  constructor(source: EventSource) {
    this.#source = source;
    for (const [index, event] of source.events.entries()) this.#read(event, index);
  }

  get timedValues(): TimedValue[] {
    return [...this.#byField.values()].flat();
  }

  #errorAt(path: YamlPath, problem: ValueProblem): InputError {
    return this.#source.file.errorAt(['events', ...path], problem);
  }

  #read(event: WrittenEvent, index: number): void {
    const kind = EVENTS.find(({ what }) => what === event.what);
    if (kind === undefined) throw new Error(`the schema let ${event.what} pass`);
    this.#checkKeys(event, kind, index);
    const { fromTick, untilTick } = this.#times(event, kind, index);
    if (kind.scope === 'controller') {
      this.restarts.push(fromTick);
      this.timedEvents.push({ what: kind.what, rows: [0], fromTick, untilTick });
      return;
    }
    const main = { field: kind.scope === 'valve' ? kind.fields[event.valve ?? 'supply'] : kind.field, to: kind.to };
    const rows = kind.scope === 'bank' ? [0] : readRows(event.row ?? 'all', this.#source.rows, this.#source.file, ['events', index, 'row']);
    const values = valueKeys(kind).map((to) => `${to.name} ${this.#value(event, to, index)}`);
    this.timedEvents.push({ what: [kind.what, event.valve, ...values].filter(Boolean).join(' '), rows, fromTick, untilTick });
    for (const { field, to } of kind.also === undefined ? [main] : [main, kind.also]) {
      const value = this.#value(event, to, index);
      for (const row of rows) this.#add({ index, field, row, value, fromTick, untilTick, once: kind.once === true });
    }
  }

  #checkKeys(event: WrittenEvent, kind: EventKind, index: number): void {
    const keys = keysOf(kind);
    const stray = Object.keys(event).find((key) => !keys.includes(key));
    if (stray !== undefined) {
      throw this.#errorAt([index, stray], { problem: `${kind.what} has no ${stray}`, hint: `Its keys are ${keys.join(', ')}` });
    }
    if (keys.includes('valve') && event.valve === undefined) {
      throw this.#errorAt([index], { problem: `${kind.what} needs a valve: ${VALVES.join(' or ')}` });
    }
    if (keys.includes('row') && event.row === undefined) {
      throw this.#errorAt([index], { problem: `${kind.what} needs a row: 1 to ${this.#source.rows}, a list of them, or all` });
    }
  }

  /** Integer ticks, at least one. Without an end the event lasts to the end of the run. */
  #times(event: WrittenEvent, kind: EventKind, index: number): { fromTick: number; untilTick: number } {
    const { file, ticks, tickHz } = this.#source;
    const seconds = ticks / tickHz;
    const startS = readQuantity(atS(seconds), event.atS, file, ['events', index, 'atS']);
    const fromTick = Math.round(startS * tickHz);
    if (fromTick >= ticks) throw this.#errorAt([index, 'atS'], { allowed: `before the end of the run at ${seconds} s` });
    if (kind.once) return { fromTick, untilTick: fromTick + 1 };
    if (event.forS === undefined) {
      const lastTick = kind.forS === undefined ? ticks : fromTick + Math.round(kind.forS * tickHz);
      return { fromTick, untilTick: Math.min(ticks, lastTick) };
    }
    const lastS = readQuantity(FOR_S, event.forS, file, ['events', index, 'forS']);
    const untilTick = Math.max(fromTick + 1, Math.round((startS + lastS) * tickHz));
    if (untilTick > ticks) {
      throw this.#errorAt([index, 'forS'], { allowed: `at most ${(ticks - fromTick) / tickHz} s, to the end of the run` });
    }
    return { fromTick, untilTick };
  }

  #value(event: WrittenEvent, to: number | Quantity, index: number): number {
    if (typeof to === 'number') return to;
    const written = event[to.name] as WrittenQuantity | undefined;
    return written === undefined ? to.default : readQuantity(to, written, this.#source.file, ['events', index, to.name]);
  }

  /** @throws InputError at an event that sets the same as an earlier one at the same time */
  #add(one: IndexedValue): void {
    const key = `${one.field} ${one.row}`;
    const others = this.#byField.get(key) ?? [];
    const other = others.find(({ fromTick, untilTick }) => fromTick < one.untilTick && one.fromTick < untilTick);
    if (other !== undefined) throw this.#overlap(one, other);
    this.#byField.set(key, [...others, one]);
  }

  #overlap({ index, row }: IndexedValue, other: IndexedValue): InputError {
    const { tickHz, events } = this.#source;
    const [one, earlier] = [events[index]?.what, events[other.index]?.what];
    const problem = `${one}${row === 0 ? '' : ` of row ${row}`} overlaps with ${earlier} in events[${other.index}]`;
    const hint = `That one lasts from ${other.fromTick / tickHz} to ${other.untilTick / tickHz} s`;
    return this.#errorAt([index, 'what'], { problem, hint });
  }
}

/** What a scenario's events do, in ticks. */
export interface ReadEvents {
  readonly timedValues: readonly TimedValue[];
  /** Ticks at which the controller restarts. */
  readonly restarts: readonly number[];
  /** In the order in which they are written. */
  readonly timedEvents: readonly TimedEvent[];
}

/**
 * Reads a scenario's events.
 * @throws InputError where an event has keys, rows or times that it cannot have, or overlaps with another one
 */
export function readEvents(source: EventSource): ReadEvents {
  const { timedValues, restarts, timedEvents } = new EventReader(source);
  return { timedValues, restarts, timedEvents };
}
