import { type Quantity, quantity } from '../../shared/machine.js';
import type { UnitName } from '../../shared/units.js';
import type { YamlFile } from '../common/yaml-file.js';
import { quantityProperties, readQuantities, type WrittenQuantity } from '../machine/quantities.js';
import { type Motion, timeAt } from './pass.js';
import type { Course, DriveField, Point } from './timeline.js';

/** A quantity of the drive that a key point may set: it ramps to the next value, or holds until then. */
interface DriveKey extends Quantity {
  readonly name: DriveField;
  readonly shape: Course['shape'];
}

const key = (
  shape: Course['shape'],
  name: DriveField,
  unit: UnitName,
  min: number,
  max: number,
  byDefault: number,
  help: string,
): DriveKey => ({ ...quantity(name, unit, min, max, byDefault, help), name, shape });

/** Speed, slopes and temperatures are linear from one key point that sets them to the next; target and switches step. */
// biome-ignore format: a table reads best with one key to a line
export const DRIVE_KEYS: readonly DriveKey[] = [
  key('ramp', 'speedMps', 'metrePerSecond', 0, 10, 3, 'Ground speed'),
  key('ramp', 'oilC', 'degreeCelsius', -40, 120, 40, 'Oil temperature'),
  key('ramp', 'airC', 'degreeCelsius', -40, 60, 20, 'Air temperature'),
  key('ramp', 'gradePercent', 'percent', -50, 50, 0, 'Slope along the rows, uphill positive'),
  key('ramp', 'sideSlopePercent', 'percent', -50, 50, 0, 'Slope across the rows'),
  key('hold', 'targetLoadN', 'newton', 0, 20000, 450, 'Target load set by the operator'),
];

/** Switches: true or false; they hold. */
export const SWITCHES: readonly { name: DriveField; default: boolean; help: string }[] = [
  { name: 'lowered', default: true, help: 'Lift switch' },
  { name: 'enabled', default: true, help: 'Operator switch' },
];

/** A key point as written in a scenario: at a time, or at a distance along the pass. */
export interface WrittenKeyPoint {
  readonly atS?: WrittenQuantity;
  readonly atM?: WrittenQuantity;
  readonly [key: string]: WrittenQuantity | boolean | undefined;
}

const DISTANCE_MAX_M = 1_000_000;
/** Six hours, as of a scenario. */
export const SECONDS_MAX = 21_600;
const atS = (seconds: number): Quantity => quantity('atS', 'second', 0, seconds, 0, 'Time of the key point');
const AT_M = quantity('atM', 'metre', 0, DISTANCE_MAX_M, 0, 'Or its distance along the pass');
/** Where a key point is: it has one of them. */
const PLACES: readonly Quantity[] = [atS(SECONDS_MAX), AT_M];

/** JSON Schema of a scenario's drive. */
export const driveSchema: object = {
  description:
    'Key points of the drive, each at a time or at a distance. Speed, slopes and temperatures are linear from one key point that sets them to the next; target and switches step',
  type: 'array',
  maxItems: 10000,
  items: {
    type: 'object',
    additionalProperties: false,
    properties: {
      ...quantityProperties(PLACES, false),
      ...quantityProperties(DRIVE_KEYS),
      ...Object.fromEntries(
        SWITCHES.map(({ name, help, default: byDefault }) => [name, { description: help, type: 'boolean', default: byDefault }]),
      ),
    },
  },
};

type Values = Readonly<Record<string, number>>;

/** Reads the key points of a drive, and turns distances into times. */
class DriveReader {
  readonly #file: YamlFile<unknown>;
  readonly #seconds: number;
  readonly #points: readonly Values[];

  constructor(written: readonly WrittenKeyPoint[], file: YamlFile<unknown>, seconds: number) {
    this.#file = file;
    this.#seconds = seconds;
    this.#points = written.map((one, index) => this.#read(one, index));
  }

