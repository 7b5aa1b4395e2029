import { type Quantity, quantity } from '../../shared/machine.js';
import type { UnitName } from '../../shared/units.js';
import type { YamlFile } from '../common/yaml-file.js';
import { quantityProperties, readQuantities, type WrittenQuantity } from '../machine/quantities.js';
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

/** A key point as written in a scenario. */
export interface WrittenKeyPoint {
  readonly atS: WrittenQuantity;
  readonly [key: string]: WrittenQuantity | boolean;
}

const atS = (seconds: number): Quantity => quantity('atS', 'second', 0, seconds, 0, 'Time of the key point');

/** JSON Schema of a scenario's drive. */
export const driveSchema: object = {
  type: 'array',
  maxItems: 10000,
  items: {
    type: 'object',
    required: ['atS'],
    additionalProperties: false,
    properties: {
      ...quantityProperties([atS(0), ...DRIVE_KEYS]),
      ...Object.fromEntries(SWITCHES.map(({ name, help }) => [name, { description: help, type: 'boolean' }])),
    },
  },
};

/** Returns the numbers of a key point; switches are 0 or 1. */
function readKeyPoint(written: WrittenKeyPoint, file: YamlFile<unknown>, index: number, seconds: number): Readonly<Record<string, number>> {
  const numbers = readQuantities([atS(seconds), ...DRIVE_KEYS], written, file, ['drive', index]);
  const switches = SWITCHES.filter(({ name }) => name in written).map(({ name }) => [name, Number(written[name])]);
  return { ...numbers, ...Object.fromEntries(switches) };
}

/**
 * Returns the course of each key over a scenario of `seconds`. A key that no point sets at 0 s starts at its default.
 * @throws InputError at a value beyond its limits, or a key point that does not follow the one before
 */
export function readDrive(written: readonly WrittenKeyPoint[], file: YamlFile<unknown>, seconds: number): Course[] {
  const keyPoints = written.map((one, index) => readKeyPoint(one, file, index, seconds));
  for (const [index, { atS: now = 0 }] of keyPoints.entries()) {
    const before = keyPoints[index - 1]?.atS ?? -1;
    if (now <= before) throw file.errorAt(['drive', index, 'atS'], { allowed: `later than atS of the previous entry, ${before} s` });
  }
  const pointsOf = (name: string, byDefault: number): Point[] => {
    const points = keyPoints.flatMap(({ atS: now = 0, [name]: value }) => (value === undefined ? [] : [{ atS: now, value }]));
    return points[0]?.atS === 0 ? points : [{ atS: 0, value: byDefault }, ...points];
  };
  return [
    ...DRIVE_KEYS.map(({ name, shape, default: byDefault }): Course => ({ field: name, shape, points: pointsOf(name, byDefault) })),
    ...SWITCHES.map(({ name, default: byDefault }): Course => ({ field: name, shape: 'hold', points: pointsOf(name, Number(byDefault)) })),
  ];
}

/** Distance driven in a time, m: the area under the speed. */
export function distanceM(courses: readonly Course[], seconds: number): number {
  const points = courses.find(({ field }) => field === 'speedMps')?.points ?? [];
  return points.reduce((sum, { atS: from, value }, index) => {
    const next = points[index + 1] ?? { atS: seconds, value };
    return sum + ((value + next.value) / 2) * (next.atS - from);
  }, 0);
}
