import { type Quantity, quantity } from '../../shared/machine.js';
import type { UnitName } from '../../shared/units.js';
import type { YamlFile } from '../common/yaml-file.js';
import { quantityProperties, readQuantities, type Written } from '../machine/quantities.js';
import type { Course, DriveField, Point } from './timeline.js';

/** Something that a key moment may say of the drive: in a straight line to its next value, or held until then. */
interface DriveKey extends Quantity {
  readonly name: DriveField;
  readonly goes: Course['goes'];
}

const key = (
  goes: Course['goes'],
  name: DriveField,
  unit: UnitName,
  min: number,
  max: number,
  byDefault: number,
  help: string,
): DriveKey => ({ ...quantity(name, unit, min, max, byDefault, help), name, goes });

/** Speed, slopes and temperatures change evenly from one key moment that names them to the next; target and switches step. */
// biome-ignore format: a table reads best with one key to a line
export const DRIVE_KEYS: readonly DriveKey[] = [
  key('ramp', 'speedMps', 'metrePerSecond', 0, 10, 3, 'Ground speed'),
  key('ramp', 'oilC', 'degreeCelsius', -40, 120, 40, 'Oil temperature'),
  key('ramp', 'airC', 'degreeCelsius', -40, 60, 20, 'Air temperature'),
  key('ramp', 'gradePercent', 'percent', -50, 50, 0, 'Slope along the rows, uphill positive'),
  key('ramp', 'sideSlopePercent', 'percent', -50, 50, 0, 'Slope across the rows'),
  key('hold', 'targetLoadN', 'newton', 0, 20000, 450, 'Load that the operator asks for'),
];

/** Switches, true or false; they hold. */
const SWITCHES: readonly { name: DriveField; default: boolean; help: string }[] = [
  { name: 'lowered', default: true, help: 'Lift switch' },
  { name: 'enabled', default: true, help: 'Operator’s switch' },
];

/** A key moment as a person writes it. */
export interface WrittenMoment {
  readonly atS: Written;
  readonly [key: string]: Written | boolean;
}

const atS = (seconds: number): Quantity => quantity('atS', 'second', 0, seconds, 0, 'When');

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

/** Numbers of a key moment; switches are 0 or 1. */
function readMoment(written: WrittenMoment, file: YamlFile<unknown>, index: number, seconds: number): Readonly<Record<string, number>> {
  const numbers = readQuantities([atS(seconds), ...DRIVE_KEYS], written, file, ['drive', index]);
  const switches = SWITCHES.filter(({ name }) => name in written).map(({ name }) => [name, Number(written[name])]);
  return { ...numbers, ...Object.fromEntries(switches) };
}

/**
 * How each of the keys goes over a scenario of `seconds`; before a key is named first it stands at its default at 0 s.
 * @throws InputError at a value beyond its limits, or a moment that is not after the one before
 */
export function readDrive(written: readonly WrittenMoment[], file: YamlFile<unknown>, seconds: number): Course[] {
  const moments = written.map((one, index) => readMoment(one, file, index, seconds));
  for (const [index, { atS: now = 0 }] of moments.entries()) {
    const before = moments[index - 1]?.atS ?? -1;
    if (now <= before) throw file.wrong(['drive', index, 'atS'], 'atS', `after ${before} s, the key moment before`);
  }
  const pointsOf = (name: string, byDefault: number): Point[] => {
    const points = moments.flatMap(({ atS: now = 0, [name]: value }) => (value === undefined ? [] : [{ atS: now, value }]));
    return points[0]?.atS === 0 ? points : [{ atS: 0, value: byDefault }, ...points];
  };
  return [
    ...DRIVE_KEYS.map(({ name, goes, default: byDefault }): Course => ({ field: name, goes, points: pointsOf(name, byDefault) })),
    ...SWITCHES.map(({ name, default: byDefault }): Course => ({ field: name, goes: 'hold', points: pointsOf(name, Number(byDefault)) })),
  ];
}

/** Way that is driven in so many seconds, m: the trapezoids under the speed. */
export function wayM(courses: readonly Course[], seconds: number): number {
  const points = courses.find(({ field }) => field === 'speedMps')?.points ?? [];
  return points.reduce((sum, { atS: from, value }, index) => {
    const next = points[index + 1] ?? { atS: seconds, value };
    return sum + ((value + next.value) / 2) * (next.atS - from);
  }, 0);
}