  /** Returns the numbers of a key point; switches are 0 or 1. */
  #read(written: WrittenKeyPoint, index: number): Values {
    const { atS: time, atM: distance } = written;
    if (time === undefined && distance === undefined)
      throw this.#file.errorAt(['drive', index], { problem: `drive[${index}] has neither atS nor atM`, allowed: 'one of them' });
    if (time !== undefined && distance !== undefined)
      throw this.#file.errorAt(['drive', index, 'atM'], { problem: 'atS and atM exclude each other' });
    const numbers = readQuantities([atS(this.#seconds), AT_M, ...DRIVE_KEYS], written, this.#file, ['drive', index]);
    const switches = SWITCHES.filter(({ name }) => name in written).map(({ name }) => [name, Number(written[name])]);
    return { ...numbers, ...Object.fromEntries(switches) };
  }

  /** Speeds and distances at the key points that set the speed, from 0 s on. @throws InputError at one that comes too early or never */
  #motions(startMps: number): Motion[] {
    const motions: Motion[] = [];
    for (const [index, { atS: time, atM: distance = 0, speedMps }] of this.#points.entries()) {
      if (speedMps === undefined) continue;
      const before = motions.at(-1);
      const isAtStart = (time ?? distance) === 0;
      if (before === undefined) motions.push({ atS: 0, atM: 0, speedMps: isAtStart ? speedMps : startMps });
      if (before === undefined && isAtStart) continue;
      const from = motions.at(-1) as Motion;
      const mean = (from.speedMps + speedMps) / 2;
      const next =
        time === undefined
          ? { atS: from.atS + (distance - from.atM) / mean, atM: distance, speedMps }
          : { atS: time, atM: from.atM + mean * (time - from.atS), speedMps };
      this.#checkAfter(next.atS, from.atS, index);
      motions.push(next);
    }
    return motions.length > 0 ? motions : [{ atS: 0, atM: 0, speedMps: startMps }];
  }

  /** @throws InputError at a key point that is not after the one before, not within the run, or never reached */
  #checkAfter(now: number, before: number, index: number): void {
    const { atM: distance } = this.#points[index] ?? {};
    if (now > before && now <= this.#seconds) return;
    if (distance === undefined)
      throw this.#file.errorAt(['drive', index, 'atS'], { allowed: `later than atS of the previous entry, ${before} s` });
    const problem =
      now <= before
        ? `atM is ${distance} m, but the machine is already further at the previous entry`
        : `atM is ${distance} m, but the machine does not get there in ${this.#seconds} s`;
    throw this.#file.errorAt(['drive', index, 'atM'], { problem, hint: 'The speed, from entry to entry, gives the distance' });
  }

  /** Returns the motion, and the key points with times. @throws InputError at one that does not follow the one before */
  read(startMps: number): { motions: readonly Motion[]; keyPoints: readonly Values[] } {
    const motions = this.#motions(startMps);
    let before = -1;
    const keyPoints = this.#points.map((point, index) => {
      const time = point.atS ?? timeAt(motions, point.atM ?? 0);
      this.#checkAfter(time, before, index);
      before = time;
      return { ...point, atS: time };
    });
    return { motions, keyPoints };
  }
}

/** A drive as read from a scenario. */
export interface Drive {
  readonly courses: Course[];
  readonly motions: readonly Motion[];
  /** Times of the key points, s. */
  readonly times: readonly number[];
}

/**
 * Returns the course of each key over a scenario of `seconds`. A key that no point sets at 0 s starts at its default.
 * @throws InputError at a value beyond its limits, or a key point that does not follow the one before
 */
export function readDrive(written: readonly WrittenKeyPoint[], file: YamlFile<unknown>, seconds: number): Drive {
  const startMps = DRIVE_KEYS.find(({ name }) => name === 'speedMps')?.default ?? 0;
  const { motions, keyPoints } = new DriveReader(written, file, seconds).read(startMps);
  const pointsOf = (name: string, byDefault: number): Point[] => {
    const points = keyPoints.flatMap(({ atS: now = 0, [name]: value }) => (value === undefined ? [] : [{ atS: now, value }]));
    return points[0]?.atS === 0 ? points : [{ atS: 0, value: byDefault }, ...points];
  };
  const courses = [
    ...DRIVE_KEYS.map(({ name, shape, default: byDefault }): Course => ({ field: name, shape, points: pointsOf(name, byDefault) })),
    ...SWITCHES.map(({ name, default: byDefault }): Course => ({ field: name, shape: 'hold', points: pointsOf(name, Number(byDefault)) })),
  ];
  return { courses, motions, times: keyPoints.map((one) => one.atS ?? 0) };
}
